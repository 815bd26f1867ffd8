/** Refits a dense closed polygon with lines and arcs. */
import { type Curve, circleCurve, polygonCurve } from './curve.ts';
import type { Point } from './point.ts';

/** Default greatest distance between the fitted curve and the ring, mm: 1.5 um. */
export const FIT_TOLERANCE = 0.0015;

export interface FitOptions {
  /** Greatest two-sided distance between curve and ring; 1.5 um (mm) when absent. */
  readonly tolerance?: number;
}

/** A closed curve of lines and arcs within the tolerance of the ring, walked the same way. */
export function fitCurve(ring: Float64Array, options: FitOptions = {}): Curve {
  const tolerance = options.tolerance ?? FIT_TOLERANCE;
  return fitCircle(ring, tolerance) ?? polygonCurve(ringPoints(ring));
}

function ringPoints(ring: Float64Array): Point[] {
  const points: Point[] = [];
  for (let i = 0; i < ring.length; i += 2) points.push({ x: ring[i]!, y: ring[i + 1]! });
  return points;
}

function fitCircle(ring: Float64Array, tolerance: number): Curve | null {
  const n = ring.length / 2;
  if (n < 8) return null;
  let cx = 0;
  let cy = 0;
  for (let i = 0; i < n; i++) {
    cx += ring[2 * i]! / n;
    cy += ring[2 * i + 1]! / n;
  }
  let r = 0;
  let area = 0;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    r += Math.hypot(ring[2 * i]! - cx, ring[2 * i + 1]! - cy) / n;
    area += ring[2 * i]! * ring[2 * j + 1]! - ring[2 * j]! * ring[2 * i + 1]!;
  }
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const mx = (ring[2 * i]! + ring[2 * j]!) / 2;
    const my = (ring[2 * i + 1]! + ring[2 * j + 1]!) / 2;
    if (Math.abs(Math.hypot(ring[2 * i]! - cx, ring[2 * i + 1]! - cy) - r) > tolerance / 2) return null;
    if (Math.abs(Math.hypot(mx - cx, my - cy) - r) > tolerance / 2) return null;
  }
  const circle = circleCurve({ x: cx, y: cy }, r);
  if (area > 0) return circle;
  const start = circle.segments[0]!.from;
  return {
    segments: [
      { kind: 'arc', from: start, to: start, centre: { x: cx, y: cy }, radius: r, sweep: -2 * Math.PI },
    ],
  };
}
