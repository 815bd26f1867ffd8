import { COMMON_CALIPER, type FitTrial, GRADES } from '@inlaywright/workshop';
import { z } from 'zod';
import { FormatError } from '../errors.ts';

/**
 * The trial file: what a maker saw and measured on a coupon. Versioned JSON, documented in docs/trial-file.md.
 * `coupon` writes it with the steps as cut and no results; the form on the page fills the same fields.
 */

const VERSION = 1;
const size = z.number().positive().max(1000);
/** Empty while nothing was read: `coupon` and the form list what there is to measure before it is measured. */
const readings = z.array(size).max(50);
const axis = z.enum(['x', 'y']);
const face = z.enum(['entry', 'exit']);

export const trialSchema = z.strictObject({
  format: z.literal('inlaywright-fit-trial'),
  version: z.literal(VERSION),
  machine: z.string().max(200).default(''),
  stock: z.string().max(200).default(''),
  setting: z.string().max(200).default(''),
  date: z.iso.date().optional(),
  thicknessMm: z.number().positive().max(50).optional(),
  drawnKerfMm: z.number().min(0).max(5),
  turned: z.boolean().default(true),
  steps: z
    .array(
      z.strictObject({
        step: z.number().int().min(1).max(1000),
        allowanceMm: z.number().min(-1).max(1),
        /** Absent where the step was not tried. */
        grade: z.enum(GRADES).optional(),
      }),
    )
    .max(500)
    .default([]),
  readings: z
    .array(
      z.discriminatedUnion('kind', [
        z.strictObject({
          kind: z.literal('slats'),
          axis,
          face,
          cuts: z.number().int().min(1).max(200),
          drawnMm: size,
          measuredMm: readings,
        }),
        z.strictObject({ kind: z.literal('two-face'), axis, face, holeMm: readings, plugMm: readings }),
      ]),
    )
    .max(200)
    .default([]),
  caliper: z
    .strictObject({ resolutionMm: z.number().positive().max(1), largestErrorMm: z.number().min(0).max(1) })
    .default(COMMON_CALIPER),
});

export type TrialFile = z.infer<typeof trialSchema>;

/** Reads a trial file. Throws FormatError naming the field, its value and the limits. */
export function readTrial(text: string): TrialFile {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    throw new FormatError('trial-not-json', `The trial file is not JSON: ${(error as Error).message}`, {
      where: 'trial file',
      hint: 'Mend it in a text editor, or write a fresh one with the coupon command.',
    });
  }
  const version = (json as { version?: unknown } | null)?.version;
  if (typeof version === 'number' && version > VERSION) {
    throw new FormatError(
      'trial-version',
      `The trial file has version ${version}; this program reads up to version ${VERSION}.`,
      { where: 'version', hint: 'Read it with a newer Inlaywright.' },
    );
  }
  const parsed = trialSchema.safeParse(json);
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0]!;
  const where = issue.path.join('.') || 'trial file';
  throw new FormatError('trial-invalid', `The trial file is wrong at ${where}: ${issue.message}`, {
    where,
    hint: `Grades are ${GRADES.map((grade) => `"${grade}"`).join(', ')}; docs/trial-file.md shows each field.`,
  });
}

export function writeTrial(trial: TrialFile): string {
  return `${JSON.stringify(trial, null, 2)}\n`;
}

/** The trial as the statistics take it: steps that were tried, readings, caliper. */
export function trialResults(file: TrialFile): FitTrial {
  return {
    drawnKerfMm: file.drawnKerfMm,
    turned: file.turned,
    steps: file.steps.flatMap(({ step, allowanceMm, grade }) =>
      grade === undefined ? [] : [{ step, allowanceMm, grade }],
    ),
    readings: file.readings.filter(isTaken),
    caliper: file.caliper,
  };
}

/** A reading without a number, or with one size of two, tells nothing yet. */
function isTaken(reading: TrialFile['readings'][number]): boolean {
  return reading.kind === 'slats'
    ? reading.measuredMm.length > 0
    : reading.holeMm.length > 0 && reading.plugMm.length > 0;
}
