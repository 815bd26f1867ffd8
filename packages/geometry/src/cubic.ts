/**
 * Cubic Bézier arithmetic. All functions read the four control points only, so that both a segment and
 * any `{from, c1, c2, to}` will do.
 */
import type { Bounds } from './bounds.ts';
import { gaussLegendre } from './gauss-legendre.ts';
import type { Point } from './point.ts';
import type { CubicSegment } from './segment.ts';

export type CubicPoints = Pick<CubicSegment, 'from' | 'c1' | 'c2' | 'to'>;

export function cubicPoint(cubic: CubicPoints, t: number): Point {
  const u = 1 - t;
  const w0 = u * u * u;
  const w1 = 3 * u * u * t;
  const w2 = 3 * u * t * t;
  const w3 = t * t * t;
  return {
    x: w0 * cubic.from.x + w1 * cubic.c1.x + w2 * cubic.c2.x + w3 * cubic.to.x,
    y: w0 * cubic.from.y + w1 * cubic.c1.y + w2 * cubic.c2.y + w3 * cubic.to.y,
  };
}

export function cubicDerivative(cubic: CubicPoints, t: number): Point {
  const { from, c1, c2, to } = cubic;
  const u = 1 - t;
  const w0 = 3 * u * u;
  const w1 = 6 * u * t;
  const w2 = 3 * t * t;
  return {
    x: w0 * (c1.x - from.x) + w1 * (c2.x - c1.x) + w2 * (to.x - c2.x),
    y: w0 * (c1.y - from.y) + w1 * (c2.y - c1.y) + w2 * (to.y - c2.y),
  };
}

/** De Casteljau's subdivision. The outer ends are the cubic's own end points, the inner ends are one object. */
export function splitCubic(cubic: CubicPoints, t: number): [CubicSegment, CubicSegment] {
  const { from, c1, c2, to } = cubic;
  const p01 = mix(from, c1, t);
  const p12 = mix(c1, c2, t);
  const p23 = mix(c2, to, t);
  const p012 = mix(p01, p12, t);
  const p123 = mix(p12, p23, t);
  const middle = mix(p012, p123, t);
  return [
    { kind: 'cubic', from, c1: p01, c2: p012, to: middle },
    { kind: 'cubic', from: middle, c1: p123, c2: p23, to },
  ];
}

/** Exact box: ends and the zeros of each coordinate's derivative. */
export function cubicBounds(cubic: CubicPoints): Bounds {
  const { from, c1, c2, to } = cubic;
  const [minX, maxX] = coordinateRange(from.x, c1.x, c2.x, to.x);
  const [minY, maxY] = coordinateRange(from.y, c1.y, c2.y, to.y);
  return { minX, minY, maxX, maxY };
}

/**
 * Greatest length of the second difference of the control points. The cubic's second derivative is at most six
 * times this, so n equal steps of t give chords within 0.75 times this over n squared of the curve
 * (linear interpolation error h^2/8 max|f''|).
 */
export function secondDifference(cubic: CubicPoints): number {
  const { from, c1, c2, to } = cubic;
  return Math.max(
    Math.hypot(from.x - 2 * c1.x + c2.x, from.y - 2 * c1.y + c2.y),
    Math.hypot(c1.x - 2 * c2.x + to.x, c1.y - 2 * c2.y + to.y),
  );
}

const rule = gaussLegendre(16);
/** Halvings before the length is taken as it is: only a cusp gets this far, and its share is then below 1e-9 of the whole. */
const LENGTH_DEPTH = 30;

/**
 * Arc length by adaptive Gauss-Legendre: 16 points on the whole against 16 on each half, until they agree to 1e-12, between
 * the places where the speed is least: at cusps and turning points it has kinks that quadrature would step over.
 */
export function cubicLength(cubic: CubicPoints): number {
  const { from, c1, c2, to } = cubic;
  const reach =
    Math.hypot(c1.x - from.x, c1.y - from.y) +
    Math.hypot(c2.x - c1.x, c2.y - c1.y) +
    Math.hypot(to.x - c2.x, to.y - c2.y);
  if (reach === 0) return 0;
  let sum = 0;
  let t0 = 0;
  for (const t1 of [...speedExtremes(cubic), 1]) {
    sum += refineLength(cubic, t0, t1, lengthBetween(cubic, t0, t1), 1e-12 * reach, 0);
    t0 = t1;
  }
  return sum;
}

/** Parameters between 0 and 1 where the speed is stationary: zeros of B'.B'', a cubic polynomial. */
function speedExtremes({ from, c1, c2, to }: CubicPoints): number[] {
  // B'/3 = d0 + 2 (d1 - d0) t + (d2 - 2 d1 + d0) t^2 with the differences of the control points.
  const d0 = { x: c1.x - from.x, y: c1.y - from.y };
  const d1 = { x: c2.x - c1.x, y: c2.y - c1.y };
  const d2 = { x: to.x - c2.x, y: to.y - c2.y };
  const p = { x: 2 * (d1.x - d0.x), y: 2 * (d1.y - d0.y) };
  const q = { x: d2.x - 2 * d1.x + d0.x, y: d2.y - 2 * d1.y + d0.y };
  const a = 2 * (q.x * q.x + q.y * q.y);
  const b = 3 * (p.x * q.x + p.y * q.y);
  const c = p.x * p.x + p.y * p.y + 2 * (d0.x * q.x + d0.y * q.y);
  const d = d0.x * p.x + d0.y * p.y;
  const at = (t: number): number => ((a * t + b) * t + c) * t + d;
  const slopeZeros = quadraticRoots(3 * a, 2 * b, c).filter((t) => t > 0 && t < 1);
  const stops = [0, ...slopeZeros.sort((s, t) => s - t), 1];
  const roots: number[] = [];
  for (let i = 1; i < stops.length; i++) {
    let low = stops[i - 1]!;
    let high = stops[i]!;
    if (at(low) * at(high) >= 0) continue;
    const rises = at(high) > 0;
    for (let k = 0; k < 60; k++) {
      const middle = (low + high) / 2;
      if (at(middle) > 0 === rises) high = middle;
      else low = middle;
    }
    roots.push((low + high) / 2);
  }
  return roots;
}

/** Real roots of a t^2 + b t + c; the form with q avoids cancellation (Press et al., Numerical Recipes, 5.6). */
function quadraticRoots(a: number, b: number, c: number): number[] {
  const disc = b * b - 4 * a * c;
  if (!(disc >= 0)) return [];
  const q = -0.5 * (b + (b < 0 ? -1 : 1) * Math.sqrt(disc));
  return [q / a, c / q];
}

function refineLength(
  cubic: CubicPoints,
  t0: number,
  t1: number,
  whole: number,
  tolerance: number,
  depth: number,
): number {
  const middle = (t0 + t1) / 2;
  const left = lengthBetween(cubic, t0, middle);
  const right = lengthBetween(cubic, middle, t1);
  if (depth >= LENGTH_DEPTH || Math.abs(left + right - whole) <= tolerance) return left + right;
  return (
    refineLength(cubic, t0, middle, left, tolerance / 2, depth + 1) +
    refineLength(cubic, middle, t1, right, tolerance / 2, depth + 1)
  );
}

function lengthBetween(cubic: CubicPoints, t0: number, t1: number): number {
  let sum = 0;
  for (let i = 0; i < rule.nodes.length; i++) sum += rule.weights[i]! * speed(cubic, t0, t1, rule.nodes[i]!);
  return sum * (t1 - t0);
}

function speed(cubic: CubicPoints, t0: number, t1: number, at: number): number {
  const d = cubicDerivative(cubic, t0 + at * (t1 - t0));
  return Math.hypot(d.x, d.y);
}

function mix(p: Point, q: Point, t: number): Point {
  return { x: p.x + t * (q.x - p.x), y: p.y + t * (q.y - p.y) };
}

function coordinateRange(p0: number, p1: number, p2: number, p3: number): [number, number] {
  let low = Math.min(p0, p3);
  let high = Math.max(p0, p3);
  if (p1 < low || p1 > high || p2 < low || p2 > high) {
    // Derivative over 3.
    for (const t of quadraticRoots(p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0)) {
      if (t > 0 && t < 1) {
        const u = 1 - t;
        const value = u * u * u * p0 + 3 * u * u * t * p1 + 3 * u * t * t * p2 + t * t * t * p3;
        low = Math.min(low, value);
        high = Math.max(high, value);
      }
    }
  }
  return [low, high];
}
