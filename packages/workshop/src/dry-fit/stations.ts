/**
 * Walks the walls of a seam and takes the gap at every station, at the three depths.
 *
 * A station is a place on the written path with its inward normal. At each depth it stands for the wall point that it
 * faces; where the wall has a sharp corner there is none, and the station then stands for the nearest wall point (the
 * corner, mostly) with weight 0: it counts for the extremes, not for means. Weights are wall lengths by the trapezoid
 * rule: (1 - h / r) of the path's length on an arc of radius r with the solid inside, (1 + h / r) with the solid
 * outside, and h times the turn at a sharp inner corner of the path, round which the wall is an arc of radius h.
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
  /** The next segment goes on smoothly: its first station is the last one taken. */
  smooth: boolean;
  /** Turn that the next station has to take its share of, radians. */
  turnLeft: number;
}

const station = new Float64Array(4);

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
    smooth: false,
    turnLeft: 0,
  };
  const firstSample = samples.count;
  const isWhole = span.endMm - span.startMm >= contour.lengthMm;
  const cuts = isWhole ? [] : endCuts(span);
  let lap = Math.floor(span.startMm / contour.lengthMm) * contour.lengthMm;
  let index = contour.first;
  const last = contour.first + contour.count - 1;
  while (index < last && path.startMm[index + 1]! + lap <= span.startMm) index++;
  for (let along = span.startMm; ; ) {
    const base = path.startMm[index]! + lap;
    const length = path.lengthMm[index]!;
    const to = Math.min(1, (span.endMm - base) / length);
    let from = Math.max(0, (along - base) / length);
    for (const cut of cuts) {
      const t = (cut - base) / length;
      if (t <= from || t >= to) continue;
      walkSegment(walk, index, from, t);
      from = t;
      walk.smooth = true;
    }
    walkSegment(walk, index, from, to);
    along = base + length;
    const next = neighbourSegment(path, index, 1);
    const done = to < 1 || span.endMm - along < 1e-9;
    if (done && !isWhole) return;
    walkJoint(walk, index, next);
    if (done) {
      // A whole contour also owns the corner at which it starts.
      addWeight(samples, firstSample, walls, 0, 0, walk.turnLeft);
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

function walkSegment(walk: Walk, index: number, from: number, to: number): void {
  const { samples, run, facing, span } = walk;
  const { path, walls } = facing.part;
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
    const load = (k === 0 || k === count ? 0.5 : 1) * (length / count);
    let slot = samples.count - 1;
    if (k > 0 || !walk.smooth) {
      stationOn(path, index, from + k * step, station);
      slot = takeStation(
        samples,
        run,
        facing,
        station,
        isNearEnd(span, path, at + (k / count) * length, facing),
      );
      samples.segment[slot] = index;
      samples.t[slot] = from + k * step;
      samples.step[slot] = step;
    }
    addWeight(samples, slot, walls, load, bend, walk.turnLeft);
    walk.turnLeft = 0;
  }
  walk.smooth = false;
}

/** The corner between two segments. */
function walkJoint(walk: Walk, index: number, next: number): void {
  const { samples, run, facing, span } = walk;
  const { path, walls } = facing.part;
  const turn = turnAt(path, next);
  walk.smooth = Math.abs(turn) < SMOOTH_TURN;
  if (walk.smooth || turn > 0) return;
  const count = Math.max(2, Math.ceil(-turn / FAN_STEP));
  const share = -turn / count;
  addWeight(samples, samples.count - 1, walls, 0, 0, share / 2);
  const nearEnd = isNearEnd(span, path, path.startMm[index]! + path.lengthMm[index]!, facing);
  for (let k = 1; k < count; k++) {
    stationAtCorner(path, next, -k * share, station);
    const slot = takeStation(samples, run, facing, station, nearEnd);
    samples.segment[slot] = ~next;
    samples.t[slot] = -k * share;
    samples.step[slot] = share;
    addWeight(samples, slot, walls, 0, 0, share);
  }
  walk.turnLeft = share / 2;
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

function addWeight(
  samples: SeamSamples,
  slot: number,
  walls: readonly [Wall, Wall, Wall],
  load: number,
  bend: number,
  turn: number,
): void {
  for (let depth = 0; depth < 3; depth++) {
    const weights = samples.weights[depth]!;
    if (weights[slot]! < 0) continue;
    const h = wallReach(walls[depth]!);
    weights[slot] = weights[slot]! + load * Math.max(0, 1 - bend * h) + turn * h;
  }
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
