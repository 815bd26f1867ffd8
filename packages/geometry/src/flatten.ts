/**
 * Curves to polylines with a guaranteed chord error: every chord stays within the tolerance of its stretch of the
 * curve, and the curve within the tolerance of its chord. All vertices lie on the curve, joints are bitwise exact.
 *
 * A segment and its reverse give bitwise the same vertices in opposite order, so that two areas that share an edge
 * still share it after flattening.
 *
 * Arcs: equal steps, sagitta r (1 - cos(step/2)). Cubics: equal steps in t within pieces; a linear interpolant is within
 * h^2/8 max|f''| of its function.
 */
import { type CubicPoints, secondDifference, splitCubic } from './cubic.ts';
import type { Curve } from './curve.ts';
import { GeometryError } from './errors.ts';
import type { Point } from './point.ts';
import type { ArcSegment, Segment } from './segment.ts';

/** Default chord error, mm: 0.5 um. A quarter of what a written curve may be off, and 64 chords on a 3 mm hole. */
export const FLATTEN_TOLERANCE = 0.0005;

/** The closed curve as a ring: x0, y0, x1, y1, ..., the first vertex not repeated. */
export function flattenCurve(curve: Curve, tolerance: number = FLATTEN_TOLERANCE): Float64Array {
  const out: number[] = [];
  checkTolerance(tolerance);
  for (const segment of curve.segments) pushInterior(out, segment, tolerance, true);
  return Float64Array.from(out);
}

/** Joined segments as an open polyline, both ends included; nothing for no segments. */
export function flattenSegments(
  segments: readonly Segment[],
  tolerance: number = FLATTEN_TOLERANCE,
): Float64Array {
  const out: number[] = [];
  checkTolerance(tolerance);
  for (const segment of segments) pushInterior(out, segment, tolerance, true);
  const last = segments[segments.length - 1];
  if (last) out.push(last.to.x, last.to.y);
  return Float64Array.from(out);
}

/** Chords needed for an arc; whole circles get a multiple of four, so that all four extremes are vertices. */
export function arcChordCount(radius: number, sweep: number, tolerance: number): number {
  const angle = Math.abs(sweep);
  const full = angle >= 2 * Math.PI - 1e-9;
  const least = full ? 8 : Math.max(1, Math.ceil(angle / (Math.PI / 2) - 1e-9));
  if (tolerance >= radius) return least;
  const count = Math.max(least, Math.ceil(angle / (2 * Math.acos(1 - tolerance / radius)) - 1e-9));
  return full ? 4 * Math.ceil(count / 4) : count;
}

/** Appends the start of the segment (when asked) and its inner vertices; its end belongs to the next one. */
function pushInterior(out: number[], segment: Segment, tolerance: number, withStart: boolean): void {
  if (withStart) out.push(segment.from.x, segment.from.y);
  if (segment.kind === 'line') return;
  const first = out.length;
  if (segment.kind === 'arc') {
    const backwards = segment.sweep < 0;
    pushArc(out, segment, backwards, tolerance);
    if (backwards) reversePairs(out, first);
  } else {
    const { from, c1, c2, to } = segment;
    // One direction is computed, the other is its mirror: which one is a matter of coordinates, not of travel.
    const backwards = isAfter(from, to) || (from.x === to.x && from.y === to.y && isAfter(c1, c2));
    pushCubic(out, backwards ? { from: to, c1: c2, c2: c1, to: from } : segment, tolerance);
    if (backwards) reversePairs(out, first);
  }
}

function pushArc(out: number[], arc: ArcSegment, backwards: boolean, tolerance: number): void {
  const { centre, radius } = arc;
  const count = arcChordCount(radius, arc.sweep, tolerance);
  const start = backwards ? arc.to : arc.from;
  const first = Math.atan2(start.y - centre.y, start.x - centre.x);
  const step = Math.abs(arc.sweep) / count;
  for (let i = 1; i < count; i++) {
    const angle = first + i * step;
    out.push(centre.x + radius * Math.cos(angle), centre.y + radius * Math.sin(angle));
  }
}

function pushCubic(out: number[], cubic: CubicPoints, tolerance: number): void {
  const count = chordCount(cubic, tolerance);
  if (count > 4) {
    // Where the curve bends unevenly, halves that are stepped apart need fewer chords in all.
    const [left, right] = splitCubic(cubic, 0.5);
    if (chordCount(left, tolerance) + chordCount(right, tolerance) < 0.95 * count) {
      pushCubic(out, left, tolerance);
      out.push(right.from.x, right.from.y);
      pushCubic(out, right, tolerance);
      return;
    }
  }
  const { from, c1, c2, to } = cubic;
  for (let i = 1; i < count; i++) {
    const t = i / count;
    const u = 1 - t;
    const w0 = u * u * u;
    const w1 = 3 * u * u * t;
    const w2 = 3 * u * t * t;
    const w3 = t * t * t;
    out.push(
      w0 * from.x + w1 * c1.x + w2 * c2.x + w3 * to.x,
      w0 * from.y + w1 * c1.y + w2 * c2.y + w3 * to.y,
    );
  }
}

function chordCount(cubic: CubicPoints, tolerance: number): number {
  return Math.max(1, Math.ceil(Math.sqrt((0.75 * secondDifference(cubic)) / tolerance)));
}

function isAfter(p: Point, q: Point): boolean {
  return p.x > q.x || (p.x === q.x && p.y > q.y);
}

function reversePairs(out: number[], first: number): void {
  for (let i = first, j = out.length - 2; i < j; i += 2, j -= 2) {
    const x = out[i]!;
    const y = out[i + 1]!;
    out[i] = out[j]!;
    out[i + 1] = out[j + 1]!;
    out[j] = x;
    out[j + 1] = y;
  }
}

function checkTolerance(tolerance: number): void {
  if (!(tolerance > 0)) {
    throw new GeometryError(
      'bad-tolerance',
      `The flattening tolerance is ${tolerance}; it must be a length above zero, such as ${FLATTEN_TOLERANCE}.`,
      { tolerance },
    );
  }
}
