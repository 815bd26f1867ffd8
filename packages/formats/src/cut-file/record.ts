import type { CutSheet, FitRecord, Seam } from '@inlaywright/workshop';
import { z } from 'zod';
import { FormatError } from '../errors.ts';
import { type ArcNumber, geometryHash } from './geometry-hash.ts';
import { stretchPoints, stretchText } from './stretch-text.ts';
import type { WrittenPart } from './written-curve.ts';

/**
 * The record of a cut file: what the lines themselves cannot say, as JSON. It holds no geometry of the cut, only a
 * fingerprint of it, so that a reader has to take every path from the lines that the machine will follow.
 */
export const RECORD_FORMAT = 'inlaywright-cut';
const RECORD_VERSION = 1;
/** Oldest release that reads the records written here; a program that meets a newer version names this one. */
const READ_SINCE = '0.1.0';

const finite = z.number();
const kerf = z.strictObject({ xMm: finite, yMm: finite });
const fit = z.strictObject({
  kerfEntry: kerf,
  kerfExit: kerf,
  allowanceMm: finite,
  scatterMm: finite.exactOptional(),
  gradeGapMm: z.strictObject({ min: finite, max: finite }).exactOptional(),
}) satisfies z.ZodType<FitRecord>;

const cutRecord = z.strictObject({
  format: z.literal(RECORD_FORMAT),
  version: z.literal(RECORD_VERSION),
  readSince: z.string(),
  piece: z.string(),
  stock: z.string(),
  parts: z.array(
    z.strictObject({
      part: z.string(),
      hand: z.enum(['single', 'left', 'right']),
      label: z.string(),
      tone: z.string(),
      placement: z.strictObject({ mirrored: z.boolean(), angleDeg: finite, dxMm: finite, dyMm: finite }),
      geometry: z.string(),
    }),
  ),
  fit: z.record(z.string(), fit),
  seams: z.array(
    z.strictObject({
      id: z.string(),
      a: z.string(),
      b: z.string(),
      lengthMm: finite,
      stretches: z.array(z.strictObject({ closed: z.boolean(), points: z.string() })),
    }),
  ),
});

export type CutRecord = z.infer<typeof cutRecord>;

/** The record's JSON in printable ASCII without spaces, `<`, `>`, `&` or `^`: no wrapping, trimming or encoding can alter it. */
export function recordText(
  sheet: CutSheet,
  parts: readonly WrittenPart[],
  arcNumber: ArcNumber,
  seams: string = seamsText(sheet.seams),
): string {
  const record: Omit<CutRecord, 'seams'> = {
    format: RECORD_FORMAT,
    version: RECORD_VERSION,
    readSince: READ_SINCE,
    piece: sheet.piece,
    stock: sheet.stock,
    parts: parts.map(({ source, contours, marks }) => ({
      part: source.part,
      hand: source.hand,
      label: source.label,
      tone: source.tone,
      placement: {
        mirrored: source.placement.mirrored,
        angleDeg: source.placement.angleDeg,
        dxMm: source.placement.dxMm,
        dyMm: source.placement.dyMm,
      },
      geometry: geometryHash(source.turned, contours, marks, arcNumber),
    })),
    fit: Object.fromEntries(
      Object.keys(sheet.fit)
        .sort()
        .map((tone) => [tone, fitOf(sheet.fit[tone]!)]),
    ),
  };
  // The seams come last, after the closing brace is taken off again.
  return `${plainJson(record).slice(0, -1)},"seams":${seams}}`;
}

/** The record's text for the seams of a piece: by far its largest part, and the same in all files of the piece. */
export function seamsText(seams: readonly Seam[]): string {
  const recorded: CutRecord['seams'] = seams.map((seam) => ({
    id: seam.id,
    a: seam.a,
    b: seam.b,
    lengthMm: seam.lengthMm,
    stretches: seam.stretches.map(({ closed, points }) => ({ closed, points: stretchText(points) })),
  }));
  return plainJson(recorded);
}

function plainJson(value: unknown): string {
  return JSON.stringify(value, refuseNotFinite).replace(
    /[^!-~]|[<>&^]/g,
    (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );
}

function fitOf(record: FitRecord): FitRecord {
  return {
    kerfEntry: { xMm: record.kerfEntry.xMm, yMm: record.kerfEntry.yMm },
    kerfExit: { xMm: record.kerfExit.xMm, yMm: record.kerfExit.yMm },
    allowanceMm: record.allowanceMm,
    ...(record.scatterMm === undefined ? {} : { scatterMm: record.scatterMm }),
    ...(record.gradeGapMm === undefined
      ? {}
      : { gradeGapMm: { min: record.gradeGapMm.min, max: record.gradeGapMm.max } }),
  };
}

// JSON turns NaN into null without a word.
function refuseNotFinite(key: string, value: unknown): unknown {
  if (typeof value !== 'number' || Number.isFinite(value)) return value;
  throw new FormatError('cut-number', `${key} of the sheet is ${value}, not a finite number.`, {
    where: key,
    hint: 'Look for a size, a kerf or a placement that is empty.',
  });
}

/** Reads a record's JSON. Throws FormatError for broken JSON, another version and wrong fields, naming the field. */
export function readRecord(text: string): CutRecord {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch (error) {
    throw new FormatError(
      'cut-record-broken',
      `The record in the cut file is not JSON: ${(error as Error).message}`,
      {
        where: 'cut record',
        hint: 'Use the file as it was written, or make it again from the piece.',
      },
    );
  }
  const head = json as { format?: unknown; version?: unknown; readSince?: unknown } | null;
  if (head?.format === RECORD_FORMAT && head.version !== RECORD_VERSION) {
    const since =
      typeof head.readSince === 'string' ? `Inlaywright ${head.readSince}` : 'a newer Inlaywright';
    throw new FormatError(
      'cut-version',
      `The cut file has record version ${String(head.version)}; this program reads version ${RECORD_VERSION}.`,
      {
        where: 'cut record, version',
        hint: `Read it with ${since} or later, or make the file again from the piece.`,
      },
    );
  }
  const parsed = cutRecord.safeParse(json);
  if (!parsed.success) {
    const issue = parsed.error.issues[0]!;
    const where = `cut record, ${issue.path.join('.') || 'top level'}`;
    throw new FormatError('cut-record-invalid', `The ${where} is wrong: ${issue.message}`, {
      where,
      hint: 'Use the file as it was written; docs/cut-files.md shows each field.',
    });
  }
  return parsed.data;
}

/** The seams of a record, in the frame of the piece. */
export function recordSeams(record: CutRecord): Seam[] {
  return record.seams.map((seam, i) => ({
    id: seam.id,
    a: seam.a,
    b: seam.b,
    lengthMm: seam.lengthMm,
    stretches: seam.stretches.map(({ closed, points: text }, j) => {
      const points = stretchPoints(text);
      if (points) return { closed, points };
      const where = `cut record, seams.${i}.stretches.${j}.points`;
      throw new FormatError('cut-record-invalid', `The ${where} of seam ${seam.id} cannot be decoded.`, {
        where,
        hint: 'Use the file as it was written, or make it again from the piece.',
      });
    }),
  }));
}
