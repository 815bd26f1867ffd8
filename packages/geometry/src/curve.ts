/**
 * Closed curves of lines, circular arcs and cubics. Each segment's `to` is bitwise the next one's `from`, and the last
 * one's `to` the first one's `from`. A full circle is one arc with a sweep of plus or minus 2 pi.
 */
import { type Bounds, emptyBounds, joinBounds } from './bounds.ts';
import { secondMoments } from './mass.ts';
import { type Affine, apply, determinant, type Point } from './point.ts';
import { type ArcSegment, reverseSegment, type Segment, segmentBounds, segmentLength } from './segment.ts';
import { isSimilarity, transformSegment } from './segment-transform.ts';

export interface Curve {
  readonly segments: readonly Segment[];
}

/** A full circle as one arc, counter-clockwise, starting at its rightmost point. */
export function circleCurve(centre: Point, radius: number): Curve {
  const start = { x: centre.x + radius, y: centre.y };
  return { segments: [{ kind: 'arc', from: start, to: start, centre, radius, sweep: 2 * Math.PI }] };
}

/** Straight lines through the points in order and back to the first; a point equal to its successor is passed over. */
export function polygonCurve(points: readonly Point[]): Curve {
  const segments: Segment[] = [];
  for (let i = 0; i < points.length; i++) {
    const from = points[i]!;
    const to = points[(i + 1) % points.length]!;
    if (from.x !== to.x || from.y !== to.y) segments.push({ kind: 'line', from, to });
  }
  return { segments };
}

export function reverseCurve(curve: Curve): Curve {
  const segments: Segment[] = [];
  for (let i = curve.segments.length - 1; i >= 0; i--) segments.push(reverseSegment(curve.segments[i]!));
  return { segments };
}

/** The image of the curve. Mirroring maps flip the direction in which it is walked. */
export function transformCurve(curve: Curve, m: Affine): Curve {
  const keepsCircles = isSimilarity(m);
  const det = determinant(m);
  const scale = Math.sqrt(Math.abs(det));
  const segments: Segment[] = [];
  // Joints are mapped once and shared by both segments.
  let last: Point | undefined;
  let lastImage: Point | undefined;
  for (const segment of curve.segments) {
    const isJoint = last && last.x === segment.from.x && last.y === segment.from.y;
    const from = isJoint ? lastImage! : apply(m, segment.from);
    const to = apply(m, segment.to);
    last = segment.to;
    lastImage = to;
    if (segment.kind === 'line') segments.push({ kind: 'line', from, to });
    else if (segment.kind === 'arc' && keepsCircles) {
      segments.push({
        kind: 'arc',
        from,
        to,
        centre: apply(m, segment.centre),
        radius: segment.radius * scale,
        sweep: det < 0 ? -segment.sweep : segment.sweep,
      });
    } else segments.push(...transformSegment(segment, m));
  }
  return { segments };
}

export function curveBounds(curve: Curve): Bounds {
  return curve.segments.reduce((box, segment) => joinBounds(box, segmentBounds(segment)), emptyBounds);
}

export function curveLength(curve: Curve): number {
  return curve.segments.reduce((sum, segment) => sum + segmentLength(segment), 0);
}

/** Enclosed area, exact; positive when the curve runs counter-clockwise. */
export function signedArea(curve: Curve): number {
  return secondMoments(curve).area;
}

/**
 * The circle this curve is, or null. True when every segment is an arc of one circle, going round once the same way;
 * centres and radii may differ by `tolerance`.
 */
export function isCircle(curve: Curve, tolerance: number): { centre: Point; radius: number } | null {
  const first = curve.segments[0];
  if (first?.kind !== 'arc') return null;
  let x = 0;
  let y = 0;
  let radius = 0;
  let sweep = 0;
  for (const segment of curve.segments) {
    if (segment.kind !== 'arc' || segment.sweep * first.sweep <= 0) return null;
    const share = segment.sweep;
    x += share * segment.centre.x;
    y += share * segment.centre.y;
    radius += share * segment.radius;
    sweep += share;
  }
  if (Math.abs(Math.abs(sweep) - 2 * Math.PI) > 1e-6) return null;
  const circle = { centre: { x: x / sweep, y: y / sweep }, radius: radius / sweep };
  const isOnIt = (arc: ArcSegment): boolean =>
    Math.hypot(arc.centre.x - circle.centre.x, arc.centre.y - circle.centre.y) +
      Math.abs(arc.radius - circle.radius) <=
    tolerance;
  return curve.segments.every((segment) => segment.kind === 'arc' && isOnIt(segment)) ? circle : null;
}
