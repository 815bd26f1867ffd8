import { GeometryError } from './errors.ts';
import { FLATTEN_TOLERANCE } from './flatten.ts';
import { GRID } from './grid.ts';
import { checkRing, kernelPositive, requireKernel, type TaggedRing } from './kernel.ts';
import { type OffsetLimits, rawOffset } from './offset-ring.ts';
import { scaling } from './point.ts';
import { emptyRegion, mapped, type Region, transformRegion } from './region.ts';
import type { Ring } from './ring.ts';

/** Edges up to this length carry no direction worth offsetting: a grid step's rounding turns them at will. */
const SPECK = 4 * GRID;

export interface OffsetOptions {
  /** Largest distance of the result's boundary from the true offset, same unit as the region. */
  readonly tolerance?: number;
}

/**
 * Grows the region by a disk of radius `distance` (Minkowski sum; corners become arcs), or, when `distance` is
 * negative, shrinks it by that disk. What is too narrow vanishes.
 * @throws GeometryError kernel-closed, bad-distance, bad-tolerance, bad-coordinate
 */
export function offset(region: Region, distance: number, options: OffsetOptions = {}): Region {
  const tolerance = checkedTolerance(options.tolerance);
  if (!Number.isFinite(distance)) {
    throw new GeometryError(
      'bad-distance',
      `The offset distance is ${distance}; it must be a finite number.`,
      {
        distance,
      },
    );
  }
  requireKernel();
  if (region.rings.length === 0) return emptyRegion;
  if (distance === 0) return region;
  const tagged = offsetTagged(
    region.rings.map((ring) => ({ ring, tags: null })),
    distance,
    tolerance,
  );
  return { rings: tagged.map(({ ring }) => ring) };
}

/** The offset of checked arguments, tags passed on. */
export function offsetTagged(
  rings: readonly { readonly ring: Ring; readonly tags: Int32Array | null }[],
  distance: number,
  tolerance: number,
): TaggedRing[] {
  const speck = Math.min(SPECK, tolerance / 100);
  const merge = tolerance / 10;
  // Rounding to the grid and dropped vertices take their share of the tolerance.
  const arcs = Math.max(tolerance - speck - merge - GRID, tolerance / 2, GRID);
  const limits: OffsetLimits = { tolerance: arcs, speck, merge };
  let r = 0;
  return kernelPositive((buffer) => {
    if (r === rings.length) return false;
    const { ring, tags } = rings[r]!;
    checkRing(ring, r);
    rawOffset(ring, tags, distance, limits, buffer);
    r++;
    return true;
  });
}

/**
 * Grows (`sign` +1) or shrinks (-1) the region by an upright ellipse with half axes `rx`, `ry`.
 * @throws GeometryError kernel-closed, bad-distance, bad-tolerance, bad-coordinate
 */
export function offsetEllipse(
  region: Region,
  rx: number,
  ry: number,
  sign: 1 | -1,
  options: OffsetOptions = {},
): Region {
  checkRadius(rx);
  checkRadius(ry);
  return stretched(region, rx, ry, (r, radius) => offset(r, sign * radius, options));
}

/**
 * Does a disk operation where the ellipse is a disk. The shorter half axis is stretched, never the longer one
 * pressed: going back then only makes the arc error and the grid finer, so the tolerance holds as it is.
 */
export function stretched(
  region: Region,
  rx: number,
  ry: number,
  operate: (region: Region, radius: number) => Region,
): Region {
  const radius = Math.max(rx, ry);
  if (rx === ry) return operate(region, radius);
  if (rx === 0 || ry === 0) {
    throw new GeometryError(
      'bad-distance',
      `The half axes are ${rx} and ${ry}; an ellipse needs both above 0, or both 0 for nothing to happen.`,
      { rx, ry },
    );
  }
  const there = mapped(region, scaling(radius / rx, radius / ry));
  return transformRegion(operate(there, radius), scaling(rx / radius, ry / radius));
}

export function checkRadius(radius: number): void {
  if (radius >= 0 && Number.isFinite(radius)) return;
  throw new GeometryError('bad-distance', `The radius is ${radius}; it must be a number of 0 or more.`, {
    radius,
  });
}

export function checkedTolerance(tolerance: number = FLATTEN_TOLERANCE): number {
  if (tolerance > 0 && Number.isFinite(tolerance)) return tolerance;
  throw new GeometryError('bad-tolerance', `The tolerance is ${tolerance}; it must be a number above 0.`, {
    tolerance,
  });
}
