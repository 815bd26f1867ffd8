import { z } from 'zod';
import { dateField, idSchema, nameField, notesField, priceField, textField } from './fields.ts';

/** How many of which pieces, in which woods. */
const line = z.strictObject({
  piece: idSchema,
  /** The saved version that is made; absent for the newest. */
  version: z.int().min(1).optional(),
  count: z.int().min(1).max(100_000),
  /** Also the mirrored partner. */
  pair: z.boolean().optional(),
  /** Stock of each tone. */
  stocks: z.record(z.string().max(64), idSchema).default({}),
});

export const batchSchema = z.strictObject({
  name: nameField,
  order: idSchema.optional(),
  machine: idSchema.optional(),
  setting: idSchema.optional(),
  lines: z.array(line).max(500).default([]),
  state: z.enum(['planned', 'cut', 'assembled', 'done']).default('planned'),
  date: dateField.optional(),
  notes: notesField.default(''),
});
export type BatchBody = z.infer<typeof batchSchema>;

export const orderSchema = z.strictObject({
  name: nameField,
  customer: textField.default(''),
  due: dateField.optional(),
  lines: z
    .array(line.extend({ priceEach: priceField.optional() }))
    .max(500)
    .default([]),
  state: z.enum(['open', 'in work', 'delivered', 'cancelled']).default('open'),
  notes: notesField.default(''),
});
export type OrderBody = z.infer<typeof orderSchema>;
