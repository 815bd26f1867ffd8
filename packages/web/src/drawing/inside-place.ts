import {
  buildRingLocator,
  type Point,
  type Region,
  regionBounds,
  signedDistance,
} from '@inlaywright/geometry';

/** Samples across the longer side of the box in the first look. */
const SAMPLES = 16;
/** Times the best sample's neighbourhood is looked at with half the step. */
const REFINEMENTS = 5;

/**
 * A point well inside a region with the distance to its boundary, in the region's unit: the best of a grid,
 * refined by halving. Good for placing numbers; not the exact largest inscribed circle.
 */
export function insidePlace(region: Region): { at: Point; radius: number } {
  const box = regionBounds(region);
  const locator = buildRingLocator(region.rings);
  const depth = (p: Point): number => -signedDistance(locator, p).distance;
  const step = Math.max(box.maxX - box.minX, box.maxY - box.minY) / SAMPLES;
  let at: Point = { x: (box.minX + box.maxX) / 2, y: (box.minY + box.maxY) / 2 };
  let radius = depth(at);
  const look = (p: Point): void => {
    const found = depth(p);
    if (found > radius) {
      radius = found;
      at = p;
    }
  };
  for (let x = box.minX + step / 2; x < box.maxX; x += step) {
    for (let y = box.minY + step / 2; y < box.maxY; y += step) look({ x, y });
  }
  for (let round = 0, reach = step / 2; round < REFINEMENTS; round++, reach /= 2) {
    const around = at;
    for (const dx of [-reach, 0, reach]) {
      for (const dy of [-reach, 0, reach]) look({ x: around.x + dx, y: around.y + dy });
    }
  }
  return { at, radius };
}
