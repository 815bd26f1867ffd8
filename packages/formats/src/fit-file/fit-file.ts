import type { FitByTone, FitRecord, KerfXY } from '@inlaywright/workshop';
import { z } from 'zod';
import { FormatError } from '../errors.ts';

/**
 * The fit file: how a machine cuts each tone's stock. Versioned JSON, documented in docs/fit-file.md.
 * Lengths in mm. A kerf is one number, or `{ "x", "y" }` where the machine cuts the two axes differently.
 */

const FORMAT = 'inlaywright-fit';
const VERSION = 1;

const kerf = z.union([
  z.number().min(0).max(5),
  z.strictObject({ x: z.number().min(0).max(5), y: z.number().min(0).max(5) }),
]);

/** One record of a fit file; the workspace keeps records in the same shape. */
export const fitRecordSchema = z.strictObject({
  kerfEntryMm: kerf,
  kerfExitMm: kerf,
  allowanceMm: z.number().min(-1).max(1),
  scatterMm: z.number().min(0).max(1).optional(),
  gradeGapMm: z.strictObject({ min: z.number(), max: z.number() }).optional(),
  note: z.string().optional(),
});

const fitFile = z.strictObject({
  format: z.literal(FORMAT),
  version: z.literal(VERSION),
  default: fitRecordSchema,
  byTone: z.record(z.string(), fitRecordSchema).default({}),
});

export type FitRecordFile = z.infer<typeof fitRecordSchema>;

/** Reads a fit file. Throws FormatError naming the field, its value and the limits. */
export function readFit(text: string): FitByTone {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    throw new FormatError('fit-not-json', `The fit file is not JSON: ${(error as Error).message}`, {
      where: 'fit file',
      hint: 'Open it in a text editor and mend it there, or write it again from a fit trial.',
    });
  }
  const head = json as { format?: unknown; version?: unknown } | null;
  if (head?.format !== FORMAT) {
    const found = typeof head?.format === 'string' ? `"${head.format}"` : 'no format';
    throw new FormatError('fit-format', `This is not a fit file: it names ${found}, not "${FORMAT}".`, {
      where: 'format',
      hint: `A fit file starts with { "format": "${FORMAT}", "version": ${VERSION}.`,
    });
  }
  const { version } = head;
  if (typeof version === 'number' && version > VERSION) {
    throw new FormatError(
      'fit-version',
      `The fit file has version ${version}; this program reads up to version ${VERSION}.`,
      { where: 'version', hint: 'Read it with a newer Inlaywright.' },
    );
  }
  const parsed = fitFile.safeParse(json);
  if (!parsed.success) {
    const issue = parsed.error.issues[0]!;
    const where = issue.path.join('.') || 'fit file';
    throw new FormatError('fit-invalid', `The fit file is wrong at ${where}: ${issue.message}`, {
      where,
      hint: 'docs/fit-file.md shows each field with its unit and limits.',
    });
  }
  const byTone = Object.fromEntries(
    Object.entries(parsed.data.byTone).map(([tone, value]) => [
      tone,
      fitRecordFromFile(value, `byTone.${tone}`),
    ]),
  );
  return { default: fitRecordFromFile(parsed.data.default, 'default'), byTone };
}

/** Writes a fit file; the same records give the same bytes. */
export function writeFit(fit: FitByTone): string {
  const byTone = Object.fromEntries(
    Object.keys(fit.byTone)
      .sort()
      .map((tone) => [tone, fitRecordToFile(fit.byTone[tone]!)]),
  );
  const file = { format: FORMAT, version: VERSION, default: fitRecordToFile(fit.default), byTone };
  return `${JSON.stringify(file, null, 2)}\n`;
}

/** A record as the workshop takes it. Throws FormatError where its gaps are the wrong way round. */
export function fitRecordFromFile(value: FitRecordFile, where: string): FitRecord {
  if (value.gradeGapMm && value.gradeGapMm.min > value.gradeGapMm.max) {
    throw new FormatError(
      'fit-invalid',
      `The fit file is wrong at ${where}.gradeGapMm: min ${value.gradeGapMm.min} lies above max ${value.gradeGapMm.max}.`,
      { where: `${where}.gradeGapMm`, hint: 'Gaps are signed: -0.05 presses harder than -0.02.' },
    );
  }
  return {
    kerfEntry: toKerf(value.kerfEntryMm),
    kerfExit: toKerf(value.kerfExitMm),
    allowanceMm: value.allowanceMm,
    ...(value.scatterMm === undefined ? {} : { scatterMm: value.scatterMm }),
    ...(value.gradeGapMm === undefined ? {} : { gradeGapMm: value.gradeGapMm }),
  };
}

/** A record as files and the workspace keep it. */
export function fitRecordToFile(fit: FitRecord): FitRecordFile {
  return {
    kerfEntryMm: fromKerf(fit.kerfEntry),
    kerfExitMm: fromKerf(fit.kerfExit),
    allowanceMm: fit.allowanceMm,
    ...(fit.scatterMm === undefined ? {} : { scatterMm: fit.scatterMm }),
    ...(fit.gradeGapMm === undefined ? {} : { gradeGapMm: fit.gradeGapMm }),
  };
}

function toKerf(value: number | { x: number; y: number }): KerfXY {
  return typeof value === 'number' ? { xMm: value, yMm: value } : { xMm: value.x, yMm: value.y };
}

function fromKerf(value: KerfXY): number | { x: number; y: number } {
  return value.xMm === value.yMm ? value.xMm : { x: value.xMm, y: value.yMm };
}
