/**
 * Zones of the sheet's frame (ISO 5457): letters from top to bottom, figures from left to right, an even number of
 * each; I and O are not used. Notes name the zone of their place.
 */
const LETTERS = 'ABCDEFGHJKLMNPQRSTUVWXYZ';

export interface Zones {
  readonly columns: number;
  readonly rows: number;
}

/** An even number of divisions about `step` px long, at least 2. */
export function zonesFor(width: number, height: number, step: number): Zones {
  const even = (length: number): number => Math.max(2, 2 * Math.round(length / step / 2));
  return { columns: even(width), rows: Math.min(even(height), LETTERS.length - 1) };
}

export function zoneLetter(row: number): string {
  return LETTERS[row] ?? '';
}

/** The zone of a place given in shares (0 to 1) of the framed area, such as `B3`. */
export function zoneAt(zones: Zones, shareX: number, shareY: number): string {
  const column = Math.min(zones.columns - 1, Math.max(0, Math.floor(shareX * zones.columns)));
  const row = Math.min(zones.rows - 1, Math.max(0, Math.floor(shareY * zones.rows)));
  return `${zoneLetter(row)}${column + 1}`;
}
