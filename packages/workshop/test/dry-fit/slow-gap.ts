/**
 * The slow twin of the dry fit: walls as polygons offset by the region kernel, distances by trying every edge.
 * Nothing of the level-set method is used here.
 */
import { type Curve, offset, type Region, regionFromCurves } from '@inlaywright/geometry';

/** Chord and arc error of the polygons, mm. */
export const SLOW_TOLERANCE_MM = 0.00002;

/** What a beam of half width h leaves of the part inside the path. */
export function slowSolid(curves: readonly Curve[], h: number): Region {
  const path = regionFromCurves(curves, 'nonzero', SLOW_TOLERANCE_MM);
  return offset(path, -h, { tolerance: SLOW_TOLERANCE_MM });
}

/** Signed gap from a point to the solid: positive outside. Every edge is tried; inside by counting crossings of a ray. */
export function slowGap(solid: Region, x: number, y: number): number {
  let square = Number.POSITIVE_INFINITY;
  let winding = 0;
  for (const ring of solid.rings) {
    const n = ring.length;
    for (let i = 0; i < n; i += 2) {
      const ax = ring[i]!;
      const ay = ring[i + 1]!;
      const j = i + 2 === n ? 0 : i + 2;
      const bx = ring[j]!;
      const by = ring[j + 1]!;
      const ux = bx - ax;
      const uy = by - ay;
      const t = Math.min(1, Math.max(0, ((x - ax) * ux + (y - ay) * uy) / (ux * ux + uy * uy)));
      square = Math.min(square, (x - ax - t * ux) ** 2 + (y - ay - t * uy) ** 2);
      if (ay <= y !== by <= y) {
        const side = ux * (y - ay) - (x - ax) * uy;
        if (by > ay ? side > 0 : side < 0) winding += by > ay ? 1 : -1;
      }
    }
  }
  return winding === 0 ? Math.sqrt(square) : -Math.sqrt(square);
}
