import { z } from 'zod';
import {
  idSchema,
  lengthField,
  nameField,
  notesField,
  priceField,
  textField,
  thicknessField,
} from './fields.ts';

export const MATERIAL_TYPES = [
  'wood',
  'plywood',
  'veneer',
  'board',
  'plastic',
  'leather',
  'paper',
  'other',
] as const;

/** A figure with where it comes from, as in the workshop's tables. */
export const figureSchema = z.strictObject({
  value: z.number(),
  source: z.string(),
  basis: z.string(),
});

/** A material of the maker's own. The built-in ones are not stored: GET /api/material-table lists both. */
export const materialSchema = z.strictObject({
  name: nameField,
  type: z.enum(MATERIAL_TYPES),
  botanicalName: textField.default(''),
  densityKgM3: z.number().positive().max(25_000).optional(),
  /** Change of size per percent of wood moisture, radial and tangential (1/percent). */
  changeRadialPerPct: z.number().min(0).max(0.02).optional(),
  changeTangentialPerPct: z.number().min(0).max(0.02).optional(),
  /** Where the figures come from. */
  source: notesField.default(''),
  notes: notesField.default(''),
});
export type MaterialBody = z.infer<typeof materialSchema>;

/** What shops and universities say about a material under the laser. */
export const cautionSchema = z.strictObject({
  material: z.string(),
  verdict: z.enum(['refused', 'avoid', 'caution', 'usual']),
  reason: z.string(),
  source: z.string(),
});
export type Caution = z.infer<typeof cautionSchema>;

/** One line of GET /api/material-table: built-in or the maker's own, with what the laser makes of it. */
export const materialEntrySchema = z.strictObject({
  id: idSchema,
  name: z.string(),
  type: z.enum(MATERIAL_TYPES),
  /** `species`: a wood of the tables; `composite`: plywood, veneer and others, built in; `own`: stored by the maker. */
  origin: z.enum(['species', 'composite', 'own']),
  botanicalName: z.string(),
  tropical: z.boolean(),
  /** Published figures by name (densityKgM3, shearAlongMPa, ...), each with source and basis. */
  figures: z.record(z.string(), figureSchema),
  hazard: z
    .strictObject({
      listedAs: z.string(),
      reactions: z.array(z.string()),
      sites: z.array(z.string()),
      potency: z.string(),
      source: z.string(),
      basis: z.string(),
    })
    .optional(),
  /** Layers of a composite, from one face to the other. */
  layers: z
    .array(z.strictObject({ material: idSchema, share: z.number(), crossGrain: z.boolean() }))
    .optional(),
  notes: z.array(z.string()),
  /** Strictest first; a stock cannot be made of a material with a `refused` one. */
  cautions: z.array(cautionSchema),
  /** Version and time of saving of the maker's own; absent for built-in ones. */
  version: z.int().min(1).optional(),
});
export type MaterialEntry = z.infer<typeof materialEntrySchema>;

/** Answer of `GET /api/material-table`. */
export const materialTableSchema = z.strictObject({ materials: z.array(materialEntrySchema) });
export type MaterialTable = z.infer<typeof materialTableSchema>;

/** A material in a thickness from a supplier. */
export const stockSchema = z.strictObject({
  name: nameField,
  /** Id of a built-in or own material. */
  material: idSchema,
  /** As sold, mm; sheets carry what was measured. */
  thicknessMm: thicknessField,
  /** Sides of a sheet as sold, mm. */
  widthMm: lengthField.optional(),
  heightMm: lengthField.optional(),
  supplier: textField.default(''),
  /** Of one sheet as sold. */
  price: priceField.optional(),
  /** Whether the stock has a grain that parts must follow. */
  grain: z.boolean().default(true),
  notes: notesField.default(''),
});
export type StockBody = z.infer<typeof stockSchema>;
