/**
 * A cut sheet as DXF of release 2000: millimetres, one layer a role, lines and arcs as polylines with bulges, circles
 * as circles, the record in the named object dictionary. docs/cut-files.md describes the file.
 */
import {
  type ArcSegment,
  type Bounds,
  type Curve,
  emptyBounds,
  joinBounds,
  type Point,
  segmentBounds,
} from '@inlaywright/geometry';
import type { CutSheet } from '@inlaywright/workshop';
import { bulgeArc, bulgeOf } from './bulge.ts';
import { CUT_CAUTIONS } from './cautions.ts';
import {
  blocksSection,
  DXF_APPLICATION,
  FIRST_ENTITY_HANDLE,
  headerSection,
  MODEL_SPACE,
  objectsSection,
  realText,
  section,
  tablesSection,
} from './dxf-frame.ts';
import { recordText, seamsText } from './record.ts';
import { CUT_ROLES, type CutRole } from './roles.ts';
import { mmText, snap, type WrittenPart, writtenParts } from './written-curve.ts';

/**
 * The sheet as DXF; the same sheet gives the same bytes.
 * Throws FormatError for whatever cannot be cut as it stands (see `writtenParts`).
 */
export function writeCutDxf(sheet: CutSheet): string {
  return cutDxfText(sheet, writtenParts(sheet), seamsText(sheet.seams));
}

/** `writeCutDxf` from the written parts and the record's text of the seams, which other files share. */
export function cutDxfText(sheet: CutSheet, parts: readonly WrittenPart[], seams: string): string {
  const width = snap(sheet.widthMm);
  const height = snap(sheet.heightMm);
  let handle = FIRST_ENTITY_HANDLE;
  const nextHandle = (): string => (handle++).toString(16).toUpperCase();
  const entities = CUT_ROLES.flatMap(({ role, layer }) =>
    parts.map((part) => partEntities(part, role, layer, nextHandle)),
  ).join('');
  const extents = drawnExtents(parts);
  // Joined, not added up: a text that is a tree of pieces is slow to read character by character.
  return [
    ...CUT_CAUTIONS.map((line) => `999\n${line}\n`),
    headerSection(width, height, extents, handle),
    section('CLASSES', ''),
    tablesSection(width, height),
    blocksSection(),
    section('ENTITIES', entities),
    objectsSection(recordText(sheet, parts, 'bulge', seams), width, height, extents),
    '0\nEOF\n',
  ].join('');
}

function partEntities(part: WrittenPart, role: CutRole, layer: string, nextHandle: () => string): string {
  const { part: id, hand, turned } = part.source;
  const head = (type: string): string =>
    `0\n${type}\n5\n${nextHandle()}\n330\n${MODEL_SPACE}\n100\nAcDbEntity\n8\n${layer}\n`;
  const owner = `1001\n${DXF_APPLICATION}\n1000\npart=${asciiText(id)}\n1000\nhand=${hand}\n1000\nturned=${turned}\n`;
  let text = '';
  if (role === 'mark') {
    for (const mark of part.marks) text += head('LWPOLYLINE') + openPolyline(mark.points) + owner;
    return text;
  }
  for (const contour of part.contours) {
    if (`cut ${contour.role}` !== role) continue;
    const first = contour.curve.segments[0]!;
    if (contour.curve.segments.length === 1 && first.kind === 'arc') {
      text += `${head('CIRCLE')}${circle(first)}${owner}1000\ndirection=${first.sweep < 0 ? 'cw' : 'ccw'}\n`;
    } else {
      text += head('LWPOLYLINE') + closedPolyline(contour.curve) + owner;
    }
  }
  return text;
}

function circle(arc: ArcSegment): string {
  return `100\nAcDbCircle\n${pointTags(arc.centre)}30\n0.0\n40\n${lengthText(arc.radius)}\n`;
}

/** Each vertex carries the bulge of the segment that leaves it: the tangent of a quarter of its sweep. */
function closedPolyline(curve: Curve): string {
  let text = `100\nAcDbPolyline\n90\n${curve.segments.length}\n70\n1\n`;
  for (const segment of curve.segments) {
    text += pointTags(segment.from);
    if (segment.kind === 'arc') text += `42\n${realText(bulgeOf(segment.sweep))}\n`;
  }
  return text;
}

function openPolyline(points: readonly Point[]): string {
  return `100\nAcDbPolyline\n90\n${points.length}\n70\n0\n${points.map(pointTags).join('')}`;
}

function pointTags(p: Point): string {
  return `10\n${lengthText(p.x)}\n20\n${lengthText(p.y)}\n`;
}

function lengthText(mm: number): string {
  const text = mmText(mm);
  return text.includes('.') ? text : `${text}.0`;
}

/** The box around everything, with the arcs that the written bulges give: a file read and written again keeps it. */
function drawnExtents(parts: readonly WrittenPart[]): Bounds {
  let box = emptyBounds;
  for (const part of parts) {
    for (const { curve } of part.contours) {
      const isCircle = curve.segments.length === 1;
      for (const segment of curve.segments) {
        const drawn =
          segment.kind === 'arc' && !isCircle
            ? bulgeArc(segment.from, segment.to, bulgeOf(segment.sweep))
            : segment;
        box = joinBounds(box, segmentBounds(drawn));
      }
    }
    for (const { points } of part.marks) {
      for (const p of points) box = joinBounds(box, { minX: p.x, minY: p.y, maxX: p.x, maxY: p.y });
    }
  }
  if (box.minX > box.maxX) return { minX: 0, minY: 0, maxX: 0, maxY: 0 };
  return { minX: snap(box.minX), minY: snap(box.minY), maxX: snap(box.maxX), maxY: snap(box.maxY) };
}

/** Printable ASCII without spaces or carets; everything else as a JSON escape, since code pages differ. */
function asciiText(text: string): string {
  return text.replace(/[^!-~]|[\^\\]/g, (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`);
}
