/**
 * Recognised lines and arcs made to touch smoothly, and checked against the polyline they stand for.
 */
import { edgeFollows } from './fit-biarc.ts';
import type { Primitive } from './fit-exact.ts';
import type { Piece } from './fit-plan.ts';
import { nearAngle } from './fit-reach.ts';
import type { Stretch } from './fit-stretch.ts';
import { type End, vertexEnd } from './fit-track.ts';
import {
  type Condition,
  contactPoint,
  directionAt,
  footOn,
  meetConditions,
  type OrientedCircle,
  offsetFrom,
} from './oriented-circle.ts';

/** Conditions count as met below this, in units of length (mm: 0.001 nm). */
const MET = 1e-9;

/** An arc of tangents may reach this far into the edge beyond it, so that a chain can still begin within that edge. */
const FARTHEST_SHARE = 0.75;

/** Lines and arcs moved to touch, where each begins and ends, and whether it touches the next. */
export interface Joined {
  readonly primitives: readonly Primitive[];
  readonly isJoined: readonly boolean[];
  readonly starts: readonly End[];
  readonly ends: readonly End[];
}

/** Joins those at most `meeting` edges apart (the joint may lie within an edge); null when they cannot be moved to touch. */
export function joinPrimitives(s: Stretch, found: readonly Primitive[], meeting: number): Joined | null {
  const last = s.count - 1;
  const n = found.length;
  const primitives = found.map((p) => ({ ...p, circle: { ...p.circle } }));
  const isJoined = primitives.map((p, i) => {
    if (i + 1 === n && (!s.closed || n === 1)) return false;
    const next = primitives[(i + 1) % n]!;
    const gap = next.first + (i + 1 === n ? last : 0) - p.last;
    return gap <= meeting && !(p.isLine && next.isLine);
  });
  if (!joinSmoothly(s, primitives, isJoined)) return null;
  const starts = primitives.map((p, i) =>
    startOf(s, primitives[(i + n - 1) % n]!, p, isJoined[(i + n - 1) % n]!),
  );
  const ends = primitives.map((p, i) => endOf(s, p, primitives[(i + 1) % n]!, isJoined[i]!));
  return { primitives, isJoined, starts, ends };
}

/** Whether the polyline leads from one end to the other. */
export function isAhead(s: Stretch, from: End, to: End): boolean {
  if (from.after <= to.before) return true;
  const i = from.before % (s.count - 1);
  return (to.px - from.px) * (s.x[i + 1]! - s.x[i]!) + (to.py - from.py) * (s.y[i + 1]! - s.y[i]!) > 0;
}

export function onNextRound(end: End, edges: number): End {
  return { ...end, before: end.before + edges, after: end.after + edges };
}

function startOf(s: Stretch, before: Primitive, p: Primitive, isJoined: boolean): End {
  if (isJoined) return endOn(p, contactPoint(before.circle, p.circle), vertexEnd(s, p.first));
  if (!s.closed && p.first === 0) return endOn(p, vertexEnd(s, 0), vertexEnd(s, 0));
  return freeEnd(s, p, p.first, p.first - 1, p.first);
}

function endOf(s: Stretch, p: Primitive, after: Primitive, isJoined: boolean): End {
  if (isJoined) return endOn(p, contactPoint(p.circle, after.circle), vertexEnd(s, p.last));
  if (!s.closed && p.last === s.count - 1) return endOn(p, vertexEnd(s, p.last), vertexEnd(s, p.last));
  return freeEnd(s, p, p.last, p.last, p.last - 1);
}

/**
 * Where an arc or line ends and a smooth chain goes on: at its last vertex, or, when the edges are tangents of the arc,
 * half an edge beyond, where the next edge touches it.
 */
function freeEnd(s: Stretch, p: Primitive, vertex: number, outerEdge: number, innerEdge: number): End {
  const edges = s.count - 1;
  const place = vertexEnd(s, vertex);
  if (!p.isCircumscribed) return endOn(p, footOn(p.circle, place.x, place.y), place);
  const outer = (outerEdge + edges) % edges;
  const isAhead = outerEdge === vertex;
  const share = Math.min(FARTHEST_SHARE, s.length[innerEdge]! / (2 * s.length[outer]!));
  const far = isAhead ? outer + 1 : outer;
  const px = place.x + share * (s.x[far]! - place.x);
  const py = place.y + share * (s.y[far]! - place.y);
  const beyond = isAhead
    ? { ...place, px, py, before: vertex, after: vertex + 1 }
    : { ...place, px, py, before: vertex - 1, after: vertex };
  return endOn(p, footOn(p.circle, px, py), beyond);
}

const direction = { x: 0, y: 0 };

/** The primitive's direction at a point of it, beside a place of the polyline. */
function endOn(p: Primitive, at: { readonly x: number; readonly y: number }, beside: End): End {
  directionAt(p.circle, at.x, at.y, direction);
  return { ...beside, x: at.x, y: at.y, theta: Math.atan2(direction.y, direction.x) };
}

/** Moves the primitives, by amounts within their uncertainty, so that those that meet touch smoothly. */
function joinSmoothly(s: Stretch, primitives: readonly Primitive[], isJoined: readonly boolean[]): boolean {
  const n = primitives.length;
  const last = s.count - 1;
  if (s.closed && n > 1 && isJoined.every((joined) => joined)) {
    const ring: Condition[] = primitives.map((_, i) => ({ kind: 'contact', a: i, b: (i + 1) % n }));
    return meetConditions(primitives, ring, true) < MET;
  }
  // Chains are walked from a primitive that is not joined to the one before it; on a loop they may pass the seam.
  let begin = 0;
  if (s.closed) while (begin < n && isJoined[(begin + n - 1) % n]) begin++;
  let conditions: Condition[] = [];
  for (let k = 0; k < n; k++) {
    const i = (begin + k) % n;
    const p = primitives[i]!;
    if (!s.closed && p.first === 0) conditions.push({ kind: 'through', a: i, x: s.x[0]!, y: s.y[0]! });
    if (!s.closed && p.last === last)
      conditions.push({ kind: 'through', a: i, x: s.x[last]!, y: s.y[last]! });
    if (isJoined[i]) conditions.push({ kind: 'contact', a: i, b: (i + 1) % n });
    else {
      if (meetConditions(primitives, conditions, false) >= MET) return false;
      conditions = [];
    }
  }
  return true;
}

/**
 * The primitive as a piece of curve, null when it does not follow the polyline between its ends: the polyline must
 * cross the normals at both ends near by, lie within the tolerance of the circle between them, and never turn back
 * against the direction of travel, so that every point of the piece has a polyline point on its own normal.
 */
export function primitivePiece(
  s: Stretch,
  p: Primitive,
  start: End,
  end: End,
  tolerance: number,
): Piece | null {
  const { circle } = p;
  const { k } = circle;
  if (Math.abs(k) * tolerance > 0.5) return null;
  const from = crossing(s, circle, start, p.first, tolerance);
  const to = crossing(s, circle, end, p.last, tolerance);
  if (!from || !to || to.edge < from.edge) return null;
  const low = -tolerance + (k * tolerance * tolerance) / 2;
  const high = low + 2 * tolerance;
  const edges = s.count - 1;
  let qx = from.x;
  let qy = from.y;
  let f = offsetFrom(circle, qx, qy);
  if (f < low || f > high) return null;
  let turned = 0;
  for (let e = from.edge; e <= to.edge; e++) {
    const vertex = (((e + 1) % edges) + edges) % edges;
    const isEnd = e === to.edge;
    const rx = isEnd ? to.x : s.x[s.closed ? vertex : e + 1]!;
    const ry = isEnd ? to.y : s.y[s.closed ? vertex : e + 1]!;
    if (!isEnd) turned += s.turn[s.closed ? vertex : e + 1]!;
    const g = offsetFrom(circle, rx, ry);
    if (!edgeFollows(f, g, k, (rx - qx) ** 2 + (ry - qy) ** 2, low, high)) return null;
    directionAt(circle, qx, qy, direction);
    if ((rx - qx) * direction.x + (ry - qy) * direction.y < 0) return null;
    qx = rx;
    qy = ry;
    f = g;
  }
  directionAt(circle, start.x, start.y, direction);
  const first = Math.atan2(direction.y, direction.x);
  directionAt(circle, end.x, end.y, direction);
  const turn = k === 0 ? 0 : nearAngle(Math.atan2(direction.y, direction.x) - first, turned);
  if (turn * k < 0 || Math.abs(turn) > 6.25) return null;
  return { x0: start.x, y0: start.y, x1: end.x, y1: end.y, curvature: k, turn };
}

/** Edges tried on either side of where a joint is expected. */
const SEARCH = 3;

/** Where the polyline crosses the circle's normal at `at`: an edge near `vertex` (counted on past the seam of a loop). */
function crossing(
  s: Stretch,
  circle: OrientedCircle,
  at: { x: number; y: number },
  vertex: number,
  tolerance: number,
): { edge: number; x: number; y: number } | null {
  const edges = s.count - 1;
  directionAt(circle, at.x, at.y, direction);
  const tx = direction.x;
  const ty = direction.y;
  // A stretch may begin or end within rounding of the normal's other side.
  const slack = 1e-9;
  let best: { edge: number; x: number; y: number } | null = null;
  let bestGap = tolerance;
  for (let e = vertex - SEARCH; e < vertex + SEARCH; e++) {
    if (!s.closed && (e < 0 || e >= edges)) continue;
    const i = ((e % edges) + edges) % edges;
    const ax = s.x[i]! - at.x;
    const ay = s.y[i]! - at.y;
    const bx = s.x[i + 1]! - at.x;
    const by = s.y[i + 1]! - at.y;
    const u = ax * tx + ay * ty;
    const v = bx * tx + by * ty;
    if (u > slack || v < -slack) continue;
    const share = v === u ? 0 : Math.min(1, Math.max(0, u / (u - v)));
    const x = ax + share * (bx - ax);
    const y = ay + share * (by - ay);
    const gap = Math.hypot(x, y);
    if (gap <= bestGap) {
      bestGap = gap;
      best = { edge: e, x: x + at.x, y: y + at.y };
    }
  }
  return best;
}
