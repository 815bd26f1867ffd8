/** Small helpers on the geometry of the plane that reading and stroking share. */
import {
  type Affine,
  type Bounds,
  type Curve,
  curveBounds,
  emptyBounds,
  joinBounds,
  type Point,
  polygonCurve,
  type Ring,
} from '@inlaywright/geometry';

/** The singular values of the map: how much it stretches in its two principal directions. */
export function scaleFactors(m: Affine): { readonly large: number; readonly small: number } {
  const turning = Math.hypot(m.a + m.d, m.b - m.c) / 2;
  const mirroring = Math.hypot(m.a - m.d, m.b + m.c) / 2;
  return { large: turning + mirroring, small: Math.abs(turning - mirroring) };
}

export function ringCurve(ring: Ring): Curve {
  const points: Point[] = [];
  for (let i = 0; i < ring.length; i += 2) points.push({ x: ring[i]!, y: ring[i + 1]! });
  return polygonCurve(points);
}

export function boundsOfCurves(curves: readonly Curve[]): Bounds {
  return curves.reduce((box, curve) => joinBounds(box, curveBounds(curve)), emptyBounds);
}

export function isWithin(inner: Bounds, outer: Bounds, slack: number): boolean {
  return (
    inner.minX >= outer.minX - slack &&
    inner.minY >= outer.minY - slack &&
    inner.maxX <= outer.maxX + slack &&
    inner.maxY <= outer.maxY + slack
  );
}

export function isApart(a: Bounds, b: Bounds): boolean {
  return a.minX >= b.maxX || a.maxX <= b.minX || a.minY >= b.maxY || a.maxY <= b.minY;
}
