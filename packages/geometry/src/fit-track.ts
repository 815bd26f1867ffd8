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
  /** Path length of the polyline up to each. */
  readonly path: Float64Array;
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
  const x = new Float64Array(kept.length);
  const y = new Float64Array(kept.length);
  const px = new Float64Array(kept.length);
  const py = new Float64Array(kept.length);
  const before = new Int32Array(kept.length);
  const after = new Int32Array(kept.length);
  const path = new Float64Array(kept.length);
  for (let i = 0; i < kept.length; i++) {
    const k = kept[i]!;
    x[i] = all.x[k]!;
    y[i] = all.y[k]!;
    px[i] = all.px[k]!;
    py[i] = all.py[k]!;
    before[i] = all.before[k]!;
    after[i] = all.after[k]!;
    path[i] = all.path[k]!;
  }
  return { s, count: kept.length, x, y, px, py, before, after, path, isLoop };
}

/** An edge this much longer than a neighbour gets a knot near that end: a sharper bend may begin within it. */
const LONG_EDGE = 3;

function layVertices(s: Stretch, start: End, end: End, isLoop: boolean, within: number): Track {
  const x: number[] = [];
  const y: number[] = [];
  const px: number[] = [];
  const py: number[] = [];
  const before: number[] = [];
  const after: number[] = [];
  const path: number[] = [];
  const put = (dx: number, dy: number, at: Omit<End, 'x' | 'y' | 'theta'>): void => {
    x.push(at.px + dx);
    y.push(at.py + dy);
    px.push(at.px);
    py.push(at.py);
    before.push(at.before);
    after.push(at.after);
    const i = Math.max(0, at.before);
    path.push(s.path[i]! + Math.sqrt((at.px - s.x[i]!) ** 2 + (at.py - s.y[i]!) ** 2));
  };
  const putOnEdge = (i: number, share: number): void => {
    const ex = s.x[i]! + share * (s.x[i + 1]! - s.x[i]!);
    const ey = s.y[i]! + share * (s.y[i + 1]! - s.y[i]!);
    put(0, 0, { px: ex, py: ey, before: i, after: i + 1 });
  };
  const first = isLoop
    ? sideways(s, 0, s.count - 2, 1, within)
    : { x: start.x - start.px, y: start.y - start.py };
  put(first.x, first.y, start);
  for (let i = start.after; i <= end.before; i++) {
    const shift = sideways(s, i, i - 1, i + 1, within);
    put(shift.x, shift.y, { px: s.x[i]!, py: s.y[i]!, before: i - 1, after: i + 1 });
    if (i === end.before) break;
    const size = s.length[i]!;
    if (LONG_EDGE * s.length[i - 1]! < size) putOnEdge(i, s.length[i - 1]! / size);
    if (i + 1 < s.count - 1 && LONG_EDGE * s.length[i + 1]! < size) putOnEdge(i, 1 - s.length[i + 1]! / size);
  }
  const last = isLoop ? first : { x: end.x - end.px, y: end.y - end.py };
  put(last.x, last.y, end);
  return {
    s,
    count: x.length,
    x: Float64Array.from(x),
    y: Float64Array.from(y),
    px: Float64Array.from(px),
    py: Float64Array.from(py),
    before: Int32Array.from(before),
    after: Int32Array.from(after),
    path: Float64Array.from(path),
    isLoop,
  };
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
 * in m. An edge's extreme over the arc is taken at its middle; an arc that bends the polyline's way comes nearest to one of
 * the limits there, to the other at vertices.
 */
export function feasible(track: Track, a: number, b: number, within: number): boolean {
  const dx = track.x[b]! - track.x[a]!;
  const dy = track.y[b]! - track.y[a]!;
  const c = Math.sqrt(dx * dx + dy * dy);
  const ux = dx / c;
  const uy = dy / c;
  const i = (track.after[a]! + track.before[b]! + 1) >> 1;
  const side = (track.s.y[i]! - track.y[a]!) * ux - (track.s.x[i]! - track.x[a]!) * uy;
  if (!bendRange(track, a, b, c, ux, uy, within, side < 0 ? 1 : -1)) return false;
  found.low = arctan(c * found.low);
  found.high = arctan(c * found.high);
  found.chord = Math.atan2(dy, dx);
  return true;
}

/** Arc tangent: for slight bends by its series, within 1e-8, which is closer than the limits themselves are. */
function arctan(x: number): number {
  const square = x * x;
  if (square > 0.01) return Math.atan(x);
  return x * (1 - square * (1 / 3 - square * (1 / 5 - square / 7)));
}

/** The range of m, for polylines that bend to the left (1) or right (-1); where m may have either sign, all limits count. */
function bendRange(
  track: Track,
  a: number,
  b: number,
  c: number,
  ux: number,
  uy: number,
  within: number,
  bend: number,
): boolean {
  const { x, y } = track.s;
  const ax = track.x[a]!;
  const ay = track.y[a]!;
  // Mirrored, a bend to the right is one to the left.
  const vx = bend * ux;
  const vy = bend * uy;
  const square = within * within;
  const inner = MIDDLE_SHARE * within;
  let low = 0;
  let high = Number.POSITIVE_INFINITY;
  let px = (track.px[a]! - ax) * ux + (track.py[a]! - ay) * uy;
  let py = (track.py[a]! - ay) * vx - (track.px[a]! - ax) * vy;
  const last = track.before[b]! + 1;
  for (let k = track.after[a]!; k <= last; k++) {
    const kx = (k < last ? x[k]! : track.px[b]!) - ax;
    const ky = (k < last ? y[k]! : track.py[b]!) - ay;
    const qx = kx * ux + ky * uy;
    const qy = ky * vx - kx * vy;
    const mx = (px + qx) / 2;
    const my = (py + qy) / 2;
    let d = mx * (c - mx) - my * my + square;
    if (!(d > 0)) return false;
    if (inner - my < high * d) high = (inner - my) / d;
    if (k < last) {
      d = qx * (c - qx) - qy * qy + square;
      if (!(d > 0)) return false;
      if (-qy - within > low * d) low = (-qy - within) / d;
      if (within - qy < high * d) high = (within - qy) / d;
    }
    if (low > high) {
      if (low > 0) return false;
      break;
    }
    px = qx;
    py = qy;
  }
  if (low > 0) {
    found.low = bend > 0 ? low : -high;
    found.high = bend > 0 ? high : -low;
    return true;
  }
  return fullRange(track, a, b, c, ux, uy, within);
}

function fullRange(
  track: Track,
  a: number,
  b: number,
  c: number,
  ux: number,
  uy: number,
  within: number,
): boolean {
  const { x, y } = track.s;
  const ax = track.x[a]!;
  const ay = track.y[a]!;
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
    low = Math.max(low, (-my - inner) / d);
    high = Math.min(high, (-my + inner) / d);
    if (k < last) {
      d = qx * (c - qx) - qy * qy + square;
      if (!(d > 0)) return false;
      low = Math.max(low, (-qy - within) / d);
      high = Math.min(high, (-qy + within) / d);
    }
    if (low > high) return false;
    px = qx;
    py = qy;
  }
  found.low = low;
  found.high = high;
  return true;
}
