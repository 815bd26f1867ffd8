/**
 * Walks the walls of a seam and takes the gap at every station, at the three depths.
 *
 * A station is a place on the written path with its inward normal. At each depth it stands for the wall point that it
 * faces. At a sharp outer corner of the path, and where the wall has a sharp corner of its own, the straight way in
 * overshoots; the station then stands for the nearest wall point, as a rule that corner.
 *
 * Samples weigh half the wall on either side of them. Between stations that face the wall its length follows from the
 * path: (1 - h / r) of it on an arc of radius r with the solid inside, (1 + h / r) with the solid outside, h times the
 * turn at a sharp inner corner, round which the wall is an arc of radius h. Otherwise it is the distance between the
 * wall points.
 */
import { type Facing, type SeamSamples, takeStation } from './seam-samples.ts';
import type { WallSpan } from './seam-walls.ts';
import type { Wall } from './wall.ts';
import { neighbourSegment, stationOn, type WrittenPath } from './written-path.ts';

/** Joints that turn less than this, radians, are smooth: the fit of the written curves and its decimals turn less. */
const SMOOTH_TURN = 0.02;
/** Widest angle between neighbouring stations round a corner, radians. */
const FAN_STEP = 0.5;
/** Extra stations at these distances from the ends of a seam, mm: there the other wall turns away into its rim. */
const END_GRADING_MM = [0.02, 0.06, 0.12];
/** The point of a corner that turns by more than twice acos of this is not looked for in the direction it points. */
const LONGEST_MITRE = 3;

/** One walk along one span. */
interface Walk {
  readonly samples: SeamSamples;
  readonly run: number;
  readonly facing: Facing;
  readonly span: WallSpan;
  readonly stepMm: number;
  /** Distances between the path and its walls, mm. */
  readonly widest: number;
  readonly narrowest: number;
  /** The station at which the next segment starts has been taken. */
  started: boolean;
  /** Path since the last station, mm. */
  sinceMm: number;
  /** Turn since the last station at an inner corner, radians. */
  turned: number;
}

const station = new Float64Array(5);

/** Walks one span of the part's path. Stations stand `stepMm` apart or closer, at every joint, and round corners. */
export function walkSpan(
  samples: SeamSamples,
  run: number,
  facing: Facing,
  span: WallSpan,
  stepMm: number,
): void {
  const { path, walls } = facing.part;
  const contour = path.contours[span.contour]!;
  const reaches = walls.map(wallReach);
  const walk: Walk = {
    samples,
    run,
    facing,
    span,
    stepMm,
    widest: Math.max(...reaches),
    narrowest: Math.min(...reaches),
    started: false,
    sinceMm: 0,
    turned: 0,
  };
  const firstSample = samples.count;
  const isWhole = span.endMm - span.startMm >= contour.lengthMm;
  const cuts = isWhole ? [] : endCuts(span);
  let lap = Math.floor(span.startMm / contour.lengthMm) * contour.lengthMm;
  let index = contour.first;
  const last = contour.first + contour.count - 1;
  while (index < last && path.startMm[index + 1]! + lap <= span.startMm) index++;
  if (isWhole && turnAt(path, index) >= SMOOTH_TURN) walkOuterCorner(walk, neighbourSegment(path, index, -1));
  for (let along = span.startMm; ; ) {
    const base = path.startMm[index]! + lap;
    const length = path.lengthMm[index]!;
    const to = Math.min(1, (span.endMm - base) / length);
    let from = Math.max(0, (along - base) / length);
    for (const cut of cuts) {
      const t = (cut - base) / length;
      if (t <= from || t >= to) continue;
      walkSegment(walk, index, from, t, true);
      from = t;
    }
    along = base + length;
    const next = neighbourSegment(path, index, 1);
    const done = to < 1 || span.endMm - along < 1e-9;
    const turn = turnAt(path, next);
    const corner = turn >= SMOOTH_TURN && (!done || isWhole);
    walkSegment(walk, index, from, to, !corner);
    if (done && !isWhole) return;
    if (corner) walkOuterCorner(walk, index);
    else if (turn <= -SMOOTH_TURN) walkInnerCorner(walk, index, next, turn);
    if (done) {
      // A whole contour ends where it started.
      closeInterval(walk, firstSample, 0);
      return;
    }
    if (next === contour.first) lap += contour.lengthMm;
    index = next;
  }
}

function endCuts(span: WallSpan): number[] {
  const starts = END_GRADING_MM.map((mm) => span.startMm + mm);
  const ends = END_GRADING_MM.map((mm) => span.endMm - mm).reverse();
  return starts[starts.length - 1]! < ends[0]! ? [...starts, ...ends] : [];
}

/** The largest distance between a path and its wall, mm. */
function wallReach(wall: Wall): number {
  return wall.kind === 'round' ? wall.radiusMm : Math.max(wall.rx, wall.ry);
}

/** Stations on a segment from t = `from` to `to`; the last one is left to the corner there unless `takesEnd`. */
function walkSegment(walk: Walk, index: number, from: number, to: number, takesEnd: boolean): void {
  const { facing, span } = walk;
  const { path } = facing.part;
  const segment = path.segments[index]!;
  const share = Math.max(0, to - from);
  const length = path.lengthMm[index]! * share;
  const bend = segment.kind === 'line' ? 0 : Math.sign(segment.sweep) / segment.radius;
  const angle = segment.kind === 'line' ? 0 : Math.abs(segment.sweep) * share;
  // On a tight arc with the solid inside most of the length shrinks to a corner of the wall; outside it stretches.
  const longest = length * Math.max(0, 1 - bend * (bend > 0 ? walk.narrowest : walk.widest));
  const count = Math.max(
    1,
    Math.ceil(longest / walk.stepMm - 1e-9),
    angle > 0.1 ? 2 * Math.ceil(angle / 4) : 1,
    bend < 0 ? Math.ceil(angle / FAN_STEP) : 1,
  );
  const step = share / count;
  const at = path.startMm[index]! + from * path.lengthMm[index]!;
  for (let k = 0; k <= count; k++) {
    if (k > 0) walk.sinceMm += length / count;
    if (k === 0 ? walk.started : k === count && !takesEnd) continue;
    stationOn(path, index, from + k * step, station);
    station[4] = 1;
    take(walk, isNearEnd(span, path, at + (k / count) * length, facing), index, from + k * step, step, bend);
  }
  walk.started = true;
}

/** The sharp corner at the end of a segment, solid inside: one station, in the direction of the wall's corner. */
function walkOuterCorner(walk: Walk, index: number): void {
  const { facing, span } = walk;
  const { path } = facing.part;
  const next = neighbourSegment(path, index, 1);
  const turn = turnAt(path, next);
  stationAtCorner(path, next, turn / 2, station);
  station[4] = Math.min(LONGEST_MITRE, 1 / Math.cos(turn / 2));
  take(walk, isNearEnd(span, path, path.startMm[index]! + path.lengthMm[index]!, facing), index, 1, 1, 0);
  walk.started = true;
}

/** The sharp corner between two segments, solid outside: stations fan out; the next segment starts with its own. */
function walkInnerCorner(walk: Walk, index: number, next: number, turn: number): void {
  const { facing, span } = walk;
  const { path } = facing.part;
  const count = Math.max(2, Math.ceil(-turn / FAN_STEP));
  const share = -turn / count;
  const nearEnd = isNearEnd(span, path, path.startMm[index]! + path.lengthMm[index]!, facing);
  station[4] = 1;
  for (let k = 1; k < count; k++) {
    walk.turned = share;
    stationAtCorner(path, next, -k * share, station);
    take(walk, nearEnd, ~next, -k * share, share, 0);
  }
  walk.turned = share;
  walk.started = false;
}

function take(walk: Walk, nearEnd: boolean, segment: number, t: number, step: number, bend: number): void {
  const { samples } = walk;
  const isFirst = samples.count === 0 || samples.run[samples.count - 1] !== walk.run;
  const slot = takeStation(samples, walk.run, walk.facing, station, nearEnd);
  samples.segment[slot] = segment;
  samples.t[slot] = t;
  samples.step[slot] = step;
  if (!isFirst) closeInterval(walk, slot, bend, slot - 1);
  walk.sinceMm = 0;
  walk.turned = 0;
}

/** Gives the wall between the last station and another one half to each. */
function closeInterval(
  { samples, facing, sinceMm, turned }: Walk,
  slot: number,
  bend: number,
  before: number = samples.count - 1,
): void {
  let length = 0;
  for (let depth = 0; depth < 3; depth++) {
    const faces = samples.faces[depth]!;
    const weights = samples.weights[depth]!;
    const x = samples.x[depth]!;
    const y = samples.y[depth]!;
    if (depth === 0 || !facing.isStraight) {
      const h = wallReach(facing.part.walls[depth]!);
      length =
        faces[before] && faces[slot]
          ? sinceMm * Math.max(0, 1 - bend * h) + turned * h
          : Math.hypot(x[slot]! - x[before]!, y[slot]! - y[before]!);
    }
    weights[before]! += length / 2;
    weights[slot]! += length / 2;
  }
}

/** Turn of the path where a segment starts, radians, positive to the left. */
export function turnAt(path: WrittenPath, segment: number): number {
  const before = 4 * neighbourSegment(path, segment, -1) + 2;
  const ax = path.tangents[before]!;
  const ay = path.tangents[before + 1]!;
  const bx = path.tangents[4 * segment]!;
  const by = path.tangents[4 * segment + 1]!;
  return Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
}

/** The corner where a segment starts, with the normal turned by `turn` from that of the segment before. */
export function stationAtCorner(path: WrittenPath, segment: number, turn: number, out: Float64Array): void {
  const before = 4 * neighbourSegment(path, segment, -1) + 2;
  const ax = path.tangents[before]!;
  const ay = path.tangents[before + 1]!;
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  const { from } = path.segments[segment]!;
  out[0] = from.x;
  out[1] = from.y;
  out[2] = -(ay * cos + ax * sin);
  out[3] = ax * cos - ay * sin;
}

/** Whether a third part may stand where this seam ends. */
function isNearEnd(span: WallSpan, path: WrittenPath, along: number, facing: Facing): boolean {
  if (!span.meetsAtStart && !span.meetsAtEnd) return false;
  const near = 2 * (facing.part.kerfMm + facing.other.kerfMm);
  const whole = path.contours[span.contour]!.lengthMm;
  const fromStart = (((along - span.startMm) % whole) + whole) % whole;
  const toEnd = (((span.endMm - along) % whole) + whole) % whole;
  return (span.meetsAtStart && fromStart < near) || (span.meetsAtEnd && toEnd < near);
}
