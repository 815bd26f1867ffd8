import { GRADES } from '@inlaywright/workshop';
import { z } from 'zod';
import { trialSchema } from '../trial-file/trial-file.ts';
import { idSchema, thicknessField } from './fields.ts';
import { aimedGradeSchema, estimateSchema, fitRecordBodySchema, gradeWindowSchema } from './fit-book.ts';

/** Body of `POST /api/coupons`: what to draw. */
export const couponRequestSchema = z.strictObject({
  /** Name of the stock, as written on the sheet and into the trial file. */
  stock: z.string().trim().min(1).max(200),
  machine: z.string().max(200).default(''),
  setting: z.string().max(200).default(''),
  thicknessMm: thicknessField,
  /** Kerf that the paths are drawn for: the best guess there is. */
  drawnKerfMm: z.number().min(0).max(5).default(0.16),
  /** Allowances of the ladder, mm a side; eight steps of 0.02 mm where absent. */
  allowancesMm: z.array(z.number().min(-1).max(1)).max(60).optional(),
  /** What may be used of the bed or the sheet. */
  widthMm: z.number().positive().max(5000).default(200),
  heightMm: z.number().positive().max(5000).default(150),
  gauge: z.boolean().default(true),
  slats: z.boolean().default(true),
  /** Cutting speed and passes, for the time shown. */
  speedMmPerS: z.number().positive().max(5000).optional(),
  passes: z.int().min(1).max(100).default(1),
  /** The machine's motion; typical values where absent. */
  motion: z
    .strictObject({
      travelMmPerS: z.number().positive().max(5000),
      accelerationMmPerS2: z.number().positive().max(100_000),
      cornerDeviationMm: z.number().positive().max(1),
      pierceS: z.number().min(0).max(60),
    })
    .optional(),
});
export type CouponRequest = z.input<typeof couponRequestSchema>;

/** Answer of `POST /api/coupons`. */
export const couponAnswerSchema = z.strictObject({
  widthMm: z.number(),
  heightMm: z.number(),
  steps: z.array(
    z.strictObject({
      step: z.int(),
      allowanceMm: z.number(),
      shape: z.enum(['disc', 'rounded square']),
    }),
  ),
  /** Drawn side of the two-face gauge's square, mm; absent where the gauge was left out. */
  gaugeMm: z.number().optional(),
  slats: z.strictObject({ drawnMm: z.number(), cuts: z.int() }).optional(),
  cutTime: z.strictObject({ cutS: z.number(), travelS: z.number(), pierceS: z.number(), totalS: z.number() }),
  /** The machine's motion was not known: typical values were taken. */
  typicalMotion: z.boolean(),
  /** The sheet as SVG and DXF, and the trial file to fill in. */
  files: z.array(z.strictObject({ name: z.string(), text: z.string() })),
  /** The trial file as data: steps as cut, no results yet. */
  trial: trialSchema,
});
export type CouponAnswer = z.infer<typeof couponAnswerSchema>;

/** Body of `POST /api/fit/judge`: a trial that need not be stored, and what else to weigh with it. */
export const judgeRequestSchema = z.strictObject({
  trial: trialSchema,
  grade: aimedGradeSchema.default('presses by hand'),
  /** Earlier trials of the same machine, stock and setting; each needs a date, and so does the newest. */
  older: z.array(trialSchema).max(100).default([]),
  halfLifeDays: z.number().positive().max(3650).default(90),
});
export type JudgeRequest = z.input<typeof judgeRequestSchema>;

export const wireFindingSchema = z.looseObject({
  code: z.string(),
  severity: z.enum(['note', 'warning', 'decision', 'error']),
  message: z.string(),
  hint: z.string(),
});

/** Answer of `POST /api/fit/judge`: the workshop's Judgement. */
export const judgementSchema = z.strictObject({
  grade: z.enum(GRADES),
  record: z.strictObject({
    kerfEntry: z.strictObject({ xMm: z.number(), yMm: z.number() }),
    kerfExit: z.strictObject({ xMm: z.number(), yMm: z.number() }),
    allowanceMm: z.number(),
    scatterMm: z.number().optional(),
    gradeGapMm: z.strictObject({ min: z.number(), max: z.number() }).optional(),
  }),
  kerf: z.strictObject({
    entryX: estimateSchema,
    entryY: estimateSchema,
    exitX: estimateSchema,
    exitY: estimateSchema,
  }),
  scatter: estimateSchema,
  windows: z.array(gradeWindowSchema),
  probability: z.number(),
  next: z.array(z.strictObject({ allowanceMm: z.number(), bits: z.number() })),
  coupon: z.strictObject({
    allowancesMm: z.array(z.number()),
    widthNowMm: z.number(),
    widthAfterMm: z.number(),
    halves: z.boolean(),
  }),
  words: z.array(z.string()),
  findings: z.array(wireFindingSchema),
});
export type WireJudgement = z.infer<typeof judgementSchema>;

/**
 * Body of `POST /api/fit/records`: weighs stored trials and outcomes of one machine, stock and setting, and stores the
 * result as the record in force. Without `trials` and `outcomes` all that are not deleted are weighed.
 */
export const weighRequestSchema = z.strictObject({
  machine: idSchema,
  stock: idSchema,
  setting: idSchema,
  trials: z.array(idSchema).max(200).optional(),
  outcomes: z.array(idSchema).max(1000).optional(),
  grade: aimedGradeSchema.optional(),
  notes: z.string().max(10_000).default(''),
});
export type WeighRequest = z.input<typeof weighRequestSchema>;

/** Answer of `GET /api/fit/record?machine=&stock=&setting=&thicknessMm=&on=`: the record in force, and what speaks against it. */
export const recordLookupSchema = z.strictObject({
  /** Null where the fit book has none for this machine, stock and setting. */
  record: z.strictObject({ id: idSchema, version: z.int(), body: fitRecordBodySchema }).nullable(),
  /** Codes: record-missing, record-old, thickness-differs. */
  warnings: z.array(wireFindingSchema),
});
export type RecordLookup = z.infer<typeof recordLookupSchema>;
