/**
 * What a round beam leaves of a part at one depth: the solid R = path ⊖ disk(h), h half the kerf there, that is all
 * points with depth d >= h, d the signed distance to the path. No offset curve is built; docs/dry-fit.md proves what
 * follows.
 *
 * - Inside R the distance to its wall is d - h, always: d has slope 1 along the segment to the nearest path point.
 * - Outside R the distance to R is h - d when the point of depth h on the line through x and its nearest path point
 *   belongs to R. Otherwise the nearest point of R is a convex corner of R or belongs to another stretch of path; it
 *   is then found among the finitely many candidates: feet on the offset lines and arcs of nearby segments, feet on
 *   the circles of radius h about joints, and the crossings of any two of these; those that have depth h count.
 */
import { type Bounds, pointsWithin, segmentBounds } from '@inlaywright/geometry';
import { depthAt, hitSegment, neighbourSegment, type PathSegment, type WrittenPath } from './written-path.ts';

export interface RoundWall {
  readonly kind: 'round';
  readonly path: WrittenPath;
  /** Half the kerf at this depth, mm. */
  readonly radiusMm: number;
}

export interface WallPoint {
  x: number;
  y: number;
  /** From the point asked about; infinite where nothing of the part is left. */
  distance: number;
}

/**
 * A point counts as belonging to R down to this much less depth than h, mm. Written joints are smooth only to their
 * decimals; without this slack each of them would take the slow way. A gap is off by less than this.
 */
export const DEPTH_SLACK_MM = 0.00002;

/** Signed gap from (x, y) to the solid, mm: positive is air, negative how deep the point lies inside. */
export function gapToRound(wall: RoundWall, x: number, y: number): number {
  const { path, radiusMm: h } = wall;
  const depth = depthAt(path, x, y);
  if (depth >= h - 1e-9) return h - depth;
  // There is no path at all.
  if (depth === Number.NEGATIVE_INFINITY) return Number.POSITIVE_INFINITY;
  const hit = path.hit;
  const px = hit.point.x;
  const py = hit.point.y;
  let nx: number;
  let ny: number;
  if (Math.abs(depth) > 1e-7) {
    nx = (x - px) / depth;
    ny = (y - py) / depth;
  } else {
    const index = hitSegment(path, hit);
    const at = 4 * index + (hit.t < 0.5 ? 0 : 2);
    const segment = path.segments[index]!;
    if (segment.kind === 'line') {
      nx = -path.tangents[at + 1]!;
      ny = path.tangents[at]!;
    } else {
      const inward = segment.sweep > 0 ? -1 : 1;
      nx = (inward * (px - segment.centre.x)) / segment.radius;
      ny = (inward * (py - segment.centre.y)) / segment.radius;
    }
  }
  if (depthAt(path, px + h * nx, py + h * ny) >= h - DEPTH_SLACK_MM) return h - depth;
  return nearestOnRound(wall, x, y, found).distance;
}

const found: WallPoint = { x: 0, y: 0, distance: 0 };

/** An offset line (n . p = c) or a circle of radius r about (a, b). */
interface Trace {
  readonly line: boolean;
  /** Line: normal and constant. Circle: centre and radius. */
  readonly a: number;
  readonly b: number;
  readonly c: number;
  /** Box of what it was offset from, grown by h: two traces can only cross in R where their boxes meet. */
  readonly box: Bounds;
}

/** The point of R nearest to a point outside R (or on its wall); distance infinite when R is empty. */
export function nearestOnRound(wall: RoundWall, x: number, y: number, out: WallPoint): WallPoint {
  const { path, radiusMm: h } = wall;
  const { minX, minY, maxX, maxY } = path.bounds;
  const farthest =
    Math.hypot(Math.max(maxX - x, x - minX), Math.max(maxY - y, y - minY)) +
    Math.hypot(maxX - minX, maxY - minY);
  out.distance = Number.POSITIVE_INFINITY;
  out.x = x;
  out.y = y;
  if (path.segments.length === 0) return out;
  for (let reach = 3 * h + 0.02; ; reach *= 2) {
    nearestAmong(traces(path, h, x, y, reach), wall, x, y, out);
    // The path points that hold the answer in place lie within h of it.
    if (out.distance + h <= reach || reach > farthest) return out;
  }
}

function traces(path: WrittenPath, h: number, x: number, y: number, reach: number): Trace[] {
  const all: Trace[] = [];
  const joints = new Set<number>();
  for (const near of pointsWithin(path.locator, { x, y }, reach)) {
    const index = hitSegment(path, near);
    const trace = offsetTrace(path, index, h);
    if (trace) all.push(trace);
    joints.add(index);
    joints.add(neighbourSegment(path, index, 1));
  }
  for (const index of joints) {
    const { from } = path.segments[index]!;
    const box = { minX: from.x - h, minY: from.y - h, maxX: from.x + h, maxY: from.y + h };
    all.push({ line: false, a: from.x, b: from.y, c: h, box });
  }
  return all;
}

function offsetTrace(path: WrittenPath, index: number, h: number): Trace | null {
  const segment: PathSegment = path.segments[index]!;
  const { minX, minY, maxX, maxY } = segmentBounds(segment);
  const box = { minX: minX - h, minY: minY - h, maxX: maxX + h, maxY: maxY + h };
  if (segment.kind === 'line') {
    const a = -path.tangents[4 * index + 1]!;
    const b = path.tangents[4 * index]!;
    return { line: true, a, b, c: a * segment.from.x + b * segment.from.y + h, box };
  }
  const radius = segment.sweep > 0 ? segment.radius - h : segment.radius + h;
  return radius < 0 ? null : { line: false, a: segment.centre.x, b: segment.centre.y, c: radius, box };
}

function nearestAmong(all: readonly Trace[], wall: RoundWall, x: number, y: number, out: WallPoint): void {
  for (let i = 0; i < all.length; i++) {
    const trace = all[i]!;
    if (trace.line) {
      const off = trace.c - trace.a * x - trace.b * y;
      take(wall, x, y, x + off * trace.a, y + off * trace.b, out);
    } else {
      const dx = x - trace.a;
      const dy = y - trace.b;
      const d = Math.hypot(dx, dy);
      if (d > 0) take(wall, x, y, trace.a + (trace.c * dx) / d, trace.b + (trace.c * dy) / d, out);
    }
  }
  for (let i = 1; i < all.length; i++) {
    for (let j = 0; j < i; j++) {
      if (meet(all[i]!.box, all[j]!.box)) crossings(all[i]!, all[j]!, wall, x, y, out);
    }
  }
}

function meet(p: Bounds, q: Bounds): boolean {
  return p.minX <= q.maxX && q.minX <= p.maxX && p.minY <= q.maxY && q.minY <= p.maxY;
}

function crossings(p: Trace, q: Trace, wall: RoundWall, x: number, y: number, out: WallPoint): void {
  if (p.line && q.line) {
    const det = p.a * q.b - p.b * q.a;
    if (Math.abs(det) < 1e-9) return;
    take(wall, x, y, (p.c * q.b - q.c * p.b) / det, (p.a * q.c - q.a * p.c) / det, out);
    return;
  }
  if (p.line || q.line) {
    const line = p.line ? p : q;
    const circle = p.line ? q : p;
    chord(line.a, line.b, line.c, circle, wall, x, y, out);
    return;
  }
  // Two circles: their common points lie on the line on which both powers agree.
  const dx = q.a - p.a;
  const dy = q.b - p.b;
  const d = Math.hypot(dx, dy);
  if (d < 1e-9) return;
  const along = (d * d + p.c * p.c - q.c * q.c) / (2 * d);
  chord(dx / d, dy / d, (p.a * dx + p.b * dy) / d + along, p, wall, x, y, out);
}

/** The points that the line n . p = c shares with a circle; a near miss counts as touching. */
function chord(
  nx: number,
  ny: number,
  c: number,
  circle: Trace,
  wall: RoundWall,
  x: number,
  y: number,
  out: WallPoint,
): void {
  const off = c - nx * circle.a - ny * circle.b;
  const square = circle.c * circle.c - off * off;
  if (square < -DEPTH_SLACK_MM * (circle.c + DEPTH_SLACK_MM)) return;
  const half = Math.sqrt(Math.max(0, square));
  const mx = circle.a + off * nx;
  const my = circle.b + off * ny;
  take(wall, x, y, mx - half * ny, my + half * nx, out);
  if (half > 0) take(wall, x, y, mx + half * ny, my - half * nx, out);
}

function take(wall: RoundWall, x: number, y: number, cx: number, cy: number, out: WallPoint): void {
  const distance = Math.hypot(cx - x, cy - y);
  if (distance >= out.distance) return;
  if (depthAt(wall.path, cx, cy) < wall.radiusMm - DEPTH_SLACK_MM) return;
  out.x = cx;
  out.y = cy;
  out.distance = distance;
}
