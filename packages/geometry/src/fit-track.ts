/**
 * Candidate knots on a stretch of polyline, and the arcs between two of them that follow it.
 */
import type { Knot } from './fit-biarc.ts';
import type { Stretch } from './fit-stretch.ts';

/** How a smooth stretch begins or ends: a knot, with its direction when that is prescribed. */
export interface End extends Omit<Knot, 'theta'> {
  readonly theta: number | null;
}

/** A vertex as an end with nothing prescribed. */
export function vertexEnd(s: Stretch, vertex: number): End {
  const x = s.x[vertex]!;
  const y = s.y[vertex]!;
  return { x, y, px: x, py: y, before: vertex - 1, after: vertex + 1, theta: null };
}

/** Candidate knots on an arc of ordinary length. Fewer cost reach, more cost time. */
const KNOTS_PER_ARC = 12;
/** Share of the tolerance used where only the middle of an edge stands for its extreme. */
const MIDDLE_SHARE = 0.97;

/**
 * A stretch with the places where arcs may join: points (px, py) of the polyline, the vertices before and after
 * them, and the knots (x, y) beside them in the middle of the room the tolerance leaves.
 */
export interface Track {
  readonly s: Stretch;
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly px: Float64Array;
  readonly py: Float64Array;
  readonly before: Int32Array;
  readonly after: Int32Array;
  /** Both ends are one and the same place, passed smoothly. */
  readonly isLoop: boolean;
}

/** A knot of a chain, and whether a biarc leads to it. */
export interface ChainKnot extends Knot {
  viaBiarc: boolean;
}

export function knotAt(track: Track, k: number, theta: number): ChainKnot {
  return {
    x: track.x[k]!,
    y: track.y[k]!,
    px: track.px[k]!,
    py: track.py[k]!,
    before: track.before[k]!,
    after: track.after[k]!,
    theta,
    viaBiarc: false,
  };
}

/** Path length of the polyline up to a candidate. */
export function pathAt({ s, px, py, before }: Track, k: number): number {
  const i = before[k]!;
  return i < 0 ? 0 : s.path[i]! + Math.hypot(px[k]! - s.x[i]!, py[k]! - s.y[i]!);
}

/** Candidate knots from start to end: every vertex of a coarse polyline, about KNOTS_PER_ARC on each arc of a dense one. */
export function layTrack(s: Stretch, start: End, end: End, isLoop: boolean, within: number): Track {
  const all = layVertices(s, start, end, isLoop, within);
  const last = all.count - 1;
  const kept = [0];
  let at = 0;
  let isThinned = false;
  while (at < last) {
    let stride = 1;
    for (let span = 2 * KNOTS_PER_ARC; at + span <= last && feasible(all, at, at + span, within); span *= 2)
      stride *= 2;
    isThinned ||= stride > 1;
    const stop = Math.min(last, at + stride * KNOTS_PER_ARC);
    for (at += stride; at < stop; at += stride) kept.push(at);
    at = stop;
    kept.push(at);
  }
  if (!isThinned) return all;
  const reals = (from: Float64Array): Float64Array => Float64Array.from(kept, (k) => from[k]!);
  const integers = (from: Int32Array): Int32Array => Int32Array.from(kept, (k) => from[k]!);
  return {
    s,
    count: kept.length,
    x: reals(all.x),
    y: reals(all.y),
    px: reals(all.px),
    py: reals(all.py),
    before: integers(all.before),
    after: integers(all.after),
    isLoop,
  };
}

function layVertices(s: Stretch, start: End, end: End, isLoop: boolean, within: number): Track {
  const inner = Math.max(0, end.before - start.after + 1);
  const count = inner + 2;
  const reals = (): Float64Array => new Float64Array(count);
  const x = reals();
  const y = reals();
  const px = reals();
  const py = reals();
  const before = new Int32Array(count);
  const after = new Int32Array(count);
  const put = (k: number, end: End): void => {
    x[k] = end.x;
    y[k] = end.y;
    px[k] = end.px;
    py[k] = end.py;
    before[k] = end.before;
    after[k] = end.after;
  };
  put(0, start);
  put(count - 1, end);
  for (let k = 1; k <= inner; k++) {
    const i = start.after + k - 1;
    px[k] = s.x[i]!;
    py[k] = s.y[i]!;
    before[k] = i - 1;
    after[k] = i + 1;
    const shift = sideways(s, i, i - 1, i + 1, within);
    x[k] = px[k]! + shift.x;
    y[k] = py[k]! + shift.y;
  }
  if (isLoop) {
    const shift = sideways(s, 0, s.count - 2, 1, within);
    x[0]! += shift.x;
    y[0]! += shift.y;
    x[count - 1] = x[0]!;
    y[count - 1] = y[0]!;
  }
  return { s, count, x, y, px, py, before, after, isLoop };
}

/** Chords lie on one side of a smooth curve: knots moved half a sagitta to that side have room on both. */
function sideways(
  s: Stretch,
  i: number,
  before: number,
  after: number,
  within: number,
): { x: number; y: number } {
  const wx = s.x[after]! - s.x[before]!;
  const wy = s.y[after]! - s.y[before]!;
  const w = Math.hypot(wx, wy);
  if (w === 0) return { x: 0, y: 0 };
  const sagitta = (s.turn[i]! * (s.length[before]! + s.length[i]!)) / 16;
  const shift = Math.max(-within / 4, Math.min(within / 4, sagitta / 2));
  return { x: (-shift * wy) / w, y: (shift * wx) / w };
}

export const found = { low: 0, high: 0, chord: 0 };

/**
 * Half turns of the arcs from knot a to knot b that stay within `within` of the polyline between; fills `found`.
 * In the frame of the chord, x along it and y to the left, with c its length, an arc of half turn h lies on
 *   G = m (x^2 + y^2 - c x) - y = 0,  m = tan(h) / c,
 * and G is f of fit-biarc.ts over cos(h). With the quadratic part of its limits, -e <= G - m e^2 <= e suffices: linear
 * in m. An edge's extreme over the arc is taken at its middle.
 */
export function feasible(track: Track, a: number, b: number, within: number): boolean {
  const { x, y } = track.s;
  const ax = track.x[a]!;
  const ay = track.y[a]!;
  const dx = track.x[b]! - ax;
  const dy = track.y[b]! - ay;
  const c = Math.sqrt(dx * dx + dy * dy);
  const ux = dx / c;
  const uy = dy / c;
  const square = within * within;
  const inner = MIDDLE_SHARE * within;
  let low = Number.NEGATIVE_INFINITY;
  let high = Number.POSITIVE_INFINITY;
  let px = (track.px[a]! - ax) * ux + (track.py[a]! - ay) * uy;
  let py = (track.py[a]! - ay) * ux - (track.px[a]! - ax) * uy;
  const last = track.before[b]! + 1;
  for (let k = track.after[a]!; k <= last; k++) {
    const kx = (k < last ? x[k]! : track.px[b]!) - ax;
    const ky = (k < last ? y[k]! : track.py[b]!) - ay;
    const qx = kx * ux + ky * uy;
    const qy = ky * ux - kx * uy;
    const mx = (px + qx) / 2;
    const my = (py + qy) / 2;
    let d = mx * (c - mx) - my * my + square;
    if (!(d > 0)) return false;
    let inverse = 1 / d;
    let atLeast = (-my - inner) * inverse;
    let atMost = (-my + inner) * inverse;
    if (atLeast > low) low = atLeast;
    if (atMost < high) high = atMost;
    if (k < last) {
      d = qx * (c - qx) - qy * qy + square;
      if (!(d > 0)) return false;
      inverse = 1 / d;
      atLeast = (-qy - within) * inverse;
      atMost = (-qy + within) * inverse;
      if (atLeast > low) low = atLeast;
      if (atMost < high) high = atMost;
    }
    if (low > high) return false;
    px = qx;
    py = qy;
  }
  found.low = Math.atan(c * low);
  found.high = Math.atan(c * high);
  found.chord = Math.atan2(dy, dx);
  return true;
}
