/** The piece file: versioned JSON, documented in docs/piece-file.md. Lengths in mm, angles in degrees, y up. */
import type { Area, Piece, Shape, Tone } from '@inlaywright/workshop';
import type { z } from 'zod';
import { FormatError } from '../errors.ts';
import { findJsonFault } from './json-fault.ts';
import { readPathData, writePathData } from './path-data.ts';
import {
  PIECE_FORMAT,
  PIECE_NEEDS,
  PIECE_VERSION,
  type PieceFile,
  pieceFileSchema,
  type ShapeFile,
} from './schema.ts';

/** Issues named in one message; a file with more is wrong from the ground up. */
const MOST_ISSUES = 8;
const FILE_HINT = 'docs/piece-file.md shows every field with its unit and limits.';

/**
 * Reads a piece file. What the file says is checked here; what it draws (open or crossing outlines, radii that do not
 * fit) is for `checkPiece`.
 * @throws FormatError piece-not-json (with line and column), piece-format, piece-version, piece-invalid, piece-path
 */
export function readPiece(text: string): Piece {
  const file = parseFile(text.startsWith('\uFEFF') ? text.slice(1) : text);
  const areas = file.areas.map((area, index) => toArea(area, index));
  return {
    name: file.name,
    tones: file.tones.map(
      ({ grainDeg, ...tone }): Tone => ({ ...tone, ...(grainDeg === undefined ? {} : { grainDeg }) }),
    ),
    areas,
    ...(file.pair === undefined ? {} : { pair: file.pair }),
  };
}

/** Writes a piece file; the same piece gives the same bytes, and reading it gives the same piece. */
export function writePiece(piece: Piece): string {
  const file = {
    format: PIECE_FORMAT,
    version: PIECE_VERSION,
    needs: PIECE_NEEDS,
    name: piece.name,
    ...(piece.pair === undefined ? {} : { pair: piece.pair }),
    tones: piece.tones.map(({ id, name, colour, grainDeg }) => ({
      id,
      name,
      colour,
      ...(grainDeg === undefined ? {} : { grainDeg }),
    })),
    areas: piece.areas.map(({ id, name, tone, shape, cornerRadiiMm, extendsOutline }) => ({
      id,
      name,
      tone,
      shape: fromShape(shape),
      ...(cornerRadiiMm === undefined ? {} : { cornerRadiiMm }),
      ...(extendsOutline === undefined ? {} : { extendsOutline }),
    })),
  };
  return `${layOut(file)}\n`;
}

function parseFile(text: string): PieceFile {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    const { line, column, message } = findJsonFault(text);
    throw new FormatError(
      'piece-not-json',
      `The piece file is not JSON at line ${line}, column ${column}: ${message}.`,
      {
        where: `line ${line}, column ${column}`,
        hint: 'Mend it in a text editor at that place.',
      },
    );
  }
  const head = (typeof json === 'object' ? json : null) as {
    format?: unknown;
    version?: unknown;
    needs?: unknown;
  } | null;
  if (head?.format !== PIECE_FORMAT) {
    const found = typeof head?.format === 'string' ? `"${head.format}"` : 'no format';
    throw new FormatError(
      'piece-format',
      `This is not a piece file: it names ${found}, not "${PIECE_FORMAT}".`,
      {
        where: 'format',
        hint: `A piece file starts with { "format": "${PIECE_FORMAT}", "version": ${PIECE_VERSION}.`,
      },
    );
  }
  if (typeof head.version === 'number' && head.version > PIECE_VERSION) {
    const needed =
      typeof head.needs === 'string' ? `Inlaywright ${head.needs} or newer` : 'a newer Inlaywright';
    throw new FormatError(
      'piece-version',
      `The piece file has version ${head.version}; this program reads version ${PIECE_VERSION}. ${capital(needed)} reads it.`,
      { where: 'version', hint: `Open it with ${needed}.` },
    );
  }
  const parsed = pieceFileSchema.safeParse(json, { reportInput: true });
  if (parsed.success) return parsed.data;
  const issues = parsed.error.issues.map((issue) => describe(issue, json));
  const shown = issues.slice(0, MOST_ISSUES).map(({ where, message }) => `${where}: ${message}`);
  const more = issues.length > shown.length ? `; and ${issues.length - shown.length} more` : '';
  throw new FormatError('piece-invalid', `The piece file is wrong: ${shown.join('; ')}${more}.`, {
    where: issues[0]!.where,
    hint: FILE_HINT,
  });
}

/** Names the area or tone by its id, and the field in it. */
function describe(issue: z.core.$ZodIssue, json: unknown): { where: string; message: string } {
  const [list, index, ...rest] = issue.path;
  const owner =
    (list === 'areas' || list === 'tones') && typeof index === 'number'
      ? named(json, list, index)
      : undefined;
  const path = (owner === undefined ? issue.path : rest).map((key, i) =>
    typeof key === 'number' ? `[${key}]` : i > 0 ? `.${String(key)}` : String(key),
  );
  const where = [owner, path.join('')].filter(Boolean).join(', ') || 'the file';
  return { where, message: reason(issue) };
}

function named(json: unknown, list: 'areas' | 'tones', index: number): string {
  const entry = (json as Record<string, { id?: unknown }[]>)[list]?.[index];
  const kind = list === 'areas' ? 'area' : 'tone';
  return typeof entry?.id === 'string' && entry.id !== ''
    ? `${kind} "${entry.id}"`
    : `${kind} number ${index + 1}`;
}

function reason(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case 'unrecognized_keys':
      return `has the unknown field ${issue.keys.map((key) => `"${key}"`).join(', ')}`;
    case 'invalid_type':
      return issue.input === undefined
        ? 'is missing'
        : `must be ${/^[aeiou]/.test(issue.expected) ? 'an' : 'a'} ${issue.expected}, ${shown(issue.input)} was found`;
    case 'invalid_value':
      return `must be ${issue.values.map((value) => JSON.stringify(value)).join(' or ')}, ${shown(issue.input)} was found`;
    case 'invalid_union':
      if (issue.discriminator === 'kind')
        return 'must name a kind of shape (disc, ellipse, rectangle, ... or path)';
      return 'must be one number, or a list of numbers';
    case 'too_small':
    case 'too_big':
      return `${issue.message}, ${shown(issue.input)} was found`;
    default:
      return `${issue.message}${issue.input === undefined ? '' : `, ${shown(issue.input)} was found`}`;
  }
}

function shown(input: unknown): string {
  const text = JSON.stringify(input) ?? String(input);
  return text.length > 40 ? `${text.slice(0, 37)}...` : text;
}

function toArea(area: PieceFile['areas'][number], index: number): Area {
  const { id, name, tone, shape, cornerRadiiMm, extendsOutline } = area;
  return {
    id,
    name: name ?? id,
    tone,
    shape: toShape(shape, id, index),
    ...(cornerRadiiMm === undefined ? {} : { cornerRadiiMm }),
    ...(extendsOutline === undefined ? {} : { extendsOutline }),
  };
}

function toShape(shape: ShapeFile, id: string, index: number): Shape {
  if (shape.kind !== 'path') {
    const { angleDeg, ...rest } = shape;
    return { ...rest, ...(angleDeg === undefined ? {} : { angleDeg }) };
  }
  const reading = readPathData(shape.d);
  if (!reading.ok) {
    const { offset, message } = reading.fault;
    const near = shape.d.slice(Math.max(0, offset - 12), offset + 12);
    throw new FormatError(
      'piece-path',
      `The path of area "${id}" cannot be read at character ${offset + 1} ("...${near}..."): ${message}.`,
      {
        where: `areas[${index}].shape.d, character ${offset + 1}`,
        hint: 'docs/piece-file.md describes path data.',
      },
    );
  }
  return { kind: 'path', curves: reading.curves, fillRule: shape.fillRule ?? 'nonzero' };
}

/** Fields of shapes in the order they are written, whatever the order they were made in. */
const SHAPE_FIELDS = [
  'kind',
  'centre',
  'angleDeg',
  'sides',
  'points',
  'diameterMm',
  'outerDiameterMm',
  'innerDiameterMm',
  'bottomMm',
  'topMm',
  'widthMm',
  'heightMm',
  'lengthMm',
  'biteDiameterMm',
  'biteOffsetMm',
];

function fromShape(shape: Shape): Record<string, unknown> {
  if (shape.kind === 'path')
    return { kind: 'path', fillRule: shape.fillRule, d: writePathData(shape.curves) };
  const { x, y } = shape.centre;
  const fields: Record<string, unknown> = { ...shape, centre: { x, y } };
  return Object.fromEntries(
    SHAPE_FIELDS.filter((field) => field in fields).map((field) => [field, fields[field]]),
  );
}

/** JSON with one line for every tone, area and shape: readable, and small differences stay small. */
function layOut(file: Record<string, unknown>): string {
  const lines = Object.entries(file).map(([key, value]) => {
    if (!Array.isArray(value)) return `  ${JSON.stringify(key)}: ${JSON.stringify(value)}`;
    const entries = value.map((entry) => `    ${inline(entry)}`);
    return `  ${JSON.stringify(key)}: [${entries.length > 0 ? `\n${entries.join(',\n')}\n  ` : ''}]`;
  });
  return `{\n${lines.join(',\n')}\n}`;
}

/** One line, spaced as people write it; -0 becomes 0. */
function inline(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(inline).join(', ')}]`;
  if (typeof value === 'object' && value !== null) {
    const fields = Object.entries(value).filter(([, field]) => field !== undefined);
    return `{ ${fields.map(([key, field]) => `${JSON.stringify(key)}: ${inline(field)}`).join(', ')} }`;
  }
  return JSON.stringify(value);
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
