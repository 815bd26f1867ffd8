/**
 * One stretch of a ring, from corner to corner or a smooth loop, as lines and arcs: the lines and arcs it holds as
 * such, joined smoothly where they meet, and chains of arcs over what lies between.
 */
import { edgeFollows } from './fit-biarc.ts';
import { bridge, findArcs, findLines, linePrimitive, type Primitive } from './fit-exact.ts';
import { type Piece, planArcs } from './fit-plan.ts';
import { nearAngle } from './fit-reach.ts';
import { cutStretch, type Stretch } from './fit-stretch.ts';
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

/** Edges between two primitives up to which they are taken to meet: the joint then lies on that edge. */
const MEETING_EDGES = 1;
/** Conditions count as met below this, in units of length (mm: 0.001 nm). */
const MET = 1e-9;
/** Vertices to either side of where a chain got stuck among which the corner is made. */
const CORNER_SEARCH = 3;

/** The pieces over a stretch. There always is a result: where nothing smooth keeps the tolerance, it gets a corner. */
export function fitStretch(s: Stretch, tolerance: number): Piece[] {
  const lines = findLines(s, tolerance).map((edge) => linePrimitive(s, edge));
  const arcs = gapsBetween(s, lines).flatMap(([first, last]) => {
    const isBetweenLines = s.closed || (first > 0 && last < s.count - 1);
    if (last - first === 1) return isBetweenLines ? [bridge(s, first)] : [];
    return findArcs(s, first, last, tolerance);
  });
  const both = [...lines, ...arcs].sort((a, b) => a.first - b.first);
  return assemble(s, both, tolerance) ?? assemble(s, lines, tolerance) ?? fitBare(s, tolerance);
}

/** The same for a smooth loop, begun anew at the start of a line or the end of an arc when it has any. */
export function fitLoop(s: Stretch, tolerance: number): Piece[] {
  const line = findLines(s, tolerance)[0];
  if (line !== undefined) return fitStretch(beginAt(s, line, true), tolerance);
  const seam = findArcs(s, 0, s.count - 1, tolerance)[0]?.last;
  if (seam === undefined) return fitBare(s, tolerance);
  // Found from the seam on, no arc passes it; then the loop is begun where the last of them does.
  const turned = beginAt(s, seam, true);
  const arcs = findArcs(turned, 0, turned.count - 1, tolerance);
  const begin = arcs[arcs.length - 1]?.first ?? 0;
  const n = turned.count - 1;
  const shifted = arcs.map((arc) => {
    const first = (arc.first - begin + n) % n;
    return { ...arc, first, last: first + arc.last - arc.first };
  });
  const loop = beginAt(turned, begin, true);
  const inOrder = shifted.sort((a, b) => a.first - b.first);
  return assemble(loop, inOrder, tolerance) ?? fitBare(loop, tolerance);
}

/** A stretch without lines and arcs of its own. */
function fitBare(s: Stretch, tolerance: number): Piece[] {
  const start = vertexEnd(s, 0);
  const end = vertexEnd(s, s.count - 1);
  if (!s.closed) return fillGap(s, start, end, tolerance);
  const { pieces, stuckAt } = planArcs(s, start, end, tolerance, true);
  return pieces ?? fitStretch(beginAt(s, Math.max(0, cornerNear(s, start, end, stuckAt)), false), tolerance);
}

/** A loop begun at another vertex, still closed or open with a corner there. */
function beginAt(s: Stretch, vertex: number, closed: boolean): Stretch {
  const n = s.count - 1;
  const ring = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) {
    ring[2 * i] = s.x[i]!;
    ring[2 * i + 1] = s.y[i]!;
  }
  return cutStretch(ring, vertex % n, n, closed);
}

/** Smooth chains from one end to the other, with corners at vertices where there is no other way. */
function fillGap(s: Stretch, from: End, to: End, tolerance: number): Piece[] {
  const all: Piece[] = [];
  let start = from;
  for (;;) {
    const { pieces, stuckAt } = planArcs(s, start, to, tolerance);
    if (pieces) return [...all, ...pieces];
    const vertex = cornerNear(s, start, to, stuckAt);
    if (vertex < 0) return [...all, { x0: start.x, y0: start.y, x1: to.x, y1: to.y, curvature: 0, turn: 0 }];
    const corner = vertexEnd(s, vertex);
    all.push(...fillGap(s, start, corner, tolerance));
    start = corner;
  }
}

/** The vertex near by that stands out most over its shorter edge; -1 when there is none between the ends. */
function cornerNear(s: Stretch, from: End, to: End, stuckAt: number): number {
  const near = Math.min(Math.max(stuckAt, from.after), to.before);
  let best = -1;
  let most = -1;
  for (
    let i = Math.max(from.after, near - CORNER_SEARCH);
    i <= Math.min(to.before, near + CORNER_SEARCH);
    i++
  ) {
    const height = Math.min(s.length[i - 1]!, s.length[i]!) * Math.abs(Math.sin(s.turn[i]! / 2));
    if (height > most) {
      most = height;
      best = i;
    }
  }
  return best;
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

function assemble(s: Stretch, found: readonly Primitive[], tolerance: number): Piece[] | null {
  const last = s.count - 1;
  const n = found.length;
  if (n === 0) return null;
  const primitives = found.map((p) => ({ ...p, circle: { ...p.circle } }));
  const isJoined = primitives.map((p, i) => {
    if (i + 1 === n && (!s.closed || n === 1)) return false;
    const next = primitives[(i + 1) % n]!;
    const gap = next.first + (i + 1 === n ? last : 0) - p.last;
    return gap <= MEETING_EDGES && !(p.isLine && next.isLine);
  });
  if (!joinSmoothly(s, primitives, isJoined)) return null;
  const starts = primitives.map((p, i) =>
    startOf(s, primitives[(i + n - 1) % n]!, p, isJoined[(i + n - 1) % n]!),
  );
  const ends = primitives.map((p, i) => endOf(s, p, primitives[(i + 1) % n]!, isJoined[i]!));
  const pieces: Piece[] = [];
  if (!s.closed && primitives[0]!.first > 0)
    pieces.push(...fillGap(s, vertexEnd(s, 0), starts[0]!, tolerance));
  for (let i = 0; i < n; i++) {
    const p = primitives[i]!;
    const piece = primitivePiece(s, p, starts[i]!, ends[i]!, tolerance);
    if (!piece) return null;
    pieces.push(piece);
    if (isJoined[i]) continue;
    if (i + 1 < n) pieces.push(...fillGap(s, ends[i]!, starts[i + 1]!, tolerance));
    else if (s.closed) pieces.push(...fillGap(s, ends[i]!, onNextRound(starts[0]!, last), tolerance));
    else if (p.last < last) pieces.push(...fillGap(s, ends[i]!, vertexEnd(s, last), tolerance));
  }
  return pieces;
}

function onNextRound(end: End, edges: number): End {
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
  const share = Math.min(0.5, s.length[innerEdge]! / (2 * s.length[outer]!));
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
function primitivePiece(s: Stretch, p: Primitive, start: End, end: End, tolerance: number): Piece | null {
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
