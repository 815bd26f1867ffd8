/**
 * The written beam path of one part, brought back into the frame of the drawing and indexed: lines and arcs only, solid
 * on the left of every contour. The one question asked of it is the depth of a point, that is the signed distance to
 * the path, positive inside.
 *
 * The sign is that of the winding number. No path lies between a point and its foot, so it is the sign just beside the
 * foot; on a clear segment (path-crossings.ts) that is the side of the path, and nothing need be counted. Elsewhere the
 * side of the nearest segment would not do: at needle points written curves can cross themselves within a micrometre,
 * and then whole areas near them would take the wrong side.
 */
import {
  type ArcSegment,
  type Bounds,
  buildLocator,
  type Curve,
  emptyFoot,
  type Foot,
  flattenSegments,
  footInto,
  type LineSegment,
  type Locator,
  reverseCurve,
  type Segment,
  signedArea,
  windingAt,
} from '@inlaywright/geometry';
import { type Crossing, findCrossings } from './path-crossings.ts';

/** Chord error when a cubic in a file has to be walked as lines, mm. Our own files hold none. */
const CUBIC_CHORD_MM = 0.00005;

/**
 * A point counts as belonging to R down to this much less depth than h, mm. Written joints are smooth only to their
 * decimals; without this slack each of them would take the slow way. A gap is off by less than this.
 */
export const DEPTH_SLACK_MM = 0.00002;

export type PathSegment = LineSegment | ArcSegment;

export interface PathContour {
  /** Number of its first segment in the tables of the path. */
  readonly first: number;
  readonly count: number;
  readonly lengthMm: number;
}

export interface PathTables {
  readonly segments: readonly PathSegment[];
  readonly contours: readonly PathContour[];
  readonly locator: Locator;
  readonly bounds: Bounds;
  /** Contour of each segment. */
  readonly contourOf: Int32Array;
  /** Distance along the contour at which each segment starts, mm. */
  readonly startMm: Float64Array;
  readonly lengthMm: Float64Array;
  /** Angle of an arc's start as seen from its centre; 0 for lines. */
  readonly startAngle: Float64Array;
  /** Unit tangents: start x, start y, end x, end y of each segment. */
  readonly tangents: Float64Array;
}

export interface WrittenPath extends PathTables {
  /** 1 where the winding number is 1 all along the left of a segment and 0 along its right, joints left out. */
  readonly clear: Uint8Array;
  /** Contours that are not fit to be cut, with one place each where it shows. */
  readonly crossings: readonly Crossing[];
  /** Result of the last query, kept as the first guess of the next: it speeds up walks and changes no result. */
  readonly foot: Foot;
}

/** Builds the index. Contours are turned so that an outside one runs counter-clockwise and an inside one clockwise. */
export function writtenPath(
  contours: readonly { readonly role: 'inside' | 'outside'; readonly curve: Curve }[],
): WrittenPath {
  const curves = contours.map(({ role, curve }) => {
    const plain = isPlain(curve) ? curve : { segments: curve.segments.flatMap(asLinesAndArcs) };
    return signedArea(plain) > 0 === (role === 'outside') ? plain : reverseCurve(plain);
  });
  const segments: PathSegment[] = [];
  for (const curve of curves) for (const segment of curve.segments) segments.push(segment as PathSegment);
  const count = segments.length;
  const contourOf = new Int32Array(count);
  const startMm = new Float64Array(count);
  const lengthMm = new Float64Array(count);
  const startAngle = new Float64Array(count);
  const tangents = new Float64Array(4 * count);
  const table: PathContour[] = [];
  let index = 0;
  curves.forEach((curve, c) => {
    const first = index;
    let along = 0;
    for (const segment of curve.segments as PathSegment[]) {
      contourOf[index] = c;
      startMm[index] = along;
      fillTangents(segment, tangents, 4 * index);
      if (segment.kind === 'arc') {
        startAngle[index] = Math.atan2(segment.from.y - segment.centre.y, segment.from.x - segment.centre.x);
        lengthMm[index] = segment.radius * Math.abs(segment.sweep);
      } else {
        const dx = segment.to.x - segment.from.x;
        const dy = segment.to.y - segment.from.y;
        lengthMm[index] = Math.sqrt(dx * dx + dy * dy);
      }
      along += lengthMm[index]!;
      index++;
    }
    table.push({ first, count: index - first, lengthMm: along });
  });
  const locator = buildLocator(curves);
  const path: PathTables & { foot: Foot } = {
    segments,
    contours: table,
    locator,
    bounds: locator.bounds,
    contourOf,
    startMm,
    lengthMm,
    startAngle,
    tangents,
    foot: emptyFoot(),
  };
  return { ...path, ...findCrossings(path) };
}

/** Whether the curve can be taken as it is. */
function isPlain(curve: Curve): boolean {
  for (const segment of curve.segments) {
    if (segment.kind === 'cubic') return false;
    if (segment.kind === 'arc' ? !(segment.radius > 0 && segment.sweep !== 0) : isPoint(segment))
      return false;
  }
  return true;
}

function isPoint({ from, to }: LineSegment): boolean {
  return from.x === to.x && from.y === to.y;
}

/** Zero-length lines carry no direction and are passed over; cubics become chords. */
function asLinesAndArcs(segment: Segment): PathSegment[] {
  if (segment.kind === 'arc') return segment.radius > 0 && segment.sweep !== 0 ? [segment] : [];
  if (segment.kind === 'line') {
    return isPoint(segment) ? [] : [segment];
  }
  const line = flattenSegments([segment], CUBIC_CHORD_MM);
  const chords: LineSegment[] = [];
  for (let i = 2; i < line.length; i += 2) {
    const from = { x: line[i - 2]!, y: line[i - 1]! };
    const to = { x: line[i]!, y: line[i + 1]! };
    if (from.x !== to.x || from.y !== to.y) chords.push({ kind: 'line', from, to });
  }
  return chords;
}

function fillTangents(segment: PathSegment, tangents: Float64Array, at: number): void {
  if (segment.kind === 'line') {
    const dx = segment.to.x - segment.from.x;
    const dy = segment.to.y - segment.from.y;
    const length = Math.sqrt(dx * dx + dy * dy);
    tangents[at] = tangents[at + 2] = dx / length;
    tangents[at + 1] = tangents[at + 3] = dy / length;
    return;
  }
  const { from, to, centre, sweep } = segment;
  const sign = sweep > 0 ? 1 : -1;
  const a = Math.sqrt((from.x - centre.x) ** 2 + (from.y - centre.y) ** 2);
  const b = Math.sqrt((to.x - centre.x) ** 2 + (to.y - centre.y) ** 2);
  tangents[at] = (-sign * (from.y - centre.y)) / a;
  tangents[at + 1] = (sign * (from.x - centre.x)) / a;
  tangents[at + 2] = (-sign * (to.y - centre.y)) / b;
  tangents[at + 3] = (sign * (to.x - centre.x)) / b;
}

/** Number of the segment before or after this one on its contour. */
export function neighbourSegment(path: PathTables, segment: number, step: 1 | -1): number {
  const { first, count } = path.contours[path.contourOf[segment]!]!;
  return first + ((segment - first + step + count) % count);
}

/** A foot nearer than this has no side to speak of, mm. */
const ON_PATH_MM = 1e-7;

/** Signed distance from (x, y) to the path, mm, positive inside the contours. `path.foot` then holds the nearest place. */
export function depthAt(path: WrittenPath, x: number, y: number): number {
  const { foot, locator } = path;
  if (!footInto(locator, x, y, foot)) return Number.NEGATIVE_INFINITY;
  const { distance, side } = foot;
  if (side !== 0 && distance > ON_PATH_MM && path.clear[footSegment(path)] === 1) return side * distance;
  return windingAt(locator, x, y) === 0 ? -distance : distance;
}

/** Distance from (x, y) to the path, mm, whichever side it lies on. */
export function distanceTo(path: WrittenPath, x: number, y: number): number {
  return footInto(path.locator, x, y, path.foot) ? path.foot.distance : Number.POSITIVE_INFINITY;
}

/** Number in the tables of the segment on which the last query found its foot. */
export function footSegment({ contours, foot }: WrittenPath): number {
  return contours[foot.curve]!.first + foot.segment;
}

/** Number in the tables of the segment that a hit lies on. */
export function hitSegment(
  path: WrittenPath,
  hit: { readonly curve: number; readonly segment: number },
): number {
  return path.contours[hit.curve]!.first + hit.segment;
}

/** Place and inward unit normal on a segment: x, y, nx, ny written to `out`. */
export function stationOn(path: PathTables, index: number, t: number, out: Float64Array): void {
  const segment = path.segments[index]!;
  if (segment.kind === 'line') {
    const { from, to } = segment;
    out[0] = from.x + t * (to.x - from.x);
    out[1] = from.y + t * (to.y - from.y);
    out[2] = -path.tangents[4 * index + 1]!;
    out[3] = path.tangents[4 * index]!;
    return;
  }
  const angle = path.startAngle[index]! + t * segment.sweep;
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  const inward = segment.sweep > 0 ? -1 : 1;
  out[0] = segment.centre.x + segment.radius * cos;
  out[1] = segment.centre.y + segment.radius * sin;
  out[2] = inward * cos;
  out[3] = inward * sin;
}
