import { z } from 'zod';
import { idSchema, lengthField, nameField, notesField, textField } from './fields.ts';

/** A laser cutter: its bed, how its axes cut, and how it moves. */
export const machineSchema = z.strictObject({
  name: nameField,
  /** In the maker's words, such as "CO2, 60 W". */
  source: textField.default(''),
  bedWidthMm: lengthField,
  bedHeightMm: lengthField,
  /** Which way x and y lie on the bed, and what is known of their kerfs. */
  axisNotes: notesField.default(''),
  /** How it moves, for cut times; absent until somebody knows, typical values are then used and said to be so. */
  motion: z
    .strictObject({
      travelMmPerS: z.number().positive().max(5000),
      accelerationMmPerS2: z.number().positive().max(100_000),
      cornerDeviationMm: z.number().positive().max(1),
      pierceS: z.number().min(0).max(60),
    })
    .optional(),
  notes: notesField.default(''),
});
export type MachineBody = z.infer<typeof machineSchema>;

/** Power, speed and the rest of what is dialled in; belongs to one machine. Another setting is another fit record. */
export const settingSchema = z.strictObject({
  name: nameField,
  machine: idSchema,
  powerPercent: z.number().min(0).max(100),
  speedMmPerS: z.number().positive().max(5000),
  passes: z.int().min(1).max(100).default(1),
  /** Such as "2 in". */
  lens: textField.default(''),
  /** Air at the nozzle, such as "on", "0.8 bar". */
  air: textField.default(''),
  notes: notesField.default(''),
});
export type SettingBody = z.infer<typeof settingSchema>;
