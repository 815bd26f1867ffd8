/**
 * The three kinds of segment a curve is made of, and what one segment can be asked.
 *
 * Parameter t runs from 0 at `from` to 1 at `to`; on lines and arcs it is proportional to length.
 * Positions at t = 0 and t = 1 are bitwise `from` and `to`. Lengths are unit-free, angles radians, y up.
 */
import type { Bounds } from './bounds.ts';
import { cubicBounds, cubicDerivative, cubicLength, cubicPoint, splitCubic } from './cubic.ts';
import type { Point } from './point.ts';

export interface LineSegment {
  readonly kind: 'line';
  readonly from: Point;
  readonly to: Point;
}

/** A circular arc. A full circle has `from` equal to `to` and a sweep of plus or minus 2 pi. */
export interface ArcSegment {
  readonly kind: 'arc';
  readonly from: Point;
  readonly to: Point;
  readonly centre: Point;
  readonly radius: number;
  /** Signed angle from `from` to `to` about the centre, positive counter-clockwise, at most 2 pi in size. */
  readonly sweep: number;
}

export interface CubicSegment {
  readonly kind: 'cubic';
  readonly from: Point;
  readonly c1: Point;
  readonly c2: Point;
  readonly to: Point;
}

export type Segment = LineSegment | ArcSegment | CubicSegment;

/** The angle of an arc's start as seen from its centre, -pi..pi. */
export function startAngle(arc: ArcSegment): number {
  return Math.atan2(arc.from.y - arc.centre.y, arc.from.x - arc.centre.x);
}

export function pointAt(segment: Segment, t: number): Point {
  if (t === 0) return segment.from;
  if (t === 1) return segment.to;
  switch (segment.kind) {
    case 'line': {
      const { from, to } = segment;
      return { x: from.x + t * (to.x - from.x), y: from.y + t * (to.y - from.y) };
    }
    case 'arc': {
      const angle = startAngle(segment) + t * segment.sweep;
      return {
        x: segment.centre.x + segment.radius * Math.cos(angle),
        y: segment.centre.y + segment.radius * Math.sin(angle),
      };
    }
    case 'cubic':
      return cubicPoint(segment, t);
  }
}

/** Unit tangent in the direction of travel; the zero vector where the segment is a single point. */
export function tangentAt(segment: Segment, t: number): Point {
  switch (segment.kind) {
    case 'line':
      return unit(segment.to.x - segment.from.x, segment.to.y - segment.from.y);
    case 'arc': {
      const turn = t * segment.sweep;
      const sign = segment.sweep < 0 ? -1 : 1;
      const ux = segment.from.x - segment.centre.x;
      const uy = segment.from.y - segment.centre.y;
      const cos = Math.cos(turn);
      const sin = Math.sin(turn);
      return unit(-sign * (ux * sin + uy * cos), sign * (ux * cos - uy * sin));
    }
    case 'cubic': {
      const d = cubicDerivative(segment, t);
      const speed = Math.hypot(d.x, d.y);
      const reach = controlReach(segment);
      if (speed > 1e-9 * reach) return { x: d.x / speed, y: d.y / speed };
      return cuspTangent(segment, t);
    }
  }
}

export function segmentLength(segment: Segment): number {
  switch (segment.kind) {
    case 'line':
      return Math.hypot(segment.to.x - segment.from.x, segment.to.y - segment.from.y);
    case 'arc':
      return segment.radius * Math.abs(segment.sweep);
    case 'cubic':
      return cubicLength(segment);
  }
}

/** The smallest axis-parallel box around the segment: exact extremes for arcs and cubics. */
export function segmentBounds(segment: Segment): Bounds {
  if (segment.kind === 'cubic') return cubicBounds(segment);
  const { from, to } = segment;
  let minX = Math.min(from.x, to.x);
  let minY = Math.min(from.y, to.y);
  let maxX = Math.max(from.x, to.x);
  let maxY = Math.max(from.y, to.y);
  if (segment.kind === 'arc') {
    const { centre, radius, sweep } = segment;
    // Less than a half turn with both ends in one quadrant reaches no extreme; no angles needed.
    const isShort =
      Math.abs(sweep) < 3 &&
      (from.x - centre.x) * (to.x - centre.x) > 0 &&
      (from.y - centre.y) * (to.y - centre.y) > 0;
    if (isShort) return { minX, minY, maxX, maxY };
    if (arcCoversAngle(segment, 0)) maxX = Math.max(maxX, centre.x + radius);
    if (arcCoversAngle(segment, Math.PI / 2)) maxY = Math.max(maxY, centre.y + radius);
    if (arcCoversAngle(segment, Math.PI)) minX = Math.min(minX, centre.x - radius);
    if (arcCoversAngle(segment, -Math.PI / 2)) minY = Math.min(minY, centre.y - radius);
  }
  return { minX, minY, maxX, maxY };
}

/** Whether the arc passes the direction `angle` as seen from its centre. */
export function arcCoversAngle(arc: ArcSegment, angle: number): boolean {
  const full = 2 * Math.PI;
  const start = startAngle(arc);
  const ahead = arc.sweep >= 0 ? angle - start : start - angle;
  return ahead - full * Math.floor(ahead / full) <= Math.abs(arc.sweep);
}

export function reverseSegment(segment: Segment): Segment {
  const { from, to } = segment;
  switch (segment.kind) {
    case 'line':
      return { kind: 'line', from: to, to: from };
    case 'arc':
      return {
        kind: 'arc',
        from: to,
        to: from,
        centre: segment.centre,
        radius: segment.radius,
        sweep: -segment.sweep,
      };
    case 'cubic':
      return { kind: 'cubic', from: to, c1: segment.c2, c2: segment.c1, to: from };
  }
}

/** Two segments that together retrace this one and meet at parameter t. */
export function splitSegment(segment: Segment, t: number): [Segment, Segment] {
  const middle = pointAt(segment, t);
  switch (segment.kind) {
    case 'line':
      return [
        { kind: 'line', from: segment.from, to: middle },
        { kind: 'line', from: middle, to: segment.to },
      ];
    case 'arc':
      return [
        { ...segment, to: middle, sweep: segment.sweep * t },
        { ...segment, from: middle, sweep: segment.sweep * (1 - t) },
      ];
    case 'cubic':
      return splitCubic(segment, t);
  }
}

function unit(x: number, y: number): Point {
  const length = Math.hypot(x, y);
  return length === 0 ? { x: 0, y: 0 } : { x: x / length, y: y / length };
}

function controlReach(cubic: CubicSegment): number {
  const { from, c1, c2, to } = cubic;
  return (
    Math.hypot(c1.x - from.x, c1.y - from.y) +
    Math.hypot(c2.x - c1.x, c2.y - c1.y) +
    Math.hypot(to.x - c2.x, to.y - c2.y)
  );
}

/** Where the first derivative vanishes, the direction is that of a higher one: ahead at the start, behind at the end. */
function cuspTangent(cubic: CubicSegment, t: number): Point {
  const { from, c1, c2, to } = cubic;
  const reach = controlReach(cubic);
  if (reach === 0) return { x: 0, y: 0 };
  const second = {
    x: (1 - t) * (c2.x - 2 * c1.x + from.x) + t * (to.x - 2 * c2.x + c1.x),
    y: (1 - t) * (c2.y - 2 * c1.y + from.y) + t * (to.y - 2 * c2.y + c1.y),
  };
  const behind = t > 0.5 ? -1 : 1;
  if (Math.hypot(second.x, second.y) > 1e-9 * reach) return unit(behind * second.x, behind * second.y);
  return unit(to.x - 3 * c2.x + 3 * c1.x - from.x, to.y - 3 * c2.y + 3 * c1.y - from.y);
}
