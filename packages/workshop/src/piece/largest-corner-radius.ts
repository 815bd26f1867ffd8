import type { Area } from './piece.ts';
import { largestRadius } from './round-corners.ts';
import { bareCurves } from './shape-curves.ts';

/**
 * The largest radius, mm, that all corners of the area can take together; with `corner`, the largest for that one while
 * the others keep what they were given. 0 where there is no corner. Found to 1 nm, from below.
 * @throws WorkshopError `shape-impossible`
 */
export function largestCornerRadius(area: Area, corner?: number): number {
  return largestRadius(area, bareCurves(area).curves, corner);
}
