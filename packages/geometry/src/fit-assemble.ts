/**
 * One stretch of a ring, from corner to corner or a smooth loop, as lines and arcs: the lines and arcs it holds as
 * such, joined smoothly where they meet, and chains of arcs over what lies between.
 */
import { edgeFollows } from './fit-biarc.ts';
import { findArcs, findLines, linePrimitive, type Primitive } from './fit-exact.ts';
import { type End, type Piece, planArcs } from './fit-plan.ts';
import type { Stretch } from './fit-stretch.ts';
import {
  type Condition,
  contactPoint,
  directionAt,
  footOn,
  meetConditions,
  type OrientedCircle,
  offsetFrom,
} from './oriented-circle.ts';

/** Edges between two primitives up to which they are taken to meet: the joint then lies on that edge. */
const MEETING_EDGES = 1;
/** Conditions count as met below this, in units of length (mm: 0.001 nm). */
const MET = 1e-9;

/** The pieces over a stretch. Always a result: where nothing smooth keeps the tolerance, the stretch's own edges. */
export function fitStretch(s: Stretch, tolerance: number): Piece[] {
  const lines = findLines(s, tolerance).map((edge) => linePrimitive(s, edge));
  const arcs = gapsBetween(s, lines).flatMap(([first, last]) => findArcs(s, first, last, tolerance));
  const both = [...lines, ...arcs].sort((a, b) => a.first - b.first);
  const attempts = arcs.length > 0 ? [both, lines, []] : lines.length > 0 ? [lines, []] : [[]];
  return firstThatHolds(s, attempts, tolerance);
}

/** The same for a smooth loop, begun anew at the start of a line or the end of an arc when it has any. */
export function fitLoop(s: Stretch, tolerance: number, beginAt: (vertex: number) => Stretch): Piece[] {
  const line = findLines(s, tolerance)[0];
  const seam = line ?? findArcs(s, 0, s.count - 1, tolerance)[0]?.last;
  if (seam === undefined) return firstThatHolds(s, [[]], tolerance);
  return fitStretch(beginAt(seam % (s.count - 1)), tolerance);
}

function firstThatHolds(s: Stretch, attempts: readonly Primitive[][], tolerance: number): Piece[] {
  for (const primitives of attempts) {
    const pieces = assemble(s, primitives, tolerance);
    if (pieces) return pieces;
  }
  return edgePieces(s);
}

function gapsBetween(s: Stretch, lines: readonly Primitive[]): [number, number][] {
  const gaps: [number, number][] = [];
  let at = 0;
  for (const line of lines) {
    if (line.first > at) gaps.push([at, line.first]);
    at = line.last;
  }
  if (at < s.count - 1) gaps.push([at, s.count - 1]);
  return gaps;
}

function edgePieces(s: Stretch): Piece[] {
  const pieces: Piece[] = [];
  for (let i = 0; i + 1 < s.count; i++) {
    pieces.push({ x0: s.x[i]!, y0: s.y[i]!, x1: s.x[i + 1]!, y1: s.y[i + 1]!, curvature: 0, turn: 0 });
  }
  return pieces;
}

/** Where a primitive begins and ends on the finished curve. */
interface Span {
  start: { x: number; y: number };
  end: { x: number; y: number };
}

function assemble(s: Stretch, found: readonly Primitive[], tolerance: number): Piece[] | null {
  const last = s.count - 1;
  if (found.length === 0) return planArcs(s, 0, last, vertexEnd(s, 0), vertexEnd(s, last), tolerance);
  const primitives = found.map((p) => ({ ...p, circle: { ...p.circle } }));
  const n = primitives.length;
  const isJoined = primitives.map((p, i) => {
    const next = i + 1 < n ? primitives[i + 1]! : primitives[0]!;
    if (i + 1 === n && (!s.closed || n === 1)) return false;
    const gap = i + 1 < n ? next.first - p.last : next.first + last - p.last;
    return gap <= MEETING_EDGES && !(p.isLine && next.isLine);
  });
  if (!joinSmoothly(s, primitives, isJoined)) return null;
  const spans = primitives.map((p, i) => spanOf(s, primitives, isJoined, p, i));
  const pieces: Piece[] = [];
  if (!s.closed && primitives[0]!.first > 0) {
    const lead = planArcs(
      s,
      0,
      primitives[0]!.first,
      vertexEnd(s, 0),
      endOn(primitives[0]!, spans[0]!.start),
      tolerance,
    );
    if (!lead) return null;
    pieces.push(...lead);
  }
  for (let i = 0; i < n; i++) {
    const p = primitives[i]!;
    const piece = primitivePiece(s, p, spans[i]!, tolerance);
    if (!piece) return null;
    pieces.push(piece);
    const isLast = i + 1 === n;
    if (isJoined[i]) continue;
    const stop = isLast ? last : primitives[i + 1]!.first;
    if (isLast && !s.closed && p.last === last) continue;
    const from = endOn(p, spans[i]!.end);
    const next = isLast ? 0 : i + 1;
    const to = isLast && !s.closed ? vertexEnd(s, last) : endOn(primitives[next]!, spans[next]!.start);
    if (stop === p.last) return null;
    const between = planArcs(s, p.last, stop, from, to, tolerance);
    if (!between) return null;
    pieces.push(...between);
  }
  return pieces;
}

function vertexEnd(s: Stretch, vertex: number): End {
  return { x: s.x[vertex]!, y: s.y[vertex]!, theta: null };
}

const direction = { x: 0, y: 0 };

function endOn(p: Primitive, at: { x: number; y: number }): End {
  directionAt(p.circle, at.x, at.y, direction);
  return { x: at.x, y: at.y, theta: Math.atan2(direction.y, direction.x) };
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

function spanOf(
  s: Stretch,
  primitives: readonly Primitive[],
  isJoined: readonly boolean[],
  p: Primitive,
  i: number,
): Span {
  const n = primitives.length;
  const before = (i + n - 1) % n;
  const isPinned = (vertex: number): boolean => !s.closed && (vertex === 0 || vertex === s.count - 1);
  const at = (vertex: number): { x: number; y: number } =>
    isPinned(vertex) ? { x: s.x[vertex]!, y: s.y[vertex]! } : footOn(p.circle, s.x[vertex]!, s.y[vertex]!);
  return {
    start: isJoined[before] ? contactPoint(primitives[before]!.circle, p.circle) : at(p.first),
    end: isJoined[i] ? contactPoint(p.circle, primitives[(i + 1) % n]!.circle) : at(p.last),
  };
}

/**
 * The primitive as a piece of curve, null when it does not follow the polyline between its ends: the polyline must
 * cross the normals at both ends near by, lie within the tolerance of the circle between them, and never turn back
 * against the direction of travel, so that every point of the piece has a polyline point on its own normal.
 */
function primitivePiece(s: Stretch, p: Primitive, span: Span, tolerance: number): Piece | null {
  const { circle } = p;
  const { k } = circle;
  if (Math.abs(k) * tolerance > 0.5) return null;
  const from = crossing(s, circle, span.start, p.first, tolerance);
  const to = crossing(s, circle, span.end, p.last, tolerance);
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
  directionAt(circle, span.start.x, span.start.y, direction);
  const first = Math.atan2(direction.y, direction.x);
  directionAt(circle, span.end.x, span.end.y, direction);
  const turn = k === 0 ? 0 : nearAngle(Math.atan2(direction.y, direction.x) - first, turned);
  if (turn * k < 0 || Math.abs(turn) > 6.25) return null;
  return { x0: span.start.x, y0: span.start.y, x1: span.end.x, y1: span.end.y, curvature: k, turn };
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

function nearAngle(angle: number, to: number): number {
  return angle + 2 * Math.PI * Math.round((to - angle) / (2 * Math.PI));
}
