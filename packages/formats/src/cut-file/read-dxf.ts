/**
 * A cut DXF back to a sheet. Every path is taken from the entities, never from the record; the record gives placements,
 * fit and seams. Reads the text form of release 2000 as `writeCutDxf` makes it, and the same entities as other programs
 * save them.
 */
import {
  type Curve,
  circleCurve,
  flattenSegments,
  type Point,
  reverseCurve,
  type Segment,
} from '@inlaywright/geometry';
import { FormatError } from '../errors.ts';
import {
  assembleSheet,
  type CutSheetRead,
  type FoundLine,
  recordMissing,
  type Stray,
} from './assemble-sheet.ts';
import { bulgeArc } from './bulge.ts';
import { DXF_APPLICATION, DXF_RECORD } from './dxf-frame.ts';
import { type DxfGroup, type DxfTag, readDxfGroups, tagNumber } from './dxf-tags.ts';
import { readRecord } from './record.ts';
import { CUT_ROLES, type CutRole } from './roles.ts';

const HINT = 'Use the file as it was written, or make it again from the piece.';

/**
 * The sheet that the file cuts, with warnings where it differs from what was written.
 * Throws FormatError for text that is not DXF or is cut short, units other than millimetres, numbers that are not
 * numbers, a missing record or one of another version.
 */
export function readCutDxf(text: string): CutSheetRead {
  const file = readDxfGroups(text);
  checkUnits(file.header);
  const size = readLimits(file.header);
  const lines: FoundLine[] = [];
  const strays: Stray[] = [];
  for (const entity of file.entities) {
    const line = readEntity(entity);
    if ('what' in line) strays.push(line);
    else lines.push(line);
  }
  const record = recordOf(file.objects);
  if (record === null) throw recordMissing(lines, `OBJECTS section, dictionary entry ${DXF_RECORD}`);
  return assembleSheet(readRecord(record), size, lines, strays, 'bulge');
}

function checkUnits(header: ReadonlyMap<string, readonly DxfTag[]>): void {
  const units = header.get('$INSUNITS')?.[0];
  if (units && Number(units.value) === 4) return;
  throw new FormatError(
    'cut-dxf-units',
    units
      ? `The file is in units number ${units.value}, not in millimetres (4).`
      : 'The file does not say its units.',
    { where: 'HEADER section, $INSUNITS', hint: `Save it in millimetres. ${HINT}` },
  );
}

function readLimits(header: ReadonlyMap<string, readonly DxfTag[]>): { widthMm: number; heightMm: number } {
  const limits = header.get('$LIMMAX');
  const x = limits?.find((tag) => tag.code === 10);
  const y = limits?.find((tag) => tag.code === 20);
  const widthMm = x ? tagNumber(x) : 0;
  const heightMm = y ? tagNumber(y) : 0;
  if (widthMm > 0 && heightMm > 0) return { widthMm, heightMm };
  throw new FormatError(
    'cut-dxf-limits',
    `The file gives ${widthMm} x ${heightMm} mm as the size of the sheet.`,
    {
      where: 'HEADER section, $LIMMAX',
      hint: HINT,
    },
  );
}

function readEntity(entity: DxfGroup): FoundLine | Stray {
  const where = `${entity.type} at line ${entity.line}`;
  const layer = entity.tags.find((tag) => tag.code === 8)?.value ?? '0';
  const role = CUT_ROLES.find((entry) => entry.layer === layer)?.role;
  const segments = readSegments(entity, where);
  if (!segments) return { what: `an entity of type ${entity.type}`, where };
  if (!role) return { what: `an entity on layer ${layer}`, where };

  const data = ownData(entity);
  const part = data.get('part');
  const owner = {
    role,
    where,
    ...(part === undefined ? {} : { part: plainText(part) }),
    hand: data.get('hand') ?? '',
    turned: data.get('turned') === 'true',
  };
  if (role === 'mark') return { ...owner, strokes: [flatPoints(segments)] };
  return { ...owner, curve: closedCurve(entity, segments, data.get('direction'), role, where) };
}

/** The extended data of this program: `name=value` strings. */
function ownData(entity: DxfGroup): Map<string, string> {
  const data = new Map<string, string>();
  let isOwn = false;
  for (const { code, value } of entity.tags) {
    if (code === 1001) isOwn = value === DXF_APPLICATION;
    else if (isOwn && code === 1000) {
      const equals = value.indexOf('=');
      if (equals > 0) data.set(value.slice(0, equals), value.slice(equals + 1));
    }
  }
  return data;
}

function plainText(text: string): string {
  return text.replace(/\\u([0-9a-f]{4})/g, (_, digits: string) =>
    String.fromCharCode(Number.parseInt(digits, 16)),
  );
}

/** What an entity draws; null for types that cut files do not use. */
function readSegments(entity: DxfGroup, where: string): Segment[] | null {
  const upward = entity.tags.find((tag) => tag.code === 230);
  if (upward && tagNumber(upward) !== 1) {
    throw new FormatError(
      'cut-dxf-plane',
      `The ${where} lies in a plane of its own (230 is ${upward.value}).`,
      {
        where,
        hint: `Lay everything into the plane of the sheet. ${HINT}`,
      },
    );
  }
  switch (entity.type) {
    case 'LWPOLYLINE':
      return readPolyline(entity);
    case 'CIRCLE': {
      const radius = groupNumber(entity, 40, where);
      if (!(radius > 0)) throw badEntity(where, `its radius is ${radius}`);
      const centre = { x: groupNumber(entity, 10, where), y: groupNumber(entity, 20, where) };
      return [...circleCurve(centre, radius).segments];
    }
    case 'LINE': {
      const from = { x: groupNumber(entity, 10, where), y: groupNumber(entity, 20, where) };
      return [
        { kind: 'line', from, to: { x: groupNumber(entity, 11, where), y: groupNumber(entity, 21, where) } },
      ];
    }
    default:
      return null;
  }
}

function readPolyline(entity: DxfGroup): Segment[] {
  const xs: number[] = [];
  const ys: number[] = [];
  const bulges: number[] = [];
  let isClosed = false;
  for (const tag of entity.tags) {
    if (tag.code === 10) {
      xs.push(tagNumber(tag));
      ys.push(Number.NaN);
      bulges.push(0);
    } else if (tag.code === 20) ys[ys.length - 1] = tagNumber(tag);
    else if (tag.code === 42) bulges[bulges.length - 1] = tagNumber(tag);
    else if (tag.code === 70) isClosed = (tagNumber(tag) & 1) === 1;
    else if (tag.code === 1001) break;
  }
  const where = `LWPOLYLINE at line ${entity.line}`;
  if (xs.length < 2 || ys.some(Number.isNaN)) {
    throw badEntity(where, `it has ${xs.length} vertices, or one without y`);
  }
  const points = xs.map((x, i): Point => ({ x, y: ys[i]! }));
  const segments: Segment[] = [];
  const count = isClosed ? points.length : points.length - 1;
  for (let i = 0; i < count; i++) {
    const from = points[i]!;
    const to = points[(i + 1) % points.length]!;
    if (from.x === to.x && from.y === to.y) continue;
    segments.push(bulges[i] === 0 ? { kind: 'line', from, to } : bulgeArc(from, to, bulges[i]!));
  }
  return segments;
}

function closedCurve(
  entity: DxfGroup,
  segments: readonly Segment[],
  direction: string | undefined,
  role: CutRole,
  where: string,
): Curve {
  const curve: Curve = { segments };
  if (entity.type === 'CIRCLE') {
    // Where the direction is lost, outlines run counter-clockwise and openings clockwise.
    const clockwise = direction === undefined ? role === 'cut inside' : direction === 'cw';
    return clockwise ? reverseCurve(curve) : curve;
  }
  const start = segments[0]?.from;
  const end = segments.at(-1)?.to;
  if (start && end && start.x === end.x && start.y === end.y) return curve;
  throw new FormatError(
    'cut-open',
    `The ${where} is an open line of role "${role}": it would free nothing.`,
    {
      where,
      hint: `Close the line. ${HINT}`,
    },
  );
}

function flatPoints(segments: readonly Segment[]): Point[] {
  const flat = flattenSegments(segments);
  const points: Point[] = [];
  for (let i = 0; i + 1 < flat.length; i += 2) points.push({ x: flat[i]!, y: flat[i + 1]! });
  return points;
}

function groupNumber(entity: DxfGroup, code: number, where: string): number {
  const tag = entity.tags.find((candidate) => candidate.code === code);
  if (!tag) throw badEntity(where, `it has no group ${code}`);
  return tagNumber(tag);
}

function badEntity(where: string, why: string): FormatError {
  return new FormatError('cut-dxf-entity', `The ${where} cannot be read: ${why}.`, { where, hint: HINT });
}

/** The text under the record's name in the root dictionary, or null. */
function recordOf(objects: readonly DxfGroup[]): string | null {
  for (const object of objects) {
    if (object.type !== 'DICTIONARY') continue;
    const at = object.tags.findIndex((tag) => tag.code === 3 && tag.value === DXF_RECORD);
    const handle = at < 0 ? undefined : object.tags[at + 1]?.value;
    const record = objects.find(
      (candidate) =>
        candidate.type === 'XRECORD' && candidate.tags.some((tag) => tag.code === 5 && tag.value === handle),
    );
    if (record)
      return record.tags
        .filter((tag) => tag.code === 1)
        .map((tag) => tag.value)
        .join('');
  }
  return null;
}
