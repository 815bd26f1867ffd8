import type { Bounds } from './bounds.ts';
import { kernelBoolean } from './kernel.ts';
import { emptyRegion, type Region, regionBounds } from './region.ts';

/**
 * What is in at least one of the regions.
 * @throws GeometryError kernel-closed, bad-coordinate
 */
export function union(regions: readonly Region[]): Region {
  const filled = regions.filter((region) => region.rings.length > 0);
  if (filled.length === 0) return emptyRegion;
  if (filled.length === 1) return filled[0]!;
  return {
    rings: kernelBoolean(
      'union',
      filled.flatMap((region) => region.rings),
      [],
      'nonzero',
    ),
  };
}

/**
 * What is in both.
 * @throws GeometryError kernel-closed, bad-coordinate
 */
export function intersection(a: Region, b: Region): Region {
  if (apart(regionBounds(a), regionBounds(b))) return emptyRegion;
  return { rings: kernelBoolean('intersection', a.rings, b.rings, 'nonzero') };
}

/**
 * What is in `a` and not in `b`. Returns `a` itself when their boxes do not meet.
 * @throws GeometryError kernel-closed, bad-coordinate
 */
export function difference(a: Region, b: Region): Region {
  if (apart(regionBounds(a), regionBounds(b))) return a;
  return { rings: kernelBoolean('difference', a.rings, b.rings, 'nonzero') };
}

/**
 * What is in exactly one of the two.
 * @throws GeometryError kernel-closed, bad-coordinate
 */
export function symmetricDifference(a: Region, b: Region): Region {
  if (apart(regionBounds(a), regionBounds(b))) return union([a, b]);
  return { rings: kernelBoolean('xor', a.rings, b.rings, 'nonzero') };
}

function apart(a: Bounds, b: Bounds): boolean {
  return !(a.minX <= b.maxX && b.minX <= a.maxX && a.minY <= b.maxY && b.minY <= a.maxY);
}
