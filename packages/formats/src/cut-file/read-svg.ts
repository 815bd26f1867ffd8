/**
 * A cut SVG back to a sheet. Every path is taken from the drawn elements, under their transforms, never from the
 * record; the record gives placements, fit and seams. Files that another program has saved again are read too, as long
 * as they still state a size in a unit of length and still hold the record.
 */
import {
  type Affine,
  apply,
  type Curve,
  circleCurve,
  compose,
  flattenSegments,
  identity,
  type Point,
  reverseCurve,
  type Segment,
  signedArea,
  transformCurve,
  transformSegment,
} from '@inlaywright/geometry';
import {
  isPhysicalUnit,
  MM_PER_PX,
  parseCssLength,
  parseNumber,
  parseNumberList,
  toUserUnits,
} from '../artwork/length.ts';
import { outlineCurves, polylineOutline, type Subpath } from '../artwork/outline.ts';
import { readPathData } from '../artwork/path-data.ts';
import { elementLabel, parseSvgTree, type SvgElement } from '../artwork/svg-tree.ts';
import { parseTransformAttribute } from '../artwork/transform.ts';
import { parseAspectRatio, parseViewBox, viewBoxTransform } from '../artwork/viewport.ts';
import { FormatError } from '../errors.ts';
import {
  assembleSheet,
  type CutSheetRead,
  type FoundLine,
  recordMissing,
  type Stray,
} from './assemble-sheet.ts';
import { RECORD_FORMAT, readRecord } from './record.ts';
import { CUT_ROLES, type CutRole } from './roles.ts';

/** Elements that draw nothing by themselves. */
const SILENT = new Set([
  'title',
  'desc',
  'metadata',
  'defs',
  'style',
  'clipPath',
  'mask',
  'pattern',
  'marker',
  'symbol',
]);

const HINT = 'Use the file as it was written, or make it again from the piece.';

interface Found {
  readonly lines: FoundLine[];
  readonly strays: Stray[];
}

/**
 * The sheet that the file cuts, with warnings where it differs from what was written.
 * Throws FormatError for broken XML, a size without a unit of length, shapes that are not shapes, a missing record or
 * one of another version.
 */
export function readCutSvg(text: string): CutSheetRead {
  const { root, elements } = parseSvgTree(text);
  const { widthMm, heightMm, toMm } = readPage(root);
  const flip: Affine = { a: 1, b: 0, c: 0, d: -1, e: 0, f: heightMm };
  const found: Found = { lines: [], strays: [] };
  for (const child of root.children) collect(child, compose(flip, toMm), undefined, found);

  const start = `{"format":"${RECORD_FORMAT}"`;
  const record = elements.find(
    (element) => element.tag === 'metadata' && element.text.trim().startsWith(start),
  );
  if (!record) throw recordMissing(found.lines, 'metadata element');
  return assembleSheet(readRecord(record.text), { widthMm, heightMm }, found.lines, found.strays, 'radius');
}

/** Size of the sheet and the map from the root's user units to mm, y still down. */
function readPage(root: SvgElement): { widthMm: number; heightMm: number; toMm: Affine } {
  const widthMm = lengthMm(root, 'width');
  const heightMm = lengthMm(root, 'height');
  const viewBox = root.attributes.get('viewBox');
  const box = viewBox === undefined ? null : parseViewBox(viewBox);
  if (box && box.width > 0 && box.height > 0) {
    const ratio = parseAspectRatio(root.attributes.get('preserveAspectRatio'));
    return { widthMm, heightMm, toMm: viewBoxTransform(box, ratio, widthMm, heightMm) };
  }
  const shown = viewBox === undefined ? 'no viewBox' : `the viewBox "${viewBox}"`;
  throw new FormatError('cut-svg-units', `The file has ${shown}: the scale of its numbers is unknown.`, {
    where: 'svg element, viewBox',
    hint: `A cut file has a viewBox that makes one unit one millimetre. ${HINT}`,
  });
}

function lengthMm(root: SvgElement, name: 'width' | 'height'): number {
  const text = root.attributes.get(name);
  const length = text === undefined ? null : parseCssLength(text);
  if (
    length &&
    length.value > 0 &&
    length.unit !== '' &&
    length.unit !== 'px' &&
    isPhysicalUnit(length.unit)
  ) {
    if (length.unit === 'mm') return length.value;
    return toUserUnits(length, 'x', { width: 0, height: 0, fontSize: 0 }) * MM_PER_PX;
  }
  const shown = text === undefined ? `has no ${name}` : `has ${name}="${text}"`;
  throw new FormatError('cut-svg-units', `The file ${shown}: its true size is unknown.`, {
    where: `svg element, ${name}`,
    hint: `A cut file states its size in mm (pixels differ from program to program). ${HINT}`,
  });
}

function collect(element: SvgElement, toPlane: Affine, role: CutRole | undefined, found: Found): void {
  if (element.foreign || SILENT.has(element.tag)) return;
  const here = compose(toPlane, ownTransform(element));
  if (element.tag === 'g' || element.tag === 'a') {
    const inner = roleOf(element) ?? role;
    for (const child of element.children) collect(child, here, inner, found);
    return;
  }
  const where = elementLabel(element);
  const shape = readShape(element, where);
  if (!shape || role === undefined) {
    found.strays.push({ what: shape ? 'a shape outside the groups of roles' : `<${element.tag}>`, where });
    return;
  }
  found.lines.push(...roleLines(element, shape, role, here, where));
}

function roleOf(group: SvgElement): CutRole | undefined {
  const word = group.attributes.get('data-role');
  const id = group.attributes.get('id');
  return CUT_ROLES.find((entry) => entry.role === word || (word === undefined && entry.id === id))?.role;
}

function ownTransform(element: SvgElement): Affine {
  const text = element.attributes.get('transform');
  const map = text === undefined ? identity : parseTransformAttribute(text);
  const inStyle = /(?:^|[;\s])(?:transform|translate|rotate|scale)\s*:/.test(
    element.attributes.get('style') ?? '',
  );
  if (map && !inStyle) return map;
  const where = elementLabel(element);
  throw new FormatError(
    'cut-svg-transform',
    `The transform of ${where} cannot be read: ${inStyle ? 'it is given as a style' : `"${text}"`}.`,
    { where, hint: `Save the file with transforms applied to the shapes. ${HINT}` },
  );
}

type Shape =
  | { readonly kind: 'circle'; readonly centre: Point; readonly radius: number }
  | { readonly kind: 'outline'; readonly subpaths: readonly Subpath[] };

/** What the element draws, in its own user units; null for elements that cut files do not use. */
function readShape(element: SvgElement, where: string): Shape | null {
  switch (element.tag) {
    case 'circle': {
      const centre = { x: attributeNumber(element, 'cx', where), y: attributeNumber(element, 'cy', where) };
      const radius = attributeNumber(element, 'r', where);
      if (!(radius > 0)) throw badShape(where, `its radius is ${radius}`);
      return { kind: 'circle', centre, radius };
    }
    case 'path': {
      const { subpaths, error } = readPathData(element.attributes.get('d') ?? '');
      if (error !== null) throw badShape(where, `its path data is wrong: ${error}`);
      return { kind: 'outline', subpaths };
    }
    case 'line': {
      const ends = (['1', '2'] as const).map((n) => ({
        x: attributeNumber(element, `x${n}`, where),
        y: attributeNumber(element, `y${n}`, where),
      }));
      return { kind: 'outline', subpaths: [polylineOutline(ends, false)] };
    }
    case 'polyline':
    case 'polygon': {
      const { numbers, rest } = parseNumberList(element.attributes.get('points') ?? '');
      if (rest.trim() !== '' || numbers.length < 4 || numbers.length % 2 !== 0) {
        throw badShape(where, 'its points are not a list of at least two pairs of numbers');
      }
      const points: Point[] = [];
      for (let i = 0; i < numbers.length; i += 2) points.push({ x: numbers[i]!, y: numbers[i + 1]! });
      return { kind: 'outline', subpaths: [polylineOutline(points, element.tag === 'polygon')] };
    }
    default:
      return null;
  }
}

function attributeNumber(element: SvgElement, name: string, where: string): number {
  const text = element.attributes.get(name) ?? '0';
  const value = parseNumber(text);
  if (value === null) throw badShape(where, `its ${name} is "${text}", not a number`);
  return value;
}

function badShape(where: string, why: string): FormatError {
  return new FormatError('cut-svg-shape', `The ${where} cannot be read: ${why}.`, { where, hint: HINT });
}

function roleLines(
  element: SvgElement,
  shape: Shape,
  role: CutRole,
  toPlane: Affine,
  where: string,
): FoundLine[] {
  const part = element.attributes.get('data-part');
  const owner = {
    role,
    where,
    ...(part === undefined ? {} : { part }),
    hand: element.attributes.get('data-hand') ?? '',
    turned: element.attributes.get('data-turned') === 'true',
  };
  if (shape.kind === 'circle') {
    const circle = transformCurve(circleCurve(shape.centre, shape.radius), toPlane);
    if (role === 'mark') return [{ ...owner, strokes: [flatPoints(circle.segments)] }];
    return [{ ...owner, curve: directed(circle, element.attributes.get('data-direction'), role) }];
  }
  if (role === 'mark') {
    const drawn = shape.subpaths.filter((subpath) => subpath.segments.length > 0);
    return [{ ...owner, strokes: drawn.map((subpath) => strokePoints(subpath, toPlane)) }];
  }
  const open = shape.subpaths.find((subpath) => !subpath.closed && !returns(subpath));
  if (open) {
    const at = apply(toPlane, open.start);
    throw new FormatError(
      'cut-open',
      `The ${where} is an open line of role "${role}" that starts at (${at.x}, ${at.y}) mm: it would free nothing.`,
      { where, hint: `Close the line. ${HINT}` },
    );
  }
  return outlineCurves(shape.subpaths, toPlane).map((curve) => ({ ...owner, curve }));
}

function returns(subpath: Subpath): boolean {
  const end = subpath.segments.at(-1)?.to;
  return end !== undefined && end.x === subpath.start.x && end.y === subpath.start.y;
}

/** A circle the way round it was written; where that is lost, outlines run counter-clockwise and openings clockwise. */
function directed(circle: Curve, direction: string | undefined, role: CutRole): Curve {
  const clockwise = direction === undefined ? role === 'cut inside' : direction === 'cw';
  return signedArea(circle) < 0 === clockwise ? circle : reverseCurve(circle);
}

/** The points of a stroke; curves in marks, which come from other programs only, are flattened. */
function strokePoints(subpath: Subpath, toPlane: Affine): Point[] {
  return flatPoints(
    subpath.segments.flatMap((segment) =>
      segment.kind === 'ellipse'
        ? transformSegment(segment.unit, compose(toPlane, segment.frame))
        : transformSegment(segment, toPlane),
    ),
  );
}

function flatPoints(segments: readonly Segment[]): Point[] {
  const flat = flattenSegments(segments);
  const points: Point[] = [];
  for (let i = 0; i + 1 < flat.length; i += 2) points.push({ x: flat[i]!, y: flat[i + 1]! });
  return points;
}
