/**
 * A beam path as it can be written: end points and radii on the 1 nm grid, arcs short enough for end-point notation.
 *
 * SVG gives an arc by its ends and radius, and a reader finds the centre at sqrt(r^2 - c^2/4) from the middle of the
 * chord c: an error in r comes back r / sqrt(r^2 - c^2/4) times as large, without bound near a half turn; near a full
 * turn the direction of the chord is lost instead. So no written arc turns by more than LONGEST_ARC, where the factor is
 * 3.9 and rounding to the grid moves the arc by less than 5 nm. DXF's bulge would bear half turns; both files get the
 * same arcs all the same.
 */
import {
  type ArcSegment,
  type Curve,
  curveBounds,
  distance,
  isCircle,
  type Point,
  pointAt,
  type Segment,
} from '@inlaywright/geometry';
import type { CutSheet, PlacedPart } from '@inlaywright/workshop';
import { FormatError } from '../errors.ts';

/** A part as written: its contours and marks snapped and checked. */
export interface WrittenPart {
  readonly source: PlacedPart;
  readonly contours: readonly { readonly role: 'inside' | 'outside'; readonly curve: Curve }[];
  readonly marks: readonly { readonly points: readonly Point[] }[];
}

/** Grid steps in a millimetre. */
export const GRID_PER_MM = 1e6;

/** Largest turn of one written arc, radians: 150 degrees. */
const LONGEST_ARC = (5 * Math.PI) / 6;

/** Height of an arc over its chord, mm, under which it is written as a line: one step of the grid. */
const FLAT_ARC = 1 / GRID_PER_MM;

/** Radius, mm, under which the grid is too coarse for an arc; the chord that is written instead is at most 0.04 um off. */
const SMALLEST_RADIUS = 5e-5;

/** How far, mm, one segment's end may lie off the next one's start, and a line beyond the edge of the sheet. */
const SLACK = 1e-4;

/**
 * How far, mm, an arc's ends may lie off its own circle: 2 um, the accuracy promised for beam paths. Such an arc is
 * written by its ends, so paths stay closed; farther off it is not what anybody computed.
 */
const ARC_SLACK = 2e-3;

/** How far, mm, centres and radii of arcs may differ that together are written as one circle: half a grid step. */
const SAME_CIRCLE = 0.5 / GRID_PER_MM;

/** The nearest value on the 1 nm grid. */
export function snap(mm: number): number {
  return Math.round(mm * GRID_PER_MM) / GRID_PER_MM;
}

/** A length or coordinate in the fewest digits that give its grid value exactly; at most six decimals, no exponent. */
export function mmText(mm: number): string {
  return gridText(Math.round(mm * GRID_PER_MM));
}

/** Three digits, and three digits without zeros at their end. */
const THREE: readonly string[] = Array.from({ length: 1000 }, (_, i) => String(i).padStart(3, '0'));
const LAST_THREE: readonly string[] = THREE.map((text) => text.replace(/0+$/, ''));

/** `mmText` from whole grid steps. Put together from tables: the language's own way from a fraction is slower. */
export function gridText(steps: number): string {
  if (!(steps > -0x40000000 && steps < 0x40000000)) return String(steps / GRID_PER_MM);
  const size = Math.abs(steps) | 0;
  const whole = (size / GRID_PER_MM) | 0;
  const rest = size - whole * GRID_PER_MM;
  const text = steps < 0 ? `-${whole}` : String(whole);
  if (rest === 0) return text;
  const high = (rest / 1000) | 0;
  const low = rest - 1000 * high;
  return low === 0 ? `${text}.${LAST_THREE[high]!}` : `${text}.${THREE[high]!}${LAST_THREE[low]!}`;
}

/**
 * All parts of a sheet, ready to be written.
 * Throws FormatError for numbers that are not finite, cubics, open or collapsed contours, arcs that do not fit their
 * own circle, marks of fewer than two points, a part without an outline, a part twice, and lines beyond the sheet.
 */
export function writtenParts(sheet: CutSheet): WrittenPart[] {
  if (!(sheet.widthMm > 0 && sheet.heightMm > 0 && sheet.widthMm < 1e6 && sheet.heightMm < 1e6)) {
    throw new FormatError('cut-size', `The sheet is ${sheet.widthMm} x ${sheet.heightMm} mm.`, {
      where: 'sheet',
      hint: 'Width and height must be positive numbers of mm.',
    });
  }
  const seen = new Set<string>();
  return sheet.parts.map((part) => {
    const where = `part ${part.part} (${part.hand})`;
    if (seen.has(where)) {
      throw new FormatError('cut-part-twice', `The sheet holds ${where} twice.`, {
        where,
        hint: 'A reader could not tell the two apart: put each part of each hand on the sheet once.',
      });
    }
    seen.add(where);
    if (!part.contours.some((contour) => contour.role === 'outside')) {
      throw new FormatError('cut-no-outline', `The ${where} has no outside contour: nothing would free it.`, {
        where,
        hint: 'Compute the beam paths of the piece again.',
      });
    }
    const contours = part.contours.map((contour, i) => {
      const place = `${where}, contour ${i + 1}, ${contour.role}`;
      const curve = writtenCurve(contour.curve, place);
      const { minX, minY, maxX, maxY } = curveBounds(curve);
      checkOnSheet(sheet, minX, minY, place);
      checkOnSheet(sheet, maxX, maxY, place);
      return { role: contour.role, curve };
    });
    const marks = part.marks.map((mark, i) => {
      const place = `${where}, mark ${i + 1}`;
      const points = writtenStroke(mark.points, place);
      for (const p of points) checkOnSheet(sheet, p.x, p.y, place);
      return { points };
    });
    return { source: part, contours, marks };
  });
}

function checkOnSheet(sheet: CutSheet, x: number, y: number, where: string): void {
  if (x >= -SLACK && y >= -SLACK && x <= sheet.widthMm + SLACK && y <= sheet.heightMm + SLACK) return;
  throw new FormatError(
    'cut-off-sheet',
    `A line of ${where} reaches (${mmText(x)}, ${mmText(y)}) mm, beyond the sheet of ${mmText(sheet.widthMm)} x ${mmText(sheet.heightMm)} mm.`,
    { where, hint: 'Give the sheet a size that holds all its parts, or move the part.' },
  );
}

/** The curve on the grid, its long arcs in equal pieces, a circle as one full arc that starts at its rightmost point. */
export function writtenCurve(curve: Curve, where: string): Curve {
  checkCurve(curve, where);
  const circle = isCircle(curve, SAME_CIRCLE);
  if (circle) return writtenCircle(circle.centre, circle.radius, curve.segments[0] as ArcSegment, where);

  const segments: Segment[] = [];
  const start = snapPoint(curve.segments[0]!.from);
  let from = start;
  for (const segment of curve.segments) {
    if (segment.kind === 'arc' && isRound(segment)) {
      const pieces = Math.max(1, Math.ceil(Math.abs(segment.sweep) / LONGEST_ARC - 1e-9));
      for (let i = 1; i <= pieces; i++) {
        const to = snapPoint(pointAt(segment, i / pieces));
        if (to.x === from.x && to.y === from.y) continue;
        segments.push({
          kind: 'arc',
          from,
          to,
          centre: segment.centre,
          radius: snap(segment.radius),
          sweep: segment.sweep / pieces,
        });
        from = to;
      }
    } else {
      const to = snapPoint(segment.to);
      if (to.x === from.x && to.y === from.y) continue;
      segments.push({ kind: 'line', from, to });
      from = to;
    }
  }
  const fewest = segments.some((segment) => segment.kind === 'arc') ? 2 : 3;
  if (segments.length < fewest) {
    throw new FormatError('cut-collapsed', `The ${where} encloses no area at (${start.x}, ${start.y}) mm.`, {
      where,
      hint: 'Remove this contour or draw it larger.',
    });
  }
  return { segments };
}

function writtenCircle(centre: Point, radius: number, first: ArcSegment, where: string): Curve {
  const c = snapPoint(centre);
  const r = snap(radius);
  if (r <= 0) {
    throw new FormatError('cut-collapsed', `The ${where} is a circle of radius ${radius} mm.`, {
      where,
      hint: 'Remove this contour or draw it larger.',
    });
  }
  const from = { x: c.x + r, y: c.y };
  const sweep = first.sweep < 0 ? -2 * Math.PI : 2 * Math.PI;
  return { segments: [{ kind: 'arc', from, to: from, centre: c, radius: r, sweep }] };
}

function isRound(arc: ArcSegment): boolean {
  if (arc.radius < SMALLEST_RADIUS) return false;
  const half = Math.abs(arc.sweep) / 2;
  // 1 - cos(half) loses all digits where it matters; this form does not.
  return half > 1 || 2 * arc.radius * Math.sin(half / 2) ** 2 >= FLAT_ARC;
}

function snapPoint(p: Point): Point {
  return { x: snap(p.x), y: snap(p.y) };
}

function writtenStroke(points: readonly Point[], where: string): Point[] {
  const stroke: Point[] = [];
  for (const point of points) {
    checkFinite(point, where);
    const p = snapPoint(point);
    const last = stroke.at(-1);
    if (!last || last.x !== p.x || last.y !== p.y) stroke.push(p);
  }
  if (stroke.length < 2) {
    throw new FormatError(
      'cut-mark-short',
      `The ${where} has ${stroke.length} distinct points; a line needs two.`,
      {
        where,
        hint: 'Draw a dot as a short line.',
      },
    );
  }
  return stroke;
}

function checkCurve(curve: Curve, where: string): void {
  let last = curve.segments.at(-1);
  if (!last) {
    throw new FormatError('cut-collapsed', `The ${where} has no segments.`, {
      where,
      hint: 'Remove this contour.',
    });
  }
  for (const segment of curve.segments) {
    checkFinite(segment.from, where);
    checkFinite(segment.to, where);
    if (segment.kind === 'cubic') {
      throw new FormatError(
        'cut-cubic',
        `The ${where} has a cubic at (${segment.from.x}, ${segment.from.y}) mm.`,
        {
          where,
          hint: 'Cut files hold lines and arcs: fit lines and arcs to the curve before it is written.',
        },
      );
    }
    if (far(segment.from, last.to)) {
      throw new FormatError(
        'cut-open',
        `The ${where} is open: it stops at (${last.to.x}, ${last.to.y}) and goes on at (${segment.from.x}, ${segment.from.y}) mm.`,
        { where, hint: 'Close the contour: each segment must start where the one before it ends.' },
      );
    }
    if (segment.kind === 'arc') checkArc(segment, where);
    last = segment;
  }
}

function checkArc(arc: ArcSegment, where: string): void {
  checkFinite(arc.centre, where);
  if (!Number.isFinite(arc.radius) || !Number.isFinite(arc.sweep)) notFinite(arc.radius, arc.sweep, where);
  const cos = Math.cos(arc.sweep);
  const sin = Math.sin(arc.sweep);
  const x = arc.from.x - arc.centre.x;
  const y = arc.from.y - arc.centre.y;
  const end = { x: arc.centre.x + x * cos - y * sin, y: arc.centre.y + x * sin + y * cos };
  const offCircle = Math.abs(Math.hypot(x, y) - arc.radius);
  if (
    offCircle <= ARC_SLACK &&
    distance(end, arc.to) <= ARC_SLACK &&
    Math.abs(arc.sweep) <= 2 * Math.PI + 1e-9
  )
    return;
  throw new FormatError(
    'cut-arc',
    `The ${where} has an arc at (${arc.from.x}, ${arc.from.y}) mm whose ends, centre, radius ${arc.radius} and sweep ${arc.sweep} rad disagree.`,
    { where, hint: 'Compute the contour again; its arc cannot be written as it is.' },
  );
}

function far(p: Point, q: Point): boolean {
  return Math.abs(p.x - q.x) > SLACK || Math.abs(p.y - q.y) > SLACK;
}

function checkFinite(p: Point, where: string): void {
  if (!Number.isFinite(p.x) || !Number.isFinite(p.y)) notFinite(p.x, p.y, where);
}

function notFinite(x: number, y: number, where: string): never {
  throw new FormatError('cut-number', `The ${where} holds a number that is not finite: (${x}, ${y}).`, {
    where,
    hint: 'Look for a size of the piece that is empty or zero.',
  });
}
