import { GRADES } from '@inlaywright/workshop';
import { z } from 'zod';
import { fitRecordSchema } from '../fit-file/fit-file.ts';
import { trialSchema } from '../trial-file/trial-file.ts';
import {
  dateField,
  idSchema,
  nameField,
  notesField,
  textField,
  thicknessField,
  timeField,
} from './fields.ts';

/** Grades that seams can be aimed at: the open ends cannot. */
export const AIMED_GRADES = ['slides', 'presses by hand', 'needs a mallet'] as const;
export const aimedGradeSchema = z.enum(AIMED_GRADES);
export type AimedGrade = z.infer<typeof aimedGradeSchema>;

/** A fit trial: which machine, stock and setting it belongs to, and the content of its trial file. */
export const trialBodySchema = z.strictObject({
  name: nameField,
  machine: idSchema,
  stock: idSchema,
  setting: idSchema,
  /** The board it was cut from. */
  sheet: idSchema.optional(),
  trial: trialSchema,
  notes: notesField.default(''),
});
export type TrialBody = z.infer<typeof trialBodySchema>;

/** Median with a 90 % interval. */
export const estimateSchema = z.strictObject({ median: z.number(), low: z.number(), high: z.number() });

export const gradeWindowSchema = z.strictObject({
  grade: z.enum(GRADES),
  from: estimateSchema.optional(),
  to: estimateSchema.optional(),
});

const evidenceFrom = z.strictObject({ id: idSchema, version: z.int().min(1) });

/**
 * A fit record: kerf and allowance of a machine, stock and setting, with where they come from. It is never
 * changed; a newer one takes its place, and the newest that is not deleted is the one in force.
 */
export const fitRecordBodySchema = z.strictObject({
  name: nameField,
  machine: idSchema,
  stock: idSchema,
  setting: idSchema,
  grade: aimedGradeSchema,
  /** As in a fit file. */
  fit: fitRecordSchema,
  /** Intervals behind the figures; absent for a record that was typed in. */
  intervals: z
    .strictObject({
      kerf: z.strictObject({
        entryX: estimateSchema,
        entryY: estimateSchema,
        exitX: estimateSchema,
        exitY: estimateSchema,
      }),
      scatter: estimateSchema,
      windows: z.array(gradeWindowSchema),
      probability: z.number(),
    })
    .optional(),
  /** The result in plain words. */
  words: z.array(z.string()).default([]),
  /** Trials and outcomes it was weighed from, with the versions that were read. */
  trials: z.array(evidenceFrom).default([]),
  outcomes: z.array(evidenceFrom).default([]),
  /** Measured thickness of the board that was cut, mm. */
  thicknessMm: thicknessField.optional(),
  /** Day of the newest trial or outcome behind it: its age counts from here, or from `createdAt` where absent. */
  measuredOn: dateField.optional(),
  createdAt: timeField,
  /** The record it took the place of. */
  supersedes: idSchema.optional(),
  notes: notesField.default(''),
});
export type FitRecordBody = z.infer<typeof fitRecordBodySchema>;

export const SEAM_OUTCOMES = [...GRADES, 'good', 'loose', 'too tight'] as const;

/** What came out of a real batch, seam by seam or in sums ("all good", "two loose"). */
export const outcomeSchema = z.strictObject({
  name: nameField,
  /** The fit record it was made with. */
  record: idSchema,
  batch: idSchema.optional(),
  /** Day of the assembly. */
  date: dateField,
  /** The inlays were turned, as usual. */
  turned: z.boolean().default(true),
  seams: z
    .array(z.strictObject({ outcome: z.enum(SEAM_OUTCOMES), count: z.int().min(0).max(100_000) }))
    .min(1, 'needs at least one line')
    .max(20),
  notes: notesField.default(''),
});
export type OutcomeBody = z.infer<typeof outcomeSchema>;

/** How the fit book reckons, for this workshop. */
export const preferencesSchema = z.strictObject({
  /** A fit record older than this many days is said to be old. */
  recordLimitDays: z.int().min(1).max(3650).default(90),
  /** Age at which an earlier trial or outcome counts half, days. */
  halfLifeDays: z.number().positive().max(3650).default(90),
  grade: aimedGradeSchema.default('presses by hand'),
  currency: z
    .string()
    .regex(/^[A-Z]{3}$/, 'must be three capital letters such as EUR')
    .default('EUR'),
  /** Name on printed sheets. */
  workshopName: textField.default(''),
});
export type PreferencesBody = z.infer<typeof preferencesSchema>;
