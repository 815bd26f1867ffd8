/**
 * The point of R = {depth >= h} nearest to a point x outside it, exactly.
 *
 * The disk of radius h about that point touches the path. If at one place, the point is the foot of the perpendicular
 * from x on the trace of that piece of path: the line or arc at distance h on its inside, or the arc of radius h round
 * an inner corner. If at several, it is a crossing of two traces. So all traces near x give feet and crossings, those
 * of depth h belong to R, and the nearest of them is the answer once no path farther off could hold a nearer one.
 */
import { type Bounds, pointsWithin } from '@inlaywright/geometry';
import type { RoundWall, WallPoint } from './round-wall.ts';
import {
  DEPTH_SLACK_MM,
  depthAt,
  hitSegment,
  neighbourSegment,
  type PathSegment,
  type WrittenPath,
} from './written-path.ts';

/** Traces are followed this far past their ends, mm: decimals of joints must not open a gap between two traces. */
const OVERHANG_MM = 0.001;

/** A trace: a stretch of line from (ax, ay) along (ux, uy), or of the circle of radius r about (ax, ay). */
interface Trace {
  readonly r: number;
  readonly ax: number;
  readonly ay: number;
  /** Direction of the line, or from the centre to the start of the arc; unit vectors. */
  readonly ux: number;
  readonly uy: number;
  /** Length of the line, mm, or signed sweep of the arc, radians. */
  readonly extent: number;
}

const LINE = -1;

export function nearestOnRound(wall: RoundWall, x: number, y: number, out: WallPoint): WallPoint {
  const { path, radiusMm: h } = wall;
  out.distance = Number.POSITIVE_INFINITY;
  out.x = x;
  out.y = y;
  if (path.segments.length === 0) return out;
  const farthest = farthestPath(path.bounds, x, y);
  for (let reach = 1.5 * h + 0.02; ; reach *= 2) {
    nearestAmong(traces(path, h, x, y, reach), wall, x, y, out);
    // The path that holds the answer in place lies within h of it.
    if (out.distance + h <= reach || reach > farthest + h) return out;
  }
}

function farthestPath({ minX, minY, maxX, maxY }: Bounds, x: number, y: number): number {
  return Math.hypot(Math.max(maxX - x, x - minX), Math.max(maxY - y, y - minY));
}

function traces(path: WrittenPath, h: number, x: number, y: number, reach: number): Trace[] {
  const all: Trace[] = [];
  const joints = new Set<number>();
  for (const near of pointsWithin(path.locator, { x, y }, reach)) {
    const index = hitSegment(path, near);
    const trace = segmentTrace(path, index, h);
    if (trace) all.push(trace);
    joints.add(index);
    joints.add(neighbourSegment(path, index, 1));
  }
  for (const index of joints) {
    const trace = cornerTrace(path, index, h);
    if (trace) all.push(trace);
  }
  return all;
}

function segmentTrace(path: WrittenPath, index: number, h: number): Trace | null {
  const segment: PathSegment = path.segments[index]!;
  const tx = path.tangents[4 * index]!;
  const ty = path.tangents[4 * index + 1]!;
  const { x, y } = segment.from;
  if (segment.kind === 'line') {
    return { r: LINE, ax: x - h * ty, ay: y + h * tx, ux: tx, uy: ty, extent: path.lengthMm[index]! };
  }
  const { centre, radius, sweep } = segment;
  const r = sweep > 0 ? radius - h : radius + h;
  if (r < 0) return null;
  return {
    r,
    ax: centre.x,
    ay: centre.y,
    ux: (x - centre.x) / radius,
    uy: (y - centre.y) / radius,
    extent: sweep,
  };
}

/** Round the corner where a segment starts, if the solid lies outside it. */
function cornerTrace(path: WrittenPath, index: number, h: number): Trace | null {
  const before = 4 * neighbourSegment(path, index, -1) + 2;
  const ax = path.tangents[before]!;
  const ay = path.tangents[before + 1]!;
  const bx = path.tangents[4 * index]!;
  const by = path.tangents[4 * index + 1]!;
  const turn = Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
  if (turn > 0) return null;
  const { x, y } = path.segments[index]!.from;
  return { r: h, ax: x, ay: y, ux: -ay, uy: ax, extent: turn };
}

function nearestAmong(all: readonly Trace[], wall: RoundWall, x: number, y: number, out: WallPoint): void {
  const distances = all.map((trace) => foot(trace, wall, x, y, out));
  // A crossing nearer than the best foot lies on two traces that come that near.
  const near = all.filter((_, i) => distances[i]! < out.distance);
  for (let i = 1; i < near.length; i++) {
    for (let j = 0; j < i; j++) crossings(near[i]!, near[j]!, wall, x, y, out);
  }
}

/** Offers the foot from (x, y) on the trace, and tells the distance to the trace, ends included. */
function foot(trace: Trace, wall: RoundWall, x: number, y: number, out: WallPoint): number {
  const { r, ax, ay, ux, uy, extent } = trace;
  const dx = x - ax;
  const dy = y - ay;
  if (r === LINE) {
    const along = dx * ux + dy * uy;
    const off = dx * uy - dy * ux;
    if (along >= -OVERHANG_MM && along <= extent + OVERHANG_MM) {
      take(wall, x, y, ax + along * ux, ay + along * uy, out);
      return Math.abs(off);
    }
    return Math.hypot(along < 0 ? along : along - extent, off);
  }
  const d = Math.hypot(dx, dy);
  if (d === 0) return r;
  const overhang = OVERHANG_MM / (r + OVERHANG_MM);
  const turn = Math.atan2(ux * dy - uy * dx, ux * dx + uy * dy);
  // Angle from the start, in the direction of the sweep, -overhang .. 2 pi - overhang.
  const ahead = extent >= 0 ? turn : -turn;
  const angle = ahead < -overhang ? ahead + 2 * Math.PI : ahead;
  const sweep = Math.abs(extent);
  if (angle <= sweep + overhang) {
    take(wall, x, y, ax + (r * dx) / d, ay + (r * dy) / d, out);
    return Math.abs(d - r);
  }
  const cos = Math.cos(extent);
  const sin = Math.sin(extent);
  const toStart = Math.hypot(dx - r * ux, dy - r * uy);
  const toEnd = Math.hypot(dx - r * (ux * cos - uy * sin), dy - r * (uy * cos + ux * sin));
  return Math.min(toStart, toEnd);
}

function crossings(p: Trace, q: Trace, wall: RoundWall, x: number, y: number, out: WallPoint): void {
  if (p.r === LINE && q.r === LINE) {
    const det = p.ux * q.uy - p.uy * q.ux;
    if (Math.abs(det) < 1e-12) return;
    const t = ((q.ax - p.ax) * q.uy - (q.ay - p.ay) * q.ux) / det;
    take(wall, x, y, p.ax + t * p.ux, p.ay + t * p.uy, out);
    return;
  }
  if (p.r === LINE || q.r === LINE) {
    const [line, circle] = p.r === LINE ? [p, q] : [q, p];
    chord(line.ax, line.ay, line.ux, line.uy, circle, wall, x, y, out);
    return;
  }
  // The common points of two circles lie on the line on which their powers agree, square to the line of centres.
  const dx = q.ax - p.ax;
  const dy = q.ay - p.ay;
  const d = Math.hypot(dx, dy);
  if (d < 1e-9) return;
  const along = (d * d + p.r * p.r - q.r * q.r) / (2 * d);
  const mx = p.ax + (along * dx) / d;
  const my = p.ay + (along * dy) / d;
  chord(mx, my, -dy / d, dx / d, p, wall, x, y, out);
}

/** The points that the line through (px, py) along the unit vector (ux, uy) shares with a circle; a near miss touches. */
function chord(
  px: number,
  py: number,
  ux: number,
  uy: number,
  circle: Trace,
  wall: RoundWall,
  x: number,
  y: number,
  out: WallPoint,
): void {
  const { r } = circle;
  const along = (circle.ax - px) * ux + (circle.ay - py) * uy;
  const mx = px + along * ux;
  const my = py + along * uy;
  const square = r * r - (mx - circle.ax) ** 2 - (my - circle.ay) ** 2;
  if (square < -DEPTH_SLACK_MM * (r + DEPTH_SLACK_MM)) return;
  const half = Math.sqrt(Math.max(0, square));
  take(wall, x, y, mx + half * ux, my + half * uy, out);
  if (half > 0) take(wall, x, y, mx - half * ux, my - half * uy, out);
}

/** Keeps a candidate that is nearer than the best so far and belongs to R. */
function take(wall: RoundWall, x: number, y: number, cx: number, cy: number, out: WallPoint): void {
  const distance = Math.hypot(cx - x, cy - y);
  if (!(distance < out.distance)) return;
  if (depthAt(wall.path, cx, cy) < wall.radiusMm - DEPTH_SLACK_MM) return;
  out.x = cx;
  out.y = cy;
  out.distance = distance;
}
