import { GRID } from './grid.ts';
import { requireKernel, type TaggedRing } from './kernel.ts';
import { checkedTolerance, checkRadius, type OffsetOptions, offsetTagged, stretched } from './offset.ts';
import { emptyRegion, type Region, type Ring } from './region.ts';

/**
 * Morphological closing by a disk: grow, then shrink. Fills what a disk of that radius outside cannot reach.
 * @throws GeometryError kernel-closed, bad-distance, bad-tolerance, bad-coordinate
 */
export function closing(region: Region, radius: number, options: OffsetOptions = {}): Region {
  checkRadius(radius);
  return thereAndBack(region, radius, options);
}

/**
 * Morphological opening by a disk: shrink, then grow. Removes what a disk of that radius inside cannot reach.
 * @throws GeometryError kernel-closed, bad-distance, bad-tolerance, bad-coordinate
 */
export function opening(region: Region, radius: number, options: OffsetOptions = {}): Region {
  checkRadius(radius);
  return thereAndBack(region, -radius, options);
}

/** Closing by an upright ellipse with half axes `rx`, `ry`. */
export function closingEllipse(region: Region, rx: number, ry: number, options: OffsetOptions = {}): Region {
  checkRadius(rx);
  checkRadius(ry);
  return stretched(region, rx, ry, (r, radius) => closing(r, radius, options));
}

/** Opening by an upright ellipse with half axes `rx`, `ry`. */
export function openingEllipse(region: Region, rx: number, ry: number, options: OffsetOptions = {}): Region {
  checkRadius(rx);
  checkRadius(ry);
  return stretched(region, rx, ry, (r, radius) => opening(r, radius, options));
}

/**
 * Farthest that a vertex may be from the one it came from to be put back on it. Rounding to the grid leaves it
 * within a grid step or two of the old boundary, but along a slight turn it can slide by many more.
 */
const RETURN = 100 * GRID;

/**
 * Offsets by `distance` and back. Vertices that the way there and back only rounded return to exactly where they
 * were: a region and its closing then share their boundary where the disk changed nothing, and a difference of
 * the two holds no slivers.
 */
function thereAndBack(region: Region, distance: number, options: OffsetOptions): Region {
  const tolerance = checkedTolerance(options.tolerance);
  requireKernel();
  if (region.rings.length === 0) return emptyRegion;
  if (distance === 0) return region;
  const there = offsetTagged(numbered(region.rings), distance, tolerance);
  if (there.length === 0) return emptyRegion;
  const back = offsetTagged(there, -distance, tolerance);
  return { rings: restored(back, region.rings, Math.min(RETURN, tolerance / 5)) };
}

/** Tags every vertex with its number among all vertices, from 1. */
function numbered(rings: readonly Ring[]): TaggedRing[] {
  let next = 1;
  return rings.map((ring) => {
    const tags = new Int32Array(ring.length >> 1);
    for (let i = 0; i < tags.length; i++) tags[i] = next++;
    return { ring, tags };
  });
}

function restored(rings: readonly TaggedRing[], sources: readonly Ring[], radius: number): Ring[] {
  const source = concatenated(sources);
  const result: Ring[] = [];
  for (const { ring, tags } of rings) {
    // In place: the ring is fresh from the kernel and nobody else has it.
    let n = 0;
    for (let i = 0; i < tags.length; i++) {
      let x = ring[2 * i]!;
      let y = ring[2 * i + 1]!;
      const at = 2 * tags[i]! - 2;
      if (at >= 0) {
        const sx = source[at]!;
        const sy = source[at + 1]!;
        if (Math.abs(sx - x) <= radius && Math.abs(sy - y) <= radius) {
          x = sx;
          y = sy;
        }
      }
      if (n > 0 && ring[n - 2] === x && ring[n - 1] === y) continue;
      ring[n++] = x;
      ring[n++] = y;
    }
    while (n > 2 && ring[0] === ring[n - 2] && ring[1] === ring[n - 1]) n -= 2;
    if (n >= 6) result.push(n === ring.length ? ring : ring.slice(0, n));
  }
  return result;
}

function concatenated(rings: readonly Ring[]): Float64Array {
  let length = 0;
  for (const ring of rings) length += ring.length;
  const all = new Float64Array(length);
  let at = 0;
  for (const ring of rings) {
    all.set(ring, at);
    at += ring.length;
  }
  return all;
}
