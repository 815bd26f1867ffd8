import type { Point, Region } from '@inlaywright/geometry';

/** The line keeps this share of the way to the boundary at each end. */
const REACH = 0.7;
/** Longest half of a grain line, mm: it is a sign, not a measure. */
const LONGEST_HALF_MM = 6;
/** Shorter halves are left out, mm: too short to read a direction from. */
const SHORTEST_HALF_MM = 1.2;

/** A stretch along the grain through a point inside a region, clear of the boundary; null where there is no room. */
export function grainLine(
  region: Region,
  through: Point,
  grainDeg: number,
): { readonly from: Point; readonly to: Point } | null {
  const angle = (grainDeg * Math.PI) / 180;
  const ux = Math.cos(angle);
  const uy = Math.sin(angle);
  let ahead = Number.POSITIVE_INFINITY;
  let behind = Number.POSITIVE_INFINITY;
  for (const ring of region.rings) {
    const n = ring.length / 2;
    for (let i = 0; i < n; i++) {
      const j = (i + 1) % n;
      const ax = ring[2 * i]! - through.x;
      const ay = ring[2 * i + 1]! - through.y;
      const bx = ring[2 * j]! - through.x;
      const by = ring[2 * j + 1]! - through.y;
      // Height of the edge's ends over the grain line; the edge crosses it where the sign changes.
      const ha = ux * ay - uy * ax;
      const hb = ux * by - uy * bx;
      if (ha > 0 === hb > 0) continue;
      const share = ha / (ha - hb);
      const along = ux * (ax + share * (bx - ax)) + uy * (ay + share * (by - ay));
      if (along >= 0) ahead = Math.min(ahead, along);
      else behind = Math.min(behind, -along);
    }
  }
  if (!Number.isFinite(ahead) || !Number.isFinite(behind)) return null;
  const half = Math.min(REACH * Math.min(ahead, behind), LONGEST_HALF_MM);
  if (half < SHORTEST_HALF_MM) return null;
  return {
    from: { x: through.x - half * ux, y: through.y - half * uy },
    to: { x: through.x + half * ux, y: through.y + half * uy },
  };
}
