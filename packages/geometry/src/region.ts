import { orient2d } from 'robust-predicates';
import { type Bounds, emptyBounds, joinBounds } from './bounds.ts';
import type { Curve } from './curve.ts';
import { flattenCurve } from './flatten.ts';
import { badCoordinate, type FillRule, kernelBoolean, MAX_COORDINATE, snap } from './kernel.ts';
import { type Affine, apply, type Point } from './point.ts';

/** A closed polygon as x0, y0, x1, y1, ...; the first vertex is not repeated. */
export type Ring = Float64Array;

/**
 * A set of polygons with holes. Outers run counterclockwise, holes clockwise, filled by the non-zero rule;
 * vertices lie on the 1 nm grid (units being mm), no vertex repeats its predecessor, no ring has zero area.
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

/**
 * A point well inside the ring: the middle of its widest span at some height. Not a vertex, for rounding to the
 * grid can put a vertex where two rings touch on the wrong side by a grid step.
 */
function innerPoint(ring: Ring): Point {
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
  const mirrored = m.a * m.d - m.b * m.c < 0;
  const rings = region.rings.map((ring, r) => {
    const out = new Float64Array(ring.length);
    for (let i = 0; i < ring.length; i += 2) {
      const q = apply(m, { x: ring[i]!, y: ring[i + 1]! });
      if (!(Math.abs(q.x) <= MAX_COORDINATE && Math.abs(q.y) <= MAX_COORDINATE)) {
        throw badCoordinate(r, i / 2, q.x, q.y);
      }
      const at = mirrored ? ring.length - 2 - i : i;
      out[at] = snap(q.x);
      out[at + 1] = snap(q.y);
    }
    return out;
  });
  // Rounding may make edges touch or cross by a grid step.
  return regionFromRings(rings, 'nonzero');
}
