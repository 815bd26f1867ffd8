import { type Bounds, emptyBounds, joinBounds } from './bounds.ts';
import type { Curve } from './curve.ts';
import { flattenCurve } from './flatten.ts';
import { snap } from './grid.ts';
import { badCoordinate, type FillRule, kernelBoolean, MAX_COORDINATE } from './kernel.ts';
import { type Affine, determinant, type Point } from './point.ts';
import { innerPoint, type Ring, ringArea, ringBounds, windingNumber } from './ring.ts';

export type { Ring } from './ring.ts';

/**
 * A set of polygons with holes. Outers run counterclockwise, holes clockwise, filled by the non-zero rule;
 * vertices lie on the 1 nm grid (units being mm), no vertex repeats its predecessor, no outer
 * is without area and no hole thinner than a grid step on average.
 * Rings may touch one another or themselves at vertices.
 */
export interface Region {
  readonly rings: readonly Ring[];
}

export const emptyRegion: Region = { rings: [] };

/**
 * The region that the curves fill, flattened within `tolerance` (default FLATTEN_TOLERANCE).
 * @throws GeometryError kernel-closed, bad-coordinate
 */
export function regionFromCurves(curves: readonly Curve[], fillRule: FillRule, tolerance?: number): Region {
  return regionFromRings(
    curves.map((curve) => flattenCurve(curve, tolerance)),
    fillRule,
  );
}

/**
 * The region that the rings fill; they may cross, overlap and run either way.
 * @throws GeometryError kernel-closed, bad-coordinate, bad-ring
 */
export function regionFromRings(rings: readonly Ring[], fillRule: FillRule): Region {
  return { rings: kernelBoolean('union', rings, [], fillRule) };
}

/** Area, holes taken off. */
export function regionArea(region: Region): number {
  let sum = 0;
  for (const ring of region.rings) sum += ringArea(ring);
  return sum;
}

/** The smallest upright box; of an empty region the empty box. */
export function regionBounds(region: Region): Bounds {
  return region.rings.map(ringBounds).reduce(joinBounds, emptyBounds);
}

/**
 * The connected solids: each one outer ring, which comes first, and its holes. Islands in a hole are components of
 * their own.
 */
export function components(region: Region): Region[] {
  const outers: Outer[] = [];
  const holes: Ring[] = [];
  for (const ring of region.rings) {
    const area = ringArea(ring);
    if (area > 0) outers.push({ area, box: ringBounds(ring), rings: [ring] });
    else holes.push(ring);
  }
  if (outers.length === 1) {
    const [outer] = outers[0]!.rings;
    return [region.rings[0] === outer ? region : { rings: [outer!, ...holes] }];
  }
  // Smallest first: the first outer that holds a hole is its own, for islands in the hole are smaller still.
  const bySize = [...outers].sort((a, b) => a.area - b.area);
  for (const hole of holes) {
    const area = -ringArea(hole);
    const { x, y } = innerPoint(hole);
    const around = bySize.filter(
      (o) => o.area > area && o.box.minX <= x && x <= o.box.maxX && o.box.minY <= y && y <= o.box.maxY,
    );
    // A hole thinner than a few grid steps has no inner point worth the name: then the box must do.
    const owner = around.find((o) => windingNumber(o.rings[0]!, x, y) !== 0) ?? around[0];
    owner?.rings.push(hole);
  }
  return outers.map(({ rings }) => ({ rings }));
}

interface Outer {
  readonly area: number;
  readonly box: Bounds;
  readonly rings: Ring[];
}

/** Whether the point is in the region or on its boundary. Exact. */
export function containsPoint(region: Region, p: Point): boolean {
  let winding = 0;
  for (const ring of region.rings) {
    const w = windingNumber(ring, p.x, p.y);
    if (w === 'on') return true;
    winding += w;
  }
  return winding !== 0;
}

/**
 * The region under an affine map, back on the grid.
 * @throws GeometryError kernel-closed, bad-coordinate
 */
export function transformRegion(region: Region, m: Affine): Region {
  // Rounding may make edges touch or cross by a grid step.
  return regionFromRings(mapped(region, m).rings, 'nonzero');
}

/** The rings under an affine map, on the grid; for maps that press nothing together, which would want cleaning. */
export function mapped(region: Region, m: Affine): Region {
  const mirrored = determinant(m) < 0;
  const rings = region.rings.map((ring, r) => {
    const out = new Float64Array(ring.length);
    for (let i = 0; i < ring.length; i += 2) {
      const x = m.a * ring[i]! + m.c * ring[i + 1]! + m.e;
      const y = m.b * ring[i]! + m.d * ring[i + 1]! + m.f;
      if (!(Math.abs(x) <= MAX_COORDINATE && Math.abs(y) <= MAX_COORDINATE))
        throw badCoordinate(r, i / 2, x, y);
      const at = mirrored ? ring.length - 2 - i : i;
      out[at] = snap(x);
      out[at + 1] = snap(y);
    }
    return out;
  });
  return { rings };
}
