/** Grid steps per unit of length: with millimetres the grid is 1 nm. */
export const GRID_PER_UNIT = 1e6;
/** One grid step. */
export const GRID = 1 / GRID_PER_UNIT;

/** The nearest point of the grid, always as the same double for the same grid point. */
export function snap(value: number): number {
  return Math.round(value * GRID_PER_UNIT) / GRID_PER_UNIT;
}
