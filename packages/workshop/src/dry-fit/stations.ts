/**
 * Walks the walls of a seam and takes the gap at every station, at the three depths.
 *
 * A station is a place on the written path with its inward normal. At each depth it stands for the wall point that it
 * faces; where the wall has a sharp corner there is none, and the station then stands for the nearest wall point (the
 * corner, mostly) with weight 0: it counts for the extremes, not for means. Weights are wall lengths: (1 - h / r) of
 * the path's length on an arc of radius r with the solid inside, (1 + h / r) with the solid outside, h times the turn
 * at a sharp inner corner of the path, round which the wall is an arc of radius h.
 */
import type { AssembledPart } from './assemble.ts';
import type { WallPoint } from './round-wall.ts';
import type { WallSpan } from './seam-walls.ts';
import { facingPoint, gapTo, nearestOnWall, type Wall } from './wall.ts';
import { neighbourSegment, stationOn, type WrittenPath } from './written-path.ts';

/** Joints that turn less than this, radians, are smooth: the fit of the written curves and its decimals turn less. */
const SMOOTH_TURN = 0.02;
/** Widest angle between neighbouring stations round a corner, radians. */
const FAN_STEP = 0.5;
/** Rounds in the search for the extremes between stations; each halves the step. */
const REFINEMENTS = 6;

/** Samples of one seam, filled station by station. */
export interface SeamSamples {
  count: number;
  /** Wall points in the middle, and per depth the places whose gap was taken. */
  x: [Float64Array, Float64Array, Float64Array];
  y: [Float64Array, Float64Array, Float64Array];
  gaps: [Float64Array, Float64Array, Float64Array];
  weights: [Float64Array, Float64Array, Float64Array];
  /** Number of the span each sample belongs to, in the order walked. */
  run: Int32Array;
  /** Segment of the path, and its parameter; -1 for stations at corners. */
  segment: Int32Array;
  t: Float64Array;
  /** Half the distance to the neighbouring stations, as a step of t. */
  step: Float64Array;
}

function room(size: number): [Float64Array, Float64Array, Float64Array] {
  return [new Float64Array(size), new Float64Array(size), new Float64Array(size)];
}

export function seamSamples(size: number = 256): SeamSamples {
  return {
    count: 0,
    x: room(size),
    y: room(size),
    gaps: room(size),
    weights: room(size),
    run: new Int32Array(size),
    segment: new Int32Array(size),
    t: new Float64Array(size),
    step: new Float64Array(size),
  };
}

function grown(samples: SeamSamples): void {
  const wider = <T extends Float64Array | Int32Array>(from: T, to: T): T => {
    to.set(from);
    return to;
  };
  const size = 2 * samples.run.length;
  for (const key of ['x', 'y', 'gaps', 'weights'] as const) {
    const to = room(size);
    for (let level = 0; level < 3; level++) to[level]!.set(samples[key][level]!);
    samples[key] = to;
  }
  samples.run = wider(samples.run, new Int32Array(size));
  samples.segment = wider(samples.segment, new Int32Array(size));
  samples.t = wider(samples.t, new Float64Array(size));
  samples.step = wider(samples.step, new Float64Array(size));
}

/** What a station needs to know: whose wall it stands on, what it faces, and who else could fill a gap. */
export interface Facing {
  readonly part: AssembledPart;
  readonly other: AssembledPart;
  /** Everything else that is assembled: looked at for air near the ends of a seam only. */
  readonly rest: readonly AssembledPart[];
}

const station = new Float64Array(4);
const place: WallPoint = { x: 0, y: 0, distance: 0 };

/** Walks one span of the part's path. Stations stand `stepMm` apart or closer, at every joint, and round corners. */
export function walkSpan(
  samples: SeamSamples,
  run: number,
  facing: Facing,
  span: WallSpan,
  stepMm: number,
): void {
  const { path } = facing.part;
  const contour = path.contours[span.contour]!;
  const first = contour.first;
  let along = span.startMm;
  let lap = Math.floor(along / contour.lengthMm) * contour.lengthMm;
  let index = first;
  while (index < first + contour.count - 1 && path.startMm[index + 1]! + lap <= along) index++;
  const widest = Math.max(...facing.part.walls.map(reachOf));
  let smooth = false;
  for (;;) {
    const length = path.lengthMm[index]!;
    const from = (along - lap - path.startMm[index]!) / length;
    const to = Math.min(1, (span.endMm - lap - path.startMm[index]!) / length);
    walkSegment(samples, run, facing, span, index, Math.max(0, from), to, smooth, stepMm, widest);
    along = path.startMm[index]! + length + lap;
    const next = neighbourSegment(path, index, 1);
    if (to < 1 || span.endMm - along < 1e-9) {
      // A whole contour also owns the corner at which it starts.
      if (span.endMm - span.startMm >= contour.lengthMm) walkJoint(samples, run, facing, span, index, next);
      return;
    }
    if (next === first) lap += contour.lengthMm;
    smooth = walkJoint(samples, run, facing, span, index, next);
    index = next;
  }
}

/** The largest distance between a path and its wall, mm. */
function reachOf(wall: Wall): number {
  return wall.kind === 'round' ? wall.radiusMm : Math.max(wall.rx, wall.ry);
}

function walkSegment(
  samples: SeamSamples,
  run: number,
  facing: Facing,
  span: WallSpan,
  index: number,
  from: number,
  to: number,
  skipFirst: boolean,
  stepMm: number,
  widest: number,
): void {
  const { path, walls } = facing.part;
  const segment = path.segments[index]!;
  const length = path.lengthMm[index]! * Math.max(0, to - from);
  const bend = segment.kind === 'line' ? 0 : Math.sign(segment.sweep) / segment.radius;
  const angle = segment.kind === 'line' ? 0 : Math.abs(segment.sweep) * Math.max(0, to - from);
  // On a tight arc with the solid inside most of the length shrinks to a corner of the wall.
  const stretch = bend > 0 ? 1 : 1 - bend * widest;
  const narrowest = bend > 0 ? Math.max(0, 1 - bend * Math.min(...walls.map(reachOf))) : stretch;
  const count = Math.max(
    1,
    Math.ceil((length * narrowest) / stepMm - 1e-9),
    angle > 0.1 ? 2 * Math.ceil(angle / 4) : 1,
    bend < 0 ? Math.ceil(angle / FAN_STEP) : 1,
  );
  const step = (to - from) / count;
  const at = path.startMm[index]! + from * path.lengthMm[index]!;
  for (let k = 0; k <= count; k++) {
    const load = (k === 0 || k === count ? 0.5 : 1) * (length / count);
    if (k === 0 && skipFirst) {
      addWeight(samples, samples.count - 1, walls, load, bend, 0);
      continue;
    }
    const t = from + k * step;
    stationOn(path, index, t, station);
    const slot = takeStation(samples, run, facing, isNearEnd(span, path, at + (k / count) * length, facing));
    samples.segment[slot] = index;
    samples.t[slot] = t;
    samples.step[slot] = step;
    addWeight(samples, slot, walls, load, bend, 0);
  }
}

/** The corner between two segments; returns whether it is none, so that one station does for both. */
function walkJoint(
  samples: SeamSamples,
  run: number,
  facing: Facing,
  span: WallSpan,
  index: number,
  next: number,
): boolean {
  const { path, walls } = facing.part;
  const ax = path.tangents[4 * index + 2]!;
  const ay = path.tangents[4 * index + 3]!;
  const bx = path.tangents[4 * next]!;
  const by = path.tangents[4 * next + 1]!;
  const turn = Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
  if (Math.abs(turn) < SMOOTH_TURN) return true;
  if (turn > 0) return false;
  const count = Math.max(2, Math.ceil(-turn / FAN_STEP));
  const share = -turn / count;
  addWeight(samples, samples.count - 1, walls, 0, 0, share / 2);
  const { from } = path.segments[next]!;
  const nearEnd = isNearEnd(span, path, path.startMm[next]!, facing);
  for (let k = 1; k < count; k++) {
    const angle = -k * share;
    const cos = Math.cos(angle);
    const sin = Math.sin(angle);
    station[0] = from.x;
    station[1] = from.y;
    station[2] = -(ay * cos + ax * sin);
    station[3] = ax * cos - ay * sin;
    const slot = takeStation(samples, run, facing, nearEnd);
    samples.segment[slot] = -1;
    addWeight(samples, slot, walls, 0, 0, k === count - 1 ? 1.5 * share : share);
  }
  return false;
}

function addWeight(
  samples: SeamSamples,
  slot: number,
  walls: readonly [Wall, Wall, Wall],
  load: number,
  bend: number,
  turn: number,
): void {
  for (let level = 0; level < 3; level++) {
    const weights = samples.weights[level]!;
    if (weights[slot]! < 0) continue;
    const h = reachOf(walls[level]!);
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

/** Takes the gaps at `station` and returns the number of the sample; its weights are still to be added. */
function takeStation(samples: SeamSamples, run: number, facing: Facing, nearEnd: boolean): number {
  if (samples.count === samples.run.length) grown(samples);
  const slot = samples.count++;
  samples.run[slot] = run;
  const [px, py, nx, ny] = station as unknown as [number, number, number, number];
  const { walls, path } = facing.part;
  let faces = true;
  // A disk that fits at a place of the path holds every smaller one that touches there: the widest kerf decides for all.
  if (walls[0].kind === 'round' && walls[1].kind === 'round' && walls[2].kind === 'round') {
    const widest = walls[0].radiusMm >= walls[2].radiusMm ? walls[0] : walls[2];
    faces = facingPoint(widest, path, px, py, nx, ny, place);
    if (faces) {
      for (let level = 0; level < 3; level++) {
        const h = (walls[level] as { radiusMm: number }).radiusMm;
        place.x = px + h * nx;
        place.y = py + h * ny;
        record(samples, slot, level, facing, nearEnd, 0);
      }
      return slot;
    }
  }
  for (let level = 0; level < 3; level++) {
    const wall = walls[level]!;
    faces = facingPoint(wall, path, px, py, nx, ny, place);
    if (!faces) nearestOnWall(wall, place.x, place.y, place);
    record(samples, slot, level, facing, nearEnd, faces ? 0 : WEIGHTLESS);
  }
  return slot;
}

/** Marks a sample whose weight stays 0. */
const WEIGHTLESS = -1;

function record(
  samples: SeamSamples,
  slot: number,
  level: number,
  facing: Facing,
  nearEnd: boolean,
  weight: number,
): void {
  const { x, y } = place;
  samples.x[level]![slot] = x;
  samples.y[level]![slot] = y;
  samples.gaps[level]![slot] = gapHere(facing, level, x, y, nearEnd);
  samples.weights[level]![slot] = weight;
}

/** Air is what no part fills: where a third part stands in the opening, there is neither air nor pressure. */
function gapHere(facing: Facing, level: number, x: number, y: number, nearEnd: boolean): number {
  let gap = gapTo(facing.other.walls[level]!, x, y);
  if (!(gap > 0) || !nearEnd) return gap;
  for (const part of facing.rest) {
    const { minX, minY, maxX, maxY } = part.path.bounds;
    if (x < minX - gap || x > maxX + gap || y < minY - gap || y > maxY + gap) continue;
    gap = Math.max(0, Math.min(gap, gapTo(part.walls[level]!, x, y)));
  }
  return gap;
}

/**
 * Looks between the stations for a wider and a narrower gap than the stations found, at each depth, on the segment of
 * the station that leads; what is found becomes a sample of weight 0.
 */
export function refineExtremes(samples: SeamSamples, facingOf: (run: number) => Facing): void {
  const stations = samples.count;
  for (let level = 0; level < 3; level++) {
    for (const sign of [1, -1]) {
      const gaps = samples.gaps[level]!;
      let lead = 0;
      for (let i = 1; i < stations; i++) if (sign * gaps[i]! > sign * gaps[lead]!) lead = i;
      if (samples.segment[lead]! >= 0) climb(samples, lead, level, sign, facingOf(samples.run[lead]!));
    }
  }
}

function climb(samples: SeamSamples, lead: number, level: number, sign: number, facing: Facing): void {
  const { path } = facing.part;
  const index = samples.segment[lead]!;
  const start = samples.gaps[level]![lead]!;
  let t = samples.t[lead]!;
  let step = samples.step[lead]! / 2;
  let best = sign * start;
  for (let round = 0; round < REFINEMENTS; round++) {
    let better = t;
    for (const candidate of [t - step, t + step]) {
      if (candidate < 0 || candidate > 1) continue;
      const gap = gapAtPlace(facing, index, candidate, level);
      if (sign * gap > best) {
        best = sign * gap;
        better = candidate;
      }
    }
    t = better;
    step /= 2;
  }
  // A sample more is worth it from a hundredth of a micrometre.
  if (best < sign * start + 1e-5) return;
  stationOn(path, index, t, station);
  const slot = takeStation(samples, samples.run[lead]!, facing, false);
  samples.segment[slot] = index;
  samples.t[slot] = t;
  for (let k = 0; k < 3; k++) samples.weights[k]![slot] = WEIGHTLESS;
}

function gapAtPlace(facing: Facing, index: number, t: number, level: number): number {
  const { path, walls } = facing.part;
  stationOn(path, index, t, station);
  const wall = walls[level]!;
  if (!facingPoint(wall, path, station[0]!, station[1]!, station[2]!, station[3]!, place)) {
    nearestOnWall(wall, place.x, place.y, place);
  }
  return gapTo(facing.other.walls[level]!, place.x, place.y);
}
