import { z } from 'zod';
import { readPathData } from '../piece-file/path-data.ts';
import {
  angleField,
  dateField,
  idSchema,
  nameField,
  notesField,
  priceField,
  textField,
  thicknessField,
} from './fields.ts';

/**
 * An outline as path data in mm, y up, with arcs kept as arcs: the first ring is the board, the rings within it are
 * knots and used places (even-odd). A plain board of 300 x 200 mm is `M 0 0 L 300 0 L 300 200 L 0 200 Z`.
 */
export const outlineField = z
  .string()
  .max(200_000)
  .superRefine((text, context) => {
    const reading = readPathData(text);
    if (!reading.ok) {
      context.addIssue({
        code: 'custom',
        message: `is no outline at character ${reading.fault.offset + 1}: ${reading.fault.message}`,
      });
    } else if (reading.curves.length === 0) {
      context.addIssue({ code: 'custom', message: 'holds no closed ring' });
    }
  });

/** One actual board of a stock, or what is left of one. */
export const sheetSchema = z.strictObject({
  name: nameField,
  stock: idSchema,
  kind: z.enum(['sheet', 'offcut']),
  outline: outlineField,
  /** As measured, mm: the mean of `readingsMm` where they were taken. */
  thicknessMm: thicknessField,
  readingsMm: z.array(thicknessField).max(50).default([]),
  /** Direction of the grain on the board, degrees from +x; absent where the stock has none. */
  grainDeg: angleField.optional(),
  /** Place on the shelf. */
  place: textField.default(''),
  price: priceField.optional(),
  /** Of an offcut: the sheet it was cut from. */
  from: idSchema.optional(),
  /** Day it came to the shelf. */
  since: dateField.optional(),
  usedUp: z.boolean().default(false),
  notes: notesField.default(''),
});
export type SheetBody = z.infer<typeof sheetSchema>;

/** What is fitted to a finished piece: a ring, a hook, a post, a pin back. */
export const findingItemSchema = z.strictObject({
  name: nameField,
  type: z.enum(['ring', 'hook', 'post', 'pin back', 'other']),
  wireMm: z.number().positive().max(10).optional(),
  innerDiameterMm: z.number().positive().max(100).optional(),
  lengthMm: z.number().positive().max(200).optional(),
  /** Of one. */
  massG: z.number().min(0).max(100).optional(),
  metal: textField.default(''),
  /** Whether its maker says it is free of nickel; absent where nobody said. */
  nickelFree: z.boolean().optional(),
  /** How many are in the drawer. */
  count: z.int().min(0).max(1_000_000).optional(),
  supplier: textField.default(''),
  /** Of one. */
  price: priceField.optional(),
  notes: notesField.default(''),
});
export type FindingItemBody = z.infer<typeof findingItemSchema>;
