/**
 * The samples of one seam, and how one is taken: a station on the written path of a part, the wall point it faces at
 * each depth, and the gap from there to the other part.
 */
import type { AssembledPart } from './assemble.ts';
import type { WallPoint } from './round-wall.ts';
import { facingPoint, gapTo, nearestOnWall, type Wall } from './wall.ts';

type ByDepth = [Float64Array, Float64Array, Float64Array];

/** One entry a station. Filled in the order walked. */
export interface SeamSamples {
  count: number;
  /** Wall points, by depth. */
  x: ByDepth;
  y: ByDepth;
  gaps: ByDepth;
  /** Length of wall that a sample stands for, by depth, mm. */
  weights: ByDepth;
  /** 1 where the station faces its wall point, 0 where the nearest one stands for it. */
  faces: [Uint8Array, Uint8Array, Uint8Array];
  /** Number of the stretch of wall. */
  run: Int32Array;
  /** Segment of the path, or for a corner the bitwise complement of the segment that starts there. */
  segment: Int32Array;
  /** Parameter on the segment, or the turn taken at the corner, radians. */
  t: Float64Array;
  /** Distance to the neighbouring stations, in terms of t. */
  step: Float64Array;
  /** 1 where a third part may stand in an opening. */
  nearEnd: Int32Array;
}

/** What a station needs to know: whose wall it stands on, what it faces, and who else could fill a gap. */
export interface Facing {
  readonly part: AssembledPart;
  readonly other: AssembledPart;
  /** Everything else that is assembled: looked at for air near the ends of a seam only. */
  readonly rest: readonly AssembledPart[];
  /** Whether all walls in question are straight: then all depths are alike, and one stands for three. */
  readonly isStraight: boolean;
}

/**
 * Where a station stands: place x, y on the path, inward unit normal nx, ny, and how many half kerfs in to look for the
 * wall; 1 but at corners.
 */
export type Station = Float64Array;

export function seamSamples(size: number = 256): SeamSamples {
  return {
    count: 0,
    x: byDepth(size),
    y: byDepth(size),
    gaps: byDepth(size),
    weights: byDepth(size),
    faces: [new Uint8Array(size), new Uint8Array(size), new Uint8Array(size)],
    run: new Int32Array(size),
    segment: new Int32Array(size),
    t: new Float64Array(size),
    step: new Float64Array(size),
    nearEnd: new Int32Array(size),
  };
}

function byDepth(size: number): ByDepth {
  return [new Float64Array(size), new Float64Array(size), new Float64Array(size)];
}

function grow(samples: SeamSamples): void {
  const wider = seamSamples(2 * samples.run.length);
  for (const key of ['x', 'y', 'gaps', 'weights'] as const) {
    for (let depth = 0; depth < 3; depth++) wider[key][depth]!.set(samples[key][depth]!);
  }
  for (let depth = 0; depth < 3; depth++) wider.faces[depth]!.set(samples.faces[depth]!);
  for (const key of ['run', 'segment', 't', 'step', 'nearEnd'] as const) wider[key].set(samples[key]);
  Object.assign(samples, wider, { count: samples.count });
}

const place: WallPoint = { x: 0, y: 0, distance: 0 };

/** Takes the gaps at a station and returns the number of the sample; its weight is still 0. */
export function takeStation(
  samples: SeamSamples,
  run: number,
  facing: Facing,
  station: Station,
  nearEnd: boolean,
): number {
  if (samples.count === samples.run.length) grow(samples);
  const slot = samples.count++;
  samples.run[slot] = run;
  samples.nearEnd[slot] = nearEnd ? 1 : 0;
  const { walls, path } = facing.part;
  const x = station[0]!;
  const y = station[1]!;
  const nx = station[2]!;
  const ny = station[3]!;
  const [show, middle, back] = walls;
  if (facing.isStraight) {
    const faces = toWall(show, facing, station);
    record(samples, slot, 0, facing, nearEnd, faces);
    for (let depth = 1; depth < 3; depth++) {
      samples.x[depth]![slot] = place.x;
      samples.y[depth]![slot] = place.y;
      samples.gaps[depth]![slot] = samples.gaps[0][slot]!;
      samples.weights[depth]![slot] = 0;
      samples.faces[depth]![slot] = faces ? 1 : 0;
    }
    return slot;
  }
  // A disk that fits at a place of the path holds every smaller one that touches there: the widest kerf decides for all.
  if (station[4] === 1 && show.kind === 'round' && middle.kind === 'round' && back.kind === 'round') {
    if (facingPoint(show.radiusMm > back.radiusMm ? show : back, path, x, y, nx, ny, 1, place)) {
      for (let depth = 0; depth < 3; depth++) {
        const h = depth === 0 ? show.radiusMm : depth === 1 ? middle.radiusMm : back.radiusMm;
        place.x = x + h * nx;
        place.y = y + h * ny;
        record(samples, slot, depth, facing, nearEnd, true);
      }
      return slot;
    }
  }
  for (let depth = 0; depth < 3; depth++) {
    const faces = toWall(walls[depth]!, facing, station);
    record(samples, slot, depth, facing, nearEnd, faces);
  }
  return slot;
}

/** The gap at one depth only. */
export function gapAtStation(facing: Facing, station: Station, depth: number, nearEnd: boolean): number {
  toWall(facing.part.walls[depth]!, facing, station);
  return gapHere(facing, depth, nearEnd);
}

/** Brings `place` to the wall point that the station faces, or to the nearest one where it faces none. */
function toWall(wall: Wall, facing: Facing, station: Station): boolean {
  const { path } = facing.part;
  const mitre = station[4]!;
  if (facingPoint(wall, path, station[0]!, station[1]!, station[2]!, station[3]!, mitre, place)) {
    // At a corner of the wall its length is measured from wall point to wall point.
    return mitre === 1;
  }
  nearestOnWall(wall, place.x, place.y, place);
  if (place.distance === Number.POSITIVE_INFINITY) place.x = Number.NaN;
  return false;
}

function record(
  samples: SeamSamples,
  slot: number,
  depth: number,
  facing: Facing,
  nearEnd: boolean,
  faces: boolean,
): void {
  samples.x[depth]![slot] = place.x;
  samples.y[depth]![slot] = place.y;
  samples.gaps[depth]![slot] = gapHere(facing, depth, nearEnd);
  samples.weights[depth]![slot] = 0;
  samples.faces[depth]![slot] = faces ? 1 : 0;
}

/** Air is what no part fills: where a third part stands in the opening, there is neither air nor pressure. */
function gapHere(facing: Facing, depth: number, nearEnd: boolean): number {
  const { x, y } = place;
  // Nothing is left of the part itself.
  if (Number.isNaN(x)) return Number.POSITIVE_INFINITY;
  let gap = gapTo(facing.other.walls[depth]!, x, y);
  if (!(gap > 0) || !nearEnd) return gap;
  for (const part of facing.rest) {
    const { minX, minY, maxX, maxY } = part.path.bounds;
    if (x < minX - gap || x > maxX + gap || y < minY - gap || y > maxY + gap) continue;
    gap = Math.max(0, Math.min(gap, gapTo(part.walls[depth]!, x, y)));
  }
  return gap;
}
