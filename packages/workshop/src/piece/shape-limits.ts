/** Sizes that make sense on a desktop laser, and the errors for those that do not. */
import { WorkshopError } from '../errors.ts';
import type { Area } from './piece.ts';

/** Smallest size of a shape, mm: far below what a beam can cut, far above the 1 nm grid. */
export const SMALLEST_MM = 0.01;
/** Largest size and farthest coordinate, mm: beyond the beds of desktop machines. Also keeps grid arithmetic exact. */
export const LARGEST_MM = 2000;
/** More corners than this are a circle for every purpose. */
export const MOST_CORNERS = 360;

export function impossible(area: Area, why: string, hint: string): WorkshopError {
  return new WorkshopError('shape-impossible', `Area "${area.id}": ${why}.`, {
    hint,
    details: { area: area.id },
  });
}

/**
 * Checks every number of the shape and the corner radii; for paths the number of curves only (their coordinates are
 * checked once for the whole piece).
 * @throws WorkshopError `shape-impossible` naming the area, the field, the value and the limits
 */
export function requireSizes(area: Area): void {
  const { shape } = area;
  const radii = area.cornerRadiiMm;
  for (const radius of typeof radii === 'number' ? [radii] : (radii ?? [])) {
    if (!(radius >= 0 && radius <= LARGEST_MM)) {
      throw impossible(
        area,
        `the corner radius ${radius} is not between 0 and ${LARGEST_MM} mm`,
        'Give 0 for a sharp corner.',
      );
    }
  }
  if (shape.kind === 'path') return;
  for (const axis of ['x', 'y'] as const) {
    const value = shape.centre[axis];
    if (!(Math.abs(value) <= LARGEST_MM)) {
      throw impossible(
        area,
        `centre.${axis} is ${value}, not a number between ${-LARGEST_MM} and ${LARGEST_MM} mm`,
        'Move the shape nearer to the origin.',
      );
    }
  }
  if (shape.angleDeg !== undefined && !Number.isFinite(shape.angleDeg)) {
    throw impossible(area, `angleDeg is ${shape.angleDeg}, not a number`, 'Give the turn in degrees.');
  }
  for (const [field, value] of Object.entries(shape)) {
    if (!field.endsWith('Mm')) continue;
    if (!(value >= SMALLEST_MM && value <= LARGEST_MM)) {
      throw impossible(
        area,
        `${field} is ${value}; a size must be between ${SMALLEST_MM} and ${LARGEST_MM} mm`,
        'Give a length in millimetres.',
      );
    }
  }
  if (shape.kind === 'regular-polygon') requireCount(area, 'sides', shape.sides, 3);
  if (shape.kind === 'star') requireCount(area, 'points', shape.points, 3);
}

function requireCount(area: Area, field: string, value: number, least: number): void {
  if (Number.isInteger(value) && value >= least && value <= MOST_CORNERS) return;
  throw impossible(
    area,
    `${field} is ${value}; it must be a whole number from ${least} to ${MOST_CORNERS}`,
    'Count the corners.',
  );
}
