import { z } from 'zod';

/** Fields that many kinds of the workspace share. Lengths in mm, angles in degrees, masses in g, times in s. */

/** Names a document in addresses, links and exported files: lower-case letters, digits and single hyphens. */
export const idSchema = z
  .string()
  .max(64)
  .regex(/^[a-z0-9]+(?:-[a-z0-9]+)*$/, 'lower-case letters, digits and single hyphens');

export const nameField = z
  .string()
  .trim()
  .min(1, 'must not be empty')
  .max(200, 'must be 200 characters or fewer');
export const textField = z.string().trim().max(200, 'must be 200 characters or fewer');
export const notesField = z.string().max(10_000, 'must be 10,000 characters or fewer');
export const dateField = z.iso.date('must be a day such as 2026-11-20');
export const timeField = z.iso.datetime('must be a time such as 2026-11-20T14:05:00.000Z');

/** Longest side of a board or bed taken as one, mm. */
const LONGEST_MM = 5000;
export const lengthField = z
  .number()
  .positive('must be more than 0')
  .max(LONGEST_MM, `must be at most ${LONGEST_MM} mm`);
export const thicknessField = z.number().positive('must be more than 0').max(50, 'must be at most 50 mm');
export const angleField = z.number().min(-360).max(360);

/** Money as the maker counts it; sums of different currencies are never added. */
export const priceField = z.strictObject({
  amount: z.number().min(0, 'must be 0 or more').max(1_000_000),
  /** ISO 4217 code. */
  currency: z.string().regex(/^[A-Z]{3}$/, 'must be three capital letters such as EUR'),
});
export type Price = z.infer<typeof priceField>;
