/**
 * Exact sign decisions for points on the nanometre grid. Coordinates are integers up to 2^32, so that their differences
 * are exact in doubles; only the products need care.
 */

/** Each product and their difference round by at most 2^-53 of themselves; the sum of the three errors, rounded up. */
const PRODUCT_ERROR = 3.4e-16;

/** Positive when c lies left of the directed line a to b, negative when right, 0 when on it. The sign is exact. */
export function orient(ax: number, ay: number, bx: number, by: number, cx: number, cy: number): number {
  const left = (bx - ax) * (cy - ay);
  const right = (by - ay) * (cx - ax);
  const det = left - right;
  const size = Math.abs(left) + Math.abs(right);
  if (Math.abs(det) > PRODUCT_ERROR * size || size < 9007199254740992) return det;
  const exact = BigInt(bx - ax) * BigInt(cy - ay) - BigInt(by - ay) * BigInt(cx - ax);
  return exact > 0n ? 1 : exact < 0n ? -1 : 0;
}
