import { orient2d } from 'robust-predicates';
import type { Bounds } from './bounds.ts';
import type { Point } from './point.ts';

/** A closed polygon as x0, y0, x1, y1, ...; the first vertex is not repeated. */
export type Ring = Float64Array;

/** Signed area, positive when the ring runs counterclockwise (shoelace formula about the first vertex). */
export function ringArea(ring: Ring): number {
  const n = ring.length;
  if (n < 6) return 0;
  const x0 = ring[0]!;
  const y0 = ring[1]!;
  let sum = 0;
  let px = ring[2]! - x0;
  let py = ring[3]! - y0;
  for (let i = 4; i < n; i += 2) {
    const x = ring[i]! - x0;
    const y = ring[i + 1]! - y0;
    sum += px * y - x * py;
    px = x;
    py = y;
  }
  return sum / 2;
}

export function ringBounds(ring: Ring): Bounds {
  let minX = Number.POSITIVE_INFINITY;
  let minY = Number.POSITIVE_INFINITY;
  let maxX = Number.NEGATIVE_INFINITY;
  let maxY = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < ring.length; i += 2) {
    const x = ring[i]!;
    const y = ring[i + 1]!;
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  }
  return { minX, minY, maxX, maxY };
}

/** Times the ring winds round the point, or 'on' when the point is on it. Exact (adaptive predicates). */
export function windingNumber(ring: Ring, x: number, y: number): number | 'on' {
  let winding = 0;
  const n = ring.length;
  let ax = ring[n - 2]!;
  let ay = ring[n - 1]!;
  for (let i = 0; i < n; i += 2) {
    const bx = ring[i]!;
    const by = ring[i + 1]!;
    if ((ay <= y && by >= y) || (ay >= y && by <= y)) {
      // orient2d is written for y down: positive means clockwise here.
      const turn = -orient2d(ax, ay, bx, by, x, y);
      if (turn === 0) {
        if ((ax <= x && bx >= x) || (ax >= x && bx <= x)) return 'on';
      } else if (ay <= y) {
        if (by > y && turn > 0) winding++;
      } else if (by <= y && turn < 0) winding--;
    }
    ax = bx;
    ay = by;
  }
  return winding;
}

/**
 * A point well inside the ring: the middle of its widest span at some height. Not a vertex, for rounding to the
 * grid can put a vertex where two rings touch on the wrong side by a grid step.
 */
export function innerPoint(ring: Ring): Point {
  const { minY, maxY } = ringBounds(ring);
  let width = -1;
  let best: Point = { x: ring[0]!, y: ring[1]! };
  for (const part of [0.5, 0.31, 0.73]) {
    const y = minY + part * (maxY - minY);
    const crossings: number[] = [];
    let ax = ring[ring.length - 2]!;
    let ay = ring[ring.length - 1]!;
    for (let i = 0; i < ring.length; i += 2) {
      const bx = ring[i]!;
      const by = ring[i + 1]!;
      if (ay <= y !== by <= y) crossings.push(ax + ((y - ay) / (by - ay)) * (bx - ax));
      ax = bx;
      ay = by;
    }
    crossings.sort((p, q) => p - q);
    for (let i = 0; i + 1 < crossings.length; i += 2) {
      const span = crossings[i + 1]! - crossings[i]!;
      if (span <= width) continue;
      width = span;
      best = { x: crossings[i]! + span / 2, y };
    }
  }
  return best;
}
