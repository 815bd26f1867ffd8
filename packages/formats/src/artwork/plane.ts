/** Small helpers on the geometry of the plane that reading and stroking share. */
import {
  type Bounds,
  type Curve,
  curveBounds,
  emptyBounds,
  joinBounds,
  type Point,
  polygonCurve,
  type Ring,
} from '@inlaywright/geometry';

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
