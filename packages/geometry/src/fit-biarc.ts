/**
 * Biarcs against a polyline. A biarc is two arcs that join smoothly and lead from a point with a direction to another
 * point with a direction; of the one-parameter family the one with equal tangent lengths is taken
 * (Bolton, Biarc curves, Computer-Aided Design 7, 1975, from memory).
 *
 * Signed distance of a point p to the circle through P with unit tangent t, left normal n and curvature k: with
 *   f = k/2 |p - P|^2 - n.(p - P)
 * the distance is 2f / (1 + sqrt(1 + 2 k f)), positive on the right. So |distance| <= e is the same as
 * -e + k e^2/2 <= f <= e + k e^2/2: no root, no centre, and the same for lines (k = 0). Along a chord of length c, f is
 * its linear interpolant minus k c^2/2 u (1 - u), so a chord's extreme is known exactly as well.
 */
import type { Stretch } from './fit-stretch.ts';

/** A place where two arcs may join: a point of the curve, the polyline's point on the same normal, its neighbours there. */
export interface Knot {
  x: number;
  y: number;
  /** Where the polyline crosses the normal at the knot. */
  px: number;
  py: number;
  /** Last vertex of the polyline before the knot, and first one after it. */
  before: number;
  after: number;
  /** Direction of the curve, radians. */
  theta: number;
}

export interface Biarc {
  jointX: number;
  jointY: number;
  /** Signed curvatures of the two arcs. */
  k0: number;
  k1: number;
}

/**
 * Whether the biarc between two knots stays within `tolerance` of the polyline between them and the other way round;
 * fills `out` when it does. The polyline must cross the normals at the knots and at the joint once each and in order;
 * with all its points within the tolerance of the circles this bounds both directed distances, since each arc point
 * then has a polyline point on its own normal.
 */
export function biarcFollows(s: Stretch, from: Knot, to: Knot, tolerance: number, out: Biarc): boolean {
  const t0x = Math.cos(from.theta);
  const t0y = Math.sin(from.theta);
  const t1x = Math.cos(to.theta);
  const t1y = Math.sin(to.theta);
  const p0x = from.x;
  const p0y = from.y;
  const p1x = to.x;
  const p1y = to.y;
  const vx = p1x - p0x;
  const vy = p1y - p0y;
  const along = vx * (t0x + t1x) + vy * (t0y + t1y);
  const square = vx * vx + vy * vy;
  if (!(along > 0)) return false;
  const d = square / (along + Math.sqrt(along * along + 2 * (1 - t0x * t1x - t0y * t1y) * square));
  const jx = (p0x + p1x + d * (t0x - t1x)) / 2;
  const jy = (p0y + p1y + d * (t0y - t1y)) / 2;
  const tjx = (vx - d * (t0x + t1x)) / (2 * d);
  const tjy = (vy - d * (t0y + t1y)) / (2 * d);
  const ax = jx - p0x;
  const ay = jy - p0y;
  const bx = p1x - jx;
  const by = p1y - jy;
  // Each arc turns by less than a half circle, so that "ahead of its start" can be told by one dot product.
  if (!(ax * t0x + ay * t0y > 0 && bx * t1x + by * t1y > 0)) return false;
  const k0 = (2 * (t0x * ay - t0y * ax)) / (ax * ax + ay * ay);
  const k1 = (2 * (bx * t1y - by * t1x)) / (bx * bx + by * by);
  if (Math.max(Math.abs(k0), Math.abs(k1)) * tolerance > 0.5) return false;

  const { x, y } = s;
  let k = k0;
  let ox = p0x;
  let oy = p0y;
  let nx = -t0y;
  let ny = t0x;
  let low = -tolerance + (k * tolerance * tolerance) / 2;
  let high = low + 2 * tolerance;
  let onSecond = false;
  let qx = from.px;
  let qy = from.py;
  let fq = (k / 2) * ((qx - ox) ** 2 + (qy - oy) ** 2) - nx * (qx - ox) - ny * (qy - oy);
  let gapQ = (qx - jx) * tjx + (qy - jy) * tjy;
  if (fq < low || fq > high || gapQ >= 0) return false;
  for (let i = from.after; i <= to.before + 1; i++) {
    const isEnd = i > to.before;
    const rx = isEnd ? to.px : x[i]!;
    const ry = isEnd ? to.py : y[i]!;
    const gap = (rx - jx) * tjx + (ry - jy) * tjy;
    if (onSecond) {
      if (gap < 0) return false;
    } else if (gap >= 0) {
      // The edge crosses the joint's normal: its first half belongs to the first arc, the rest to the second.
      const u = gapQ / (gapQ - gap);
      const cx = qx + u * (rx - qx);
      const cy = qy + u * (ry - qy);
      const dx = cx - ox;
      const dy = cy - oy;
      const fc = (k / 2) * (dx * dx + dy * dy) - nx * dx - ny * dy;
      if (!edgeFollows(fq, fc, k, (cx - qx) ** 2 + (cy - qy) ** 2, low, high)) return false;
      onSecond = true;
      k = k1;
      ox = p1x;
      oy = p1y;
      nx = -t1y;
      ny = t1x;
      low = -tolerance + (k * tolerance * tolerance) / 2;
      high = low + 2 * tolerance;
      qx = cx;
      qy = cy;
      fq = (k / 2) * ((cx - ox) ** 2 + (cy - oy) ** 2) - nx * (cx - ox) - ny * (cy - oy);
    }
    const dx = rx - ox;
    const dy = ry - oy;
    if (onSecond ? dx * t1x + dy * t1y > 0 && !isEnd : dx * t0x + dy * t0y < 0) return false;
    const f = (k / 2) * (dx * dx + dy * dy) - nx * dx - ny * dy;
    const ex = rx - qx;
    const ey = ry - qy;
    if (!edgeFollows(fq, f, k, ex * ex + ey * ey, low, high)) return false;
    qx = rx;
    qy = ry;
    fq = f;
    gapQ = gap;
  }
  if (!onSecond) return false;
  out.jointX = jx;
  out.jointY = jy;
  out.k0 = k0;
  out.k1 = k1;
  return true;
}

/** Whether f stays between the limits along an edge, given its values at both ends (the first already checked). */
export function edgeFollows(
  fa: number,
  fb: number,
  k: number,
  edgeSquare: number,
  low: number,
  high: number,
): boolean {
  if (fb < low || fb > high) return false;
  const bend = (k * edgeSquare) / 8;
  if (bend > 0) {
    if (Math.min(fa, fb) - bend >= low) return true;
    return chordExtreme(fa, fb, bend) >= low;
  }
  if (Math.max(fa, fb) - bend <= high) return true;
  return -chordExtreme(-fa, -fb, -bend) <= high;
}

/** Least value over 0 <= u <= 1 of the linear interpolant of fa and fb minus 4 bend u (1 - u), bend > 0. */
function chordExtreme(fa: number, fb: number, bend: number): number {
  const u = 0.5 - (fb - fa) / (8 * bend);
  if (u <= 0 || u >= 1) return Math.min(fa, fb);
  return fa + (fb - fa) * u - 4 * bend * u * (1 - u);
}

/**
 * The same for a single arc that leaves `from` in its direction and ends in `to`: its signed curvature, or null when it
 * does not follow the polyline.
 */
export function arcFollows(s: Stretch, from: Knot, to: Knot, tolerance: number): number | null {
  const tx = Math.cos(from.theta);
  const ty = Math.sin(from.theta);
  const vx = to.x - from.x;
  const vy = to.y - from.y;
  const square = vx * vx + vy * vy;
  if (!(vx * tx + vy * ty > 0)) return null;
  const k = (2 * (tx * vy - ty * vx)) / square;
  if (Math.abs(k) * tolerance > 0.5) return null;
  const ex = Math.cos(to.theta);
  const ey = Math.sin(to.theta);
  const low = -tolerance + (k * tolerance * tolerance) / 2;
  const high = low + 2 * tolerance;
  let qx = from.px;
  let qy = from.py;
  let fq = offsetOf(qx - from.x, qy - from.y, tx, ty, k);
  if (fq < low || fq > high) return null;
  for (let i = from.after; i <= to.before + 1; i++) {
    const isEnd = i > to.before;
    const rx = isEnd ? to.px : s.x[i]!;
    const ry = isEnd ? to.py : s.y[i]!;
    const dx = rx - from.x;
    const dy = ry - from.y;
    if (!isEnd && (dx * tx + dy * ty < 0 || (rx - to.x) * ex + (ry - to.y) * ey > 0)) return null;
    const f = offsetOf(dx, dy, tx, ty, k);
    if (!edgeFollows(fq, f, k, (rx - qx) ** 2 + (ry - qy) ** 2, low, high)) return null;
    qx = rx;
    qy = ry;
    fq = f;
  }
  return k;
}

/** f for a point at (dx, dy) from a point of the circle with tangent (tx, ty). */
function offsetOf(dx: number, dy: number, tx: number, ty: number, k: number): number {
  return (k / 2) * (dx * dx + dy * dy) + ty * dx - tx * dy;
}
