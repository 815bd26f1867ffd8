import type { Curve, Point } from '@inlaywright/geometry';
import type { CutSheet, Finding, PlacedPart } from '@inlaywright/workshop';
import { FormatError } from '../errors.ts';
import { type ArcNumber, geometryHash } from './geometry-hash.ts';
import { type CutRecord, recordSeams } from './record.ts';
import type { CutRole } from './roles.ts';

/** A sheet as a file gives it, with what the reader noticed. */
export interface CutSheetRead extends CutSheet {
  readonly warnings: readonly Finding[];
}

/** A line found in a file. */
export interface FoundLine {
  readonly role: CutRole;
  /** Absent where the line carries no part id. */
  readonly part?: string;
  readonly hand?: string;
  readonly turned?: boolean;
  /** A closed beam path, or the strokes of a mark. */
  readonly curve?: Curve;
  readonly strokes?: readonly (readonly Point[])[];
  /** Place in the file, for messages. */
  readonly where: string;
}

/** Anything in a file that would be cut or marked and that the reader could not take for a part's line. */
export interface Stray {
  readonly what: string;
  readonly where: string;
}

interface Gathered {
  turned: boolean;
  contours: { role: 'inside' | 'outside'; curve: Curve }[];
  marks: { points: readonly Point[] }[];
}

/**
 * The sheet from the lines of a file and its record. Contours come inside ones first. Differences between lines and
 * record are warnings, and the lines win; nothing is left out without one.
 * Throws FormatError where the lines of one part disagree about being turned.
 */
export function assembleSheet(
  record: CutRecord,
  size: { readonly widthMm: number; readonly heightMm: number },
  lines: readonly FoundLine[],
  strays: readonly Stray[],
  arcNumber: ArcNumber,
): CutSheetRead {
  const known = new Map(record.parts.map((entry) => [keyOf(entry.part, entry.hand), entry]));
  const gathered = new Map<string, Gathered>();
  const unknown: Stray[] = [...strays];
  for (const line of lines) {
    const key = keyOf(line.part ?? '', line.hand ?? '');
    if (line.part === undefined || !known.has(key)) {
      unknown.push({ what: strayWords(line), where: line.where });
      continue;
    }
    gather(gathered, key, line);
  }

  const warnings: Finding[] = unknown.map(strayFinding);
  const parts: PlacedPart[] = [];
  for (const [key, entry] of known) {
    const found = gathered.get(key);
    const name = `${entry.part} (${entry.hand})`;
    if (!found?.contours.some((contour) => contour.role === 'outside')) {
      warnings.push({
        code: 'cut-part-missing',
        severity: 'decision',
        message: `Part ${name} is in the record but has no outside contour in the file: it will not be cut free.`,
        hint: 'Use the file as it was written, or make it again from the piece.',
        parts: [entry.part],
      });
      if (!found) continue;
    }
    const contours = [
      ...found.contours.filter((contour) => contour.role === 'inside'),
      ...found.contours.filter((contour) => contour.role === 'outside'),
    ];
    if (geometryHash(found.turned, contours, found.marks, arcNumber) !== entry.geometry) {
      warnings.push({
        code: 'cut-changed',
        severity: 'warning',
        message: `The lines of part ${name} were changed after the file was written; they are read as they are now.`,
        hint: 'If the change was not meant, make the file again from the piece.',
        parts: [entry.part],
      });
    }
    parts.push({
      part: entry.part,
      hand: entry.hand,
      label: entry.label,
      tone: entry.tone,
      turned: found.turned,
      placement: entry.placement,
      contours,
      marks: found.marks,
    });
  }
  return {
    piece: record.piece,
    stock: record.stock,
    widthMm: size.widthMm,
    heightMm: size.heightMm,
    parts,
    fit: record.fit,
    seams: recordSeams(record),
    warnings,
  };
}

function keyOf(part: string, hand: string): string {
  return `${hand} ${part}`;
}

function gather(gathered: Map<string, Gathered>, key: string, line: FoundLine): void {
  const turned = line.turned ?? false;
  let part = gathered.get(key);
  if (!part) {
    part = { turned, contours: [], marks: [] };
    gathered.set(key, part);
  }
  if (part.turned !== turned) {
    throw new FormatError(
      'cut-turned-mixed',
      `Some lines of part ${line.part} (${line.hand}) say that it is turned and some that it is not.`,
      { where: line.where, hint: 'Use the file as it was written, or make it again from the piece.' },
    );
  }
  if (line.curve && line.role !== 'mark') {
    part.contours.push({ role: line.role === 'cut inside' ? 'inside' : 'outside', curve: line.curve });
  }
  for (const points of line.strokes ?? []) part.marks.push({ points });
}

function strayWords(line: FoundLine): string {
  const owner =
    line.part === undefined ? 'without a part id' : `of an unknown part ${line.part} (${line.hand})`;
  return `a line of role "${line.role}" ${owner}`;
}

function strayFinding(stray: Stray): Finding {
  return {
    code: 'cut-stray',
    severity: 'decision',
    message: `The file holds ${stray.what} at ${stray.where}; it belongs to no part and is left out of the dry fit.`,
    hint: 'The machine may still cut it: remove it from the file if it was not meant.',
  };
}

/** The error for a cut file whose record is gone, saying what is still there. */
export function recordMissing(lines: readonly FoundLine[], where: string): FormatError {
  const counts = ['cut inside', 'cut outside', 'mark'].map(
    (role) => `${lines.filter((line) => line.role === role).length} ${role}`,
  );
  return new FormatError(
    'cut-record-missing',
    `The file holds no cut record (${counts.join(', ')} lines are there): placements, fit and seams are unknown, so no dry fit can be made from it.`,
    {
      where,
      hint: 'It can still be cut. For the dry fit use the file as it was written, or the other format written beside it, or make it again from the piece.',
    },
  );
}
