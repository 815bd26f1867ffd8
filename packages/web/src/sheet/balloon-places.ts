import type { Box, Place } from '../drawing/model.ts';

export interface Balloon {
  readonly number: number;
  /** What it points at, px. */
  readonly at: Place;
}

export interface PlacedBalloon extends Balloon {
  /** Centre of the balloon, px. */
  readonly centre: Place;
}

/** How much further out than its place a balloon stands, and by at least how many px. */
const SLANT = 1.2;
const AT_LEAST = 18;

/**
 * Places numbered balloons around a box without overlap, on a path that runs along its top from left to right and
 * down its right side; left and foot are kept for dimension lines. Each stands as near as it can to what it
 * points at, in the order of their nearest places on the path, so that leader lines do not cross.
 */
export function placeBalloons(
  balloons: readonly Balloon[],
  box: Box,
  away: number,
  spacing: number,
): readonly PlacedBalloon[] {
  const left = box.minX - away / 2;
  const right = box.maxX + away;
  const top = box.minY - away;
  const bottom = box.maxY;
  const across = right - left;
  const length = across + (bottom - top);
  const along = (p: Place): number => {
    // Sight from the box's middle through the place decides the side: what lies to the right goes to the right.
    const mx = (box.minX + box.maxX) / 2;
    const my = (box.minY + box.maxY) / 2;
    const width = Math.max(1, box.maxX - box.minX);
    const height = Math.max(1, box.maxY - box.minY);
    const u = (p.x - mx) / width;
    const v = (p.y - my) / height;
    const toTop = v < 0 && Math.abs(v) >= u;
    // Further out than straight across: a leader line is oblique, so that it is not taken for an axis or an edge.
    const outward = (offset: number): number => SLANT * offset + Math.sign(offset || 1) * AT_LEAST;
    if (toTop || u < 0) return Math.min(Math.max(mx + outward(p.x - mx) - left, 0), across);
    return across + Math.min(Math.max(my + outward(p.y - my) - top, 0), bottom - top);
  };
  const order = balloons.map((balloon) => ({ balloon, s: along(balloon.at) })).sort((a, b) => a.s - b.s);
  spread(order, spacing, length);
  return order.map(({ balloon, s }) => ({
    ...balloon,
    centre: s <= across ? { x: left + s, y: top } : { x: right, y: top + (s - across) },
  }));
}

/** Moves sorted positions apart to at least `spacing`, as little as a forward and a backward pass allow. */
function spread(row: { s: number }[], spacing: number, length: number): void {
  const step = Math.min(spacing, row.length > 1 ? length / (row.length - 1) : spacing);
  for (let i = 1; i < row.length; i++) row[i]!.s = Math.max(row[i]!.s, row[i - 1]!.s + step);
  const last = row[row.length - 1];
  if (!last || last.s <= length) return;
  last.s = length;
  for (let i = row.length - 2; i >= 0; i--) row[i]!.s = Math.min(row[i]!.s, row[i + 1]!.s - step);
}
