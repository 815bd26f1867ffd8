/**
 * One stretch of a ring, from corner to corner or a smooth loop, as lines and arcs: the lines and arcs it holds as
 * such, joined smoothly where they meet, and chains of arcs over what lies between.
 */
import { bridge, findArcs, findLines, linePrimitive, type Primitive } from './fit-exact.ts';
import { isAhead, joinPrimitives, onNextRound, primitivePiece } from './fit-join.ts';
import { type Piece, planArcs } from './fit-plan.ts';
import { cutStretch, type Stretch } from './fit-stretch.ts';
import { type End, vertexEnd } from './fit-track.ts';

/** Vertices to either side of where a chain got stuck among which the corner is made. */
const CORNER_SEARCH = 3;
/** Edges an arc must keep when its ends are drawn in. */
const LEAST_DRAWN_IN = 3;

/** Pieces over a stretch, and how many corners had to be made in it. */
interface Outcome {
  readonly pieces: Piece[];
  readonly corners: number;
}

/**
 * The pieces over a stretch. There always is a result: where nothing smooth keeps the tolerance, it gets a corner. Of
 * several ways to take the lines and arcs in it, the first without a corner, or the one with the fewest.
 */
export function fitStretch(s: Stretch, tolerance: number): Piece[] {
  const lines = findLines(s, tolerance).map((edge) => linePrimitive(s, edge));
  const arcs = gapsBetween(s, lines).flatMap(([first, last]) => {
    const isBetweenLines = s.closed || (first > 0 && last < s.count - 1);
    if (last - first === 1) return isBetweenLines ? [bridge(s, first)] : [];
    return findArcs(s, first, last, tolerance);
  });
  return bestWay(s, lines, arcs, tolerance).pieces;
}

/** The same for a smooth loop, begun anew at the start of a line or the end of an arc when it has any. */
export function fitLoop(s: Stretch, tolerance: number): Piece[] {
  const line = findLines(s, tolerance)[0];
  if (line !== undefined) return fitStretch(beginAt(s, line, true), tolerance);
  const seam = findArcs(s, 0, s.count - 1, tolerance)[0]?.last;
  if (seam === undefined) return fitBare(s, tolerance).pieces;
  // Found from the seam on, no arc passes it; then the loop is begun where the last of them does.
  const turned = beginAt(s, seam, true);
  const arcs = findArcs(turned, 0, turned.count - 1, tolerance);
  const begin = arcs[arcs.length - 1]?.first ?? 0;
  const n = turned.count - 1;
  const shifted = arcs.map((arc) => {
    const first = (arc.first - begin + n) % n;
    return { ...arc, first, last: first + arc.last - arc.first };
  });
  return bestWay(beginAt(turned, begin, true), [], shifted, tolerance).pieces;
}

function bestWay(
  s: Stretch,
  lines: readonly Primitive[],
  arcs: readonly Primitive[],
  tolerance: number,
): Outcome {
  const inOrder = (some: readonly Primitive[]): Primitive[] =>
    [...lines, ...some].sort((a, b) => a.first - b.first);
  const all = inOrder(arcs);
  const ways: (() => Outcome | null)[] = [];
  if (all.length > 0)
    ways.push(
      () => assemble(s, all, 1, tolerance),
      () => assemble(s, all, 0, tolerance),
    );
  if (arcs.length > 0) ways.push(() => assemble(s, inOrder(arcs.flatMap(drawnIn)), 0, tolerance));
  if (arcs.length > 0 && lines.length > 0) ways.push(() => assemble(s, lines, 0, tolerance));
  let best: Outcome | null = null;
  for (const way of ways) {
    const outcome = way();
    if (outcome && (!best || outcome.corners < best.corners)) best = outcome;
    if (best?.corners === 0) return best;
  }
  const bare = fitBare(s, tolerance);
  return best && best.corners <= bare.corners ? best : bare;
}

function drawnIn(arc: Primitive): Primitive[] {
  if (arc.last - arc.first < LEAST_DRAWN_IN + 2) return [];
  return [{ ...arc, first: arc.first + 1, last: arc.last - 1, isCircumscribed: false }];
}

/** A stretch without lines and arcs of its own. */
function fitBare(s: Stretch, tolerance: number): Outcome {
  const start = vertexEnd(s, 0);
  const end = vertexEnd(s, s.count - 1);
  if (!s.closed) return fillGap(s, start, end, tolerance);
  const { pieces, stuckAt } = planArcs(s, start, end, tolerance, true);
  if (pieces) return { pieces, corners: 0 };
  const open = beginAt(s, Math.max(0, cornerNear(s, start, end, stuckAt)), false);
  const { pieces: opened, corners } = fillGap(
    open,
    vertexEnd(open, 0),
    vertexEnd(open, open.count - 1),
    tolerance,
  );
  return { pieces: opened, corners: corners + 1 };
}

/**
 * Joins the primitives that are at most `meeting` edges apart and fills the gaps between the others; null when they
 * cannot be moved to touch, or then leave the polyline.
 */
function assemble(
  s: Stretch,
  found: readonly Primitive[],
  meeting: number,
  tolerance: number,
): Outcome | null {
  const last = s.count - 1;
  const n = found.length;
  if (n === 0) return null;
  const joined = joinPrimitives(s, found, meeting);
  if (!joined) return null;
  const pieces: Piece[] = [];
  let corners = 0;
  const fill = (from: End, to: End): boolean => {
    if (!isAhead(s, from, to)) return false;
    const gap = fillGap(s, from, to, tolerance);
    pieces.push(...gap.pieces);
    corners += gap.corners;
    return true;
  };
  const { primitives, isJoined, starts, ends } = joined;
  if (!s.closed && primitives[0]!.first > 0 && !fill(vertexEnd(s, 0), starts[0]!)) return null;
  for (let i = 0; i < n; i++) {
    const piece = primitivePiece(s, primitives[i]!, starts[i]!, ends[i]!, tolerance);
    if (!piece) return null;
    pieces.push(piece);
    if (isJoined[i] || (i + 1 === n && !s.closed && primitives[i]!.last === last)) continue;
    const to = i + 1 < n ? starts[i + 1]! : s.closed ? onNextRound(starts[0]!, last) : vertexEnd(s, last);
    if (!fill(ends[i]!, to)) return null;
  }
  return { pieces, corners };
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
function fillGap(s: Stretch, from: End, to: End, tolerance: number): Outcome {
  const all: Piece[] = [];
  let corners = 0;
  let start = from;
  for (;;) {
    const { pieces, stuckAt } = planArcs(s, start, to, tolerance);
    if (pieces) return { pieces: [...all, ...pieces], corners };
    const vertex = cornerNear(s, start, to, stuckAt);
    if (vertex < 0) {
      all.push({ x0: start.x, y0: start.y, x1: to.x, y1: to.y, curvature: 0, turn: 0 });
      return { pieces: all, corners: corners + 2 };
    }
    const corner = vertexEnd(s, vertex);
    const lead = fillGap(s, start, corner, tolerance);
    all.push(...lead.pieces);
    corners += lead.corners + 1;
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
