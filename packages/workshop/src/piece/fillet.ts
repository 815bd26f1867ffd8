/**
 * The arc that rounds one corner: tangent to both segments, on the inside of the turn.
 *
 * Its centre lies on both segments moved sideways by the radius. Moved lines and arcs are lines and arcs, so their
 * meeting point has a closed form. With a cubic the meeting point is found by Newton's method on
 *   p1(u) + s r n1(u) = p2(v) + s r n2(v),   d/du (p + s r n) = p' (1 - s r k),
 * (n the left normal, k the curvature, s the side), following it from radius 0 at the corner itself up to the radius
 * asked for; it ends at the precision of doubles.
 */
import {
  type ArcSegment,
  type LineSegment,
  type Point,
  pointAt,
  type Segment,
  tangentAt,
} from '@inlaywright/geometry';

export interface Fillet {
  /** Parameter on the incoming segment where the arc begins. */
  readonly leave: number;
  /** Parameter on the outgoing segment where it ends. */
  readonly join: number;
  readonly centre: Point;
  readonly sweep: number;
}

/** Tangents that differ by less than this are a smooth joint, radians: 0.1 degree. */
const SMOOTH_ANGLE = 0.00175;

/** How the direction changes at the joint, radians, positive to the left; 0 at a smooth joint. */
export function turnAt(incoming: Segment, outgoing: Segment): number {
  const a = tangentAt(incoming, 1);
  const b = tangentAt(outgoing, 0);
  const angle = Math.atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y);
  return Math.abs(angle) < SMOOTH_ANGLE ? 0 : angle;
}

/** Undefined where no arc of this radius touches both segments, or where the corner turns back on itself. */
export function fillet(incoming: Segment, outgoing: Segment, radius: number): Fillet | undefined {
  const turn = turnAt(incoming, outgoing);
  if (turn === 0 || Math.PI - Math.abs(turn) < SMOOTH_ANGLE) return undefined;
  const side = Math.sign(turn);
  const touch =
    incoming.kind === 'cubic' || outgoing.kind === 'cubic'
      ? followed(incoming, outgoing, side * radius)
      : closedForm(incoming, outgoing, side * radius);
  if (touch === undefined) return undefined;
  const { leave, join } = touch;
  const p = pointAt(incoming, leave);
  const t = tangentAt(incoming, leave);
  const centre = { x: p.x - side * radius * t.y, y: p.y + side * radius * t.x };
  const q = pointAt(outgoing, join);
  const cross = (p.x - centre.x) * (q.y - centre.y) - (p.y - centre.y) * (q.x - centre.x);
  const dot = (p.x - centre.x) * (q.x - centre.x) + (p.y - centre.y) * (q.y - centre.y);
  let sweep = Math.atan2(cross, dot);
  if (side * sweep < 0) sweep += side * 2 * Math.PI;
  return { leave, join, centre, sweep };
}

type Touch = Pick<Fillet, 'leave' | 'join'>;

/** @param shift signed distance to the left */
function closedForm(
  incoming: LineSegment | ArcSegment,
  outgoing: LineSegment | ArcSegment,
  shift: number,
): Touch | undefined {
  const a = moved(incoming, shift);
  const b = moved(outgoing, shift);
  if (a === undefined || b === undefined) return undefined;
  let best: Touch | undefined;
  let shortest = Number.POSITIVE_INFINITY;
  for (const centre of meetings(a, b)) {
    const leave = parameterAt(incoming, centre, 1);
    const join = parameterAt(outgoing, centre, 0);
    if (leave === undefined || join === undefined) continue;
    const trimmed = (1 - leave) * a.length + join * b.length;
    if (trimmed < shortest) {
      shortest = trimmed;
      best = { leave, join };
    }
  }
  return best;
}

type Moved =
  | { readonly kind: 'line'; readonly at: Point; readonly along: Point; readonly length: number }
  | { readonly kind: 'circle'; readonly centre: Point; readonly radius: number; readonly length: number };

function moved(segment: LineSegment | ArcSegment, shift: number): Moved | undefined {
  if (segment.kind === 'line') {
    const along = tangentAt(segment, 0);
    const length = Math.hypot(segment.to.x - segment.from.x, segment.to.y - segment.from.y);
    if (length === 0) return undefined;
    return {
      kind: 'line',
      at: { x: segment.from.x - shift * along.y, y: segment.from.y + shift * along.x },
      along,
      length,
    };
  }
  // Left of a counter-clockwise arc is towards its centre.
  const radius = segment.radius - Math.sign(segment.sweep) * shift;
  if (radius <= 0) return undefined;
  return { kind: 'circle', centre: segment.centre, radius, length: segment.radius * Math.abs(segment.sweep) };
}

function meetings(a: Moved, b: Moved): Point[] {
  if (a.kind === 'line' && b.kind === 'line') {
    const cross = a.along.x * b.along.y - a.along.y * b.along.x;
    if (cross === 0) return [];
    const t = ((b.at.x - a.at.x) * b.along.y - (b.at.y - a.at.y) * b.along.x) / cross;
    return [{ x: a.at.x + t * a.along.x, y: a.at.y + t * a.along.y }];
  }
  if (a.kind === 'line' && b.kind === 'circle') return lineMeetsCircle(a, b);
  if (a.kind === 'circle' && b.kind === 'line') return lineMeetsCircle(b, a);
  if (a.kind === 'circle' && b.kind === 'circle') {
    const dx = b.centre.x - a.centre.x;
    const dy = b.centre.y - a.centre.y;
    const d = Math.hypot(dx, dy);
    if (d === 0) return [];
    const x = (d * d + a.radius * a.radius - b.radius * b.radius) / (2 * d);
    const y2 = a.radius * a.radius - x * x;
    if (y2 < 0) return [];
    const y = Math.sqrt(y2);
    return [y, -y].map((h) => ({
      x: a.centre.x + (x * dx - h * dy) / d,
      y: a.centre.y + (x * dy + h * dx) / d,
    }));
  }
  return [];
}

function lineMeetsCircle(line: Moved & { kind: 'line' }, circle: Moved & { kind: 'circle' }): Point[] {
  const x = circle.centre.x - line.at.x;
  const y = circle.centre.y - line.at.y;
  const foot = x * line.along.x + y * line.along.y;
  const away = x * line.along.y - y * line.along.x;
  const half2 = circle.radius * circle.radius - away * away;
  if (half2 < 0) return [];
  const half = Math.sqrt(half2);
  return [foot - half, foot + half].map((t) => ({
    x: line.at.x + t * line.along.x,
    y: line.at.y + t * line.along.y,
  }));
}

/** Rounding slack for a tangent point that falls on the very end of a segment. */
const END_SLACK = 1e-9;

/** Parameter of the segment's point nearest to the fillet's centre; undefined where it lies beyond the segment. */
function parameterAt(segment: LineSegment | ArcSegment, centre: Point, corner: 0 | 1): number | undefined {
  let t: number;
  if (segment.kind === 'line') {
    const ex = segment.to.x - segment.from.x;
    const ey = segment.to.y - segment.from.y;
    t = ((centre.x - segment.from.x) * ex + (centre.y - segment.from.y) * ey) / (ex * ex + ey * ey);
  } else {
    const sign = Math.sign(segment.sweep);
    const fx = segment.from.x - segment.centre.x;
    const fy = segment.from.y - segment.centre.y;
    const px = centre.x - segment.centre.x;
    const py = centre.y - segment.centre.y;
    let angle = sign * Math.atan2(fx * py - fy * px, fx * px + fy * py);
    // Seen from the corner, so that a point just beyond the corner does not become one almost a full turn away.
    const total = Math.abs(segment.sweep);
    const middle = corner === 0 ? Math.PI - 1e-6 : total - Math.PI + 1e-6;
    angle += 2 * Math.PI * Math.round((middle - angle) / (2 * Math.PI));
    t = angle / total;
  }
  if (t < -END_SLACK || t > 1 + END_SLACK) return undefined;
  return Math.min(1, Math.max(0, t));
}

const STEPS = 48;
const NEWTON_ROUNDS = 12;

/** Newton's method along growing radii, from the corner itself. */
function followed(incoming: Segment, outgoing: Segment, shift: number): Touch | undefined {
  let u = 1;
  let v = 0;
  for (let step = 1; step <= STEPS; step++) {
    const s = (shift * step) / STEPS;
    let size = Number.POSITIVE_INFINITY;
    for (let round = 0; round < NEWTON_ROUNDS; round++) {
      const a = shifted(incoming, u, s);
      const b = shifted(outgoing, v, s);
      const fx = a.at.x - b.at.x;
      const fy = a.at.y - b.at.y;
      const det = -a.speed.x * b.speed.y + a.speed.y * b.speed.x;
      if (!Number.isFinite(1 / det)) return undefined;
      const du = (fx * b.speed.y - fy * b.speed.x) / det;
      const dv = (a.speed.y * fx - a.speed.x * fy) / det;
      u += du;
      v += dv;
      // A step over half the segment has lost the branch that began at the corner.
      if (!(Math.abs(du) < 0.5 && Math.abs(dv) < 0.5)) return undefined;
      size = Math.abs(du) + Math.abs(dv);
      if (size < 1e-14) break;
    }
    if (size > 1e-9 || u < -END_SLACK || u > 1 + END_SLACK || v < -END_SLACK || v > 1 + END_SLACK)
      return undefined;
    u = Math.min(1, Math.max(0, u));
    v = Math.min(1, Math.max(0, v));
  }
  return { leave: u, join: v };
}

/** A point of the segment moved left by s, and its derivative by the segment's parameter. */
function shifted(segment: Segment, t: number, s: number): { at: Point; speed: Point } {
  const { first, second } = derivatives(segment, t);
  const speed = Math.hypot(first.x, first.y);
  const curvature = (first.x * second.y - first.y * second.x) / speed ** 3;
  const at = pointBeyond(segment, t);
  return {
    at: { x: at.x - (s * first.y) / speed, y: at.y + (s * first.x) / speed },
    speed: { x: first.x * (1 - s * curvature), y: first.y * (1 - s * curvature) },
  };
}

function derivatives(segment: Segment, t: number): { first: Point; second: Point } {
  switch (segment.kind) {
    case 'line':
      return {
        first: { x: segment.to.x - segment.from.x, y: segment.to.y - segment.from.y },
        second: { x: 0, y: 0 },
      };
    case 'arc': {
      const at = pointBeyond(segment, t);
      const rx = at.x - segment.centre.x;
      const ry = at.y - segment.centre.y;
      const w = segment.sweep;
      return { first: { x: -w * ry, y: w * rx }, second: { x: -w * w * rx, y: -w * w * ry } };
    }
    case 'cubic': {
      const { from, c1, c2, to } = segment;
      const k = 1 - t;
      const d1 = { x: c1.x - from.x, y: c1.y - from.y };
      const d2 = { x: c2.x - c1.x, y: c2.y - c1.y };
      const d3 = { x: to.x - c2.x, y: to.y - c2.y };
      return {
        first: {
          x: 3 * (k * k * d1.x + 2 * k * t * d2.x + t * t * d3.x),
          y: 3 * (k * k * d1.y + 2 * k * t * d2.y + t * t * d3.y),
        },
        second: {
          x: 6 * (k * (d2.x - d1.x) + t * (d3.x - d2.x)),
          y: 6 * (k * (d2.y - d1.y) + t * (d3.y - d2.y)),
        },
      };
    }
  }
}

/** The point at t, also a little outside 0..1, where Newton's method may step. */
function pointBeyond(segment: Segment, t: number): Point {
  if (segment.kind !== 'arc' || (t >= 0 && t <= 1)) return pointAt(segment, t);
  const start = Math.atan2(segment.from.y - segment.centre.y, segment.from.x - segment.centre.x);
  const angle = start + t * segment.sweep;
  return {
    x: segment.centre.x + segment.radius * Math.cos(angle),
    y: segment.centre.y + segment.radius * Math.sin(angle),
  };
}
