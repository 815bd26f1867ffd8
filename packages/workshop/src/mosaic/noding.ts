/**
 * Noding: turns overlapping, crossing rings into edges that meet only at their ends.
 *
 * Method: rounds of searching all pairs of near edges (uniform grid) for three events, and of splitting edges there.
 *   crossing   two edges cross inside both: a vertex at the crossing, on the grid;
 *   on edge    a vertex lies within the tolerance of an edge: the edge is routed through it;
 *   on vertex  two vertices lie within the tolerance of each other: they become one.
 * The tolerance is 5 nm in the first round and 1.5 nm, what rounding to the grid can move, in those that follow. In the
 * first round edges that run side by side also weld: where two edges stay within the weld distance over a stretch, they
 * are flattenings of one true curve and become one boundary. Where edges merely cross near a vertex nothing is welded,
 * since that would tilt long edges for nothing.
 * The search ends with a round that finds nothing, and that round is the proof: no two edges cross, no vertex lies on
 * another edge. Signs are exact (exact.ts).
 *
 * The idea of routing edges through near vertices is snap rounding (Hobby, Practical segment intersection with finite
 * precision output, Computational Geometry 13, 1999, from memory); here planarity is verified rather than deduced.
 * Cost: proportional to edges plus near pairs.
 */
import { WorkshopError } from '../errors.ts';
import { type EdgeEvents, findEvents } from './edge-events.ts';

/** Coordinates of the partition: nanometres, integers. */
export const NM_PER_MM = 1e6;

/** Vertices nearer than this are one in the first round, nm: drawings that mean the same point write it within it. */
const TOUCH_NM = 5;
/** Rounds after the first mend what rounding moved, by at most 0.71 steps an end. */
const GRID_TOLERANCE = 1.5;
/** Each round finds fewer events than the last; random and real input needs two to four. */
const MAX_ROUNDS = 30;

/** A closed ring of an area: x0, y0, x1, y1, ... in mm. */
export interface AreaRing {
  readonly area: number;
  readonly points: Float64Array;
}

/** Edges that meet only at their ends. Each undirected edge occurs once, from the lower to the higher vertex number. */
export interface PlanarEdges {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly from: Int32Array;
  readonly to: Int32Array;
  /** Per edge, the head of its list of turns: how often each area's boundary runs along it, from `from` to `to`. */
  readonly turns: Int32Array;
  readonly turnArea: readonly number[];
  readonly turnCount: readonly number[];
  readonly turnNext: readonly number[];
  /** Per vertex, the head of its list of owners: areas whose own boundary has a corner or vertex there. */
  readonly owners: Int32Array;
  readonly ownerArea: readonly number[];
  readonly ownerNext: Int32Array;
}

interface Edges {
  from: Int32Array;
  to: Int32Array;
  turns: Int32Array;
}

export function nodeRings(rings: readonly AreaRing[], weldNm: number): PlanarEdges {
  const x: number[] = [];
  const y: number[] = [];
  const owner: number[] = [];
  const turnArea: number[] = [];
  const turnCount: number[] = [];
  const turnNext: number[] = [];
  const lists = { turnArea, turnCount, turnNext };

  let edges = loadRings(rings, x, y, owner, lists);
  const parent: number[] = [];
  for (let i = 0; i < x.length; i++) parent.push(i);

  for (let round = 0; ; round++) {
    const tolerance = round === 0 ? TOUCH_NM : GRID_TOLERANCE;
    const events = findEvents(edges.from, edges.to, x, y, tolerance, round === 0 ? weldNm : 0);
    const quiet = events.sameA.length + events.onEdge.length + events.crossA.length === 0;
    if (quiet && round > 0) break;
    if (round >= MAX_ROUNDS) {
      throw new WorkshopError('mosaic-internal', `The partition did not settle in ${MAX_ROUNDS} rounds.`, {
        hint: 'This is a fault of the program. Please report it with the piece file.',
        details: { events: events.onEdge.length + events.crossA.length },
      });
    }
    joinVertices(events, parent, x, y, round === 0 ? 2 * weldNm : Number.POSITIVE_INFINITY);
    edges = mergeEdges(splitEdges(edges, events, parent, x, y, owner, lists, tolerance), x.length, lists);
  }

  const owners = new Int32Array(x.length).fill(-1);
  const ownerNext = new Int32Array(x.length).fill(-1);
  for (let v = 0; v < owner.length; v++) {
    if (owner[v]! < 0) continue;
    const root = find(parent, v);
    ownerNext[v] = owners[root]!;
    owners[root] = v;
  }
  return {
    x: Float64Array.from(x),
    y: Float64Array.from(y),
    from: edges.from,
    to: edges.to,
    turns: edges.turns,
    turnArea,
    turnCount,
    turnNext,
    owners,
    ownerArea: owner,
    ownerNext,
  };
}

interface TurnLists {
  readonly turnArea: number[];
  readonly turnCount: number[];
  readonly turnNext: number[];
}

function loadRings(
  rings: readonly AreaRing[],
  x: number[],
  y: number[],
  owner: number[],
  lists: TurnLists,
): Edges {
  const from: number[] = [];
  const to: number[] = [];
  const turns: number[] = [];
  for (const { area, points } of rings) {
    const first = x.length;
    for (let i = 0; i < points.length; i += 2) {
      const px = Math.round(points[i]! * NM_PER_MM);
      const py = Math.round(points[i + 1]! * NM_PER_MM);
      const last = x.length - 1;
      if (last >= first && x[last] === px && y[last] === py) continue;
      x.push(px);
      y.push(py);
      owner.push(area);
    }
    while (x.length > first + 1 && x[x.length - 1] === x[first] && y[y.length - 1] === y[first]) {
      x.pop();
      y.pop();
      owner.pop();
    }
    const count = x.length - first;
    if (count < 2) continue;
    for (let i = 0; i < count; i++) {
      from.push(first + i);
      to.push(first + ((i + 1) % count));
      turns.push(pushTurn(lists, area, 1, -1));
    }
  }
  return { from: Int32Array.from(from), to: Int32Array.from(to), turns: Int32Array.from(turns) };
}

function pushTurn(lists: TurnLists, area: number, count: number, next: number): number {
  lists.turnArea.push(area);
  lists.turnCount.push(count);
  lists.turnNext.push(next);
  return lists.turnArea.length - 1;
}

/**
 * The lower vertex number (of the lower area) keeps its place. `reach` keeps a chain of near vertices from collapsing
 * into one.
 */
function joinVertices(events: EdgeEvents, parent: number[], x: number[], y: number[], reach: number): void {
  for (let i = 0; i < events.sameA.length; i++) {
    const a = find(parent, events.sameA[i]!);
    const b = find(parent, events.sameB[i]!);
    if (a === b || Math.hypot(x[a]! - x[b]!, y[a]! - y[b]!) > reach) continue;
    if (a < b) parent[b] = a;
    else parent[a] = b;
  }
}

function find(parent: number[], v: number): number {
  let root = v;
  while (parent[root] !== root) root = parent[root]!;
  while (parent[v] !== root) {
    const next = parent[v]!;
    parent[v] = root;
    v = next;
  }
  return root;
}

function splitEdges(
  edges: Edges,
  events: EdgeEvents,
  parent: number[],
  x: number[],
  y: number[],
  owner: number[],
  lists: TurnLists,
  tolerance: number,
): Edges {
  const { from, to, turns } = edges;
  const count = from.length;
  const head = new Int32Array(count).fill(-1);
  const vertex: number[] = [];
  const next: number[] = [];
  const insert = (edge: number, v: number): void => {
    vertex.push(v);
    next.push(head[edge]!);
    head[edge] = vertex.length - 1;
  };
  const moved = new Set<number>();
  for (const i of events.moves) {
    const v = find(parent, events.onVertex[i]!);
    moveOnto(v, events.onEdge[i]!);
    moved.add(v);
  }
  for (let i = 0; i < events.onEdge.length; i++) {
    insert(events.onEdge[i]!, find(parent, events.onVertex[i]!));
  }
  const placed = new Map<number, number[]>();
  // An edge that a weld bends crosses others elsewhere than before: the next round finds where.
  const bent = (edge: number): boolean => head[edge] !== -1 || isMoved(from[edge]!) || isMoved(to[edge]!);
  const straight = events.crossA.flatMap((e, i) => (bent(e) || bent(events.crossB[i]!) ? [] : [i]));
  for (const i of straight) {
    const e = events.crossA[i]!;
    const f = events.crossB[i]!;
    const [px, py] = crossing(x, y, from[e]!, to[e]!, from[f]!, to[f]!);
    let v = placedNear(px, py);
    if (v === undefined) {
      v = x.length;
      x.push(px);
      y.push(py);
      parent.push(v);
      const sameArea = lists.turnArea[turns[e]!] === lists.turnArea[turns[f]!];
      owner.push(sameArea ? lists.turnArea[turns[e]!]! : -1);
      const key = cellKey(px, py);
      const bucket = placed.get(key);
      if (bucket) bucket.push(v);
      else placed.set(key, [v]);
    }
    insert(e, v);
    insert(f, v);
  }

  const outFrom: number[] = [];
  const outTo: number[] = [];
  const outTurns: number[] = [];
  const found: { v: number; t: number }[] = [];
  for (let e = 0; e < count; e++) {
    const a = find(parent, from[e]!);
    const b = find(parent, to[e]!);
    if (head[e] === -1) {
      if (a !== b) push(a, b, turns[e]!);
      continue;
    }
    const ax = x[from[e]!]!;
    const ay = y[from[e]!]!;
    const ex = x[to[e]!]! - ax;
    const ey = y[to[e]!]! - ay;
    found.length = 0;
    for (let i = head[e]!; i !== -1; i = next[i]!) {
      const v = vertex[i]!;
      found.push({ v, t: (x[v]! - ax) * ex + (y[v]! - ay) * ey });
    }
    found.sort((p, q) => p.t - q.t || p.v - q.v);
    let at = a;
    for (const { v } of found) {
      if (v === at || v === b || v === a) continue;
      push(at, v, turns[e]!);
      at = v;
    }
    if (at !== b) push(at, b, turns[e]!);
  }
  return { from: Int32Array.from(outFrom), to: Int32Array.from(outTo), turns: Int32Array.from(outTurns) };

  function push(a: number, b: number, turn: number): void {
    outFrom.push(a);
    outTo.push(b);
    outTurns.push(turn);
  }

  function isMoved(v: number): boolean {
    const root = find(parent, v);
    return moved.has(root) || x[root] !== x[v] || y[root] !== y[v];
  }

  function moveOnto(v: number, edge: number): void {
    const ax = x[from[edge]!]!;
    const ay = y[from[edge]!]!;
    const ex = x[to[edge]!]! - ax;
    const ey = y[to[edge]!]! - ay;
    const t = ((x[v]! - ax) * ex + (y[v]! - ay) * ey) / (ex * ex + ey * ey);
    x[v] = Math.round(ax + t * ex);
    y[v] = Math.round(ay + t * ey);
  }

  function cellKey(px: number, py: number): number {
    const size = 2 * tolerance;
    return Math.floor(px / size) * 94906267 + Math.floor(py / size);
  }

  /** A crossing of other edges at the same place. */
  function placedNear(px: number, py: number): number | undefined {
    const size = 2 * tolerance;
    for (let i = -1; i <= 1; i++) {
      for (let j = -1; j <= 1; j++) {
        for (const v of placed.get(cellKey(px + i * size, py + j * size)) ?? []) {
          if (Math.abs(x[v]! - px) <= tolerance && Math.abs(y[v]! - py) <= tolerance) return v;
        }
      }
    }
    return undefined;
  }
}

/** Where the lines of two crossing edges meet, rounded to the grid. */
function crossing(x: number[], y: number[], a: number, b: number, c: number, d: number): [number, number] {
  const ax = x[a]!;
  const ay = y[a]!;
  const ex = x[b]! - ax;
  const ey = y[b]! - ay;
  const fx = x[d]! - x[c]!;
  const fy = y[d]! - y[c]!;
  const t = ((x[c]! - ax) * fy - (y[c]! - ay) * fx) / (ex * fy - ey * fx);
  return [Math.round(ax + t * ex), Math.round(ay + t * ey)];
}

/** Joins edges with the same ends; where all areas' turns cancel, the edge bounds nothing and goes. */
function mergeEdges(edges: Edges, vertexCount: number, lists: TurnLists): Edges {
  const count = edges.from.length;
  const { turnArea, turnCount, turnNext } = lists;
  const head = new Int32Array(vertexCount).fill(-1);
  const next = new Int32Array(count).fill(-1);
  const from = new Int32Array(count);
  const to = new Int32Array(count);
  const turns = new Int32Array(count);
  let kept = 0;
  for (let e = 0; e < count; e++) {
    const a = edges.from[e]!;
    const b = edges.to[e]!;
    const low = Math.min(a, b);
    const high = Math.max(a, b);
    const sign = a < b ? 1 : -1;
    let twin = head[low]!;
    while (twin !== -1 && to[twin] !== high) twin = next[twin]!;
    if (twin === -1) {
      twin = kept++;
      from[twin] = low;
      to[twin] = high;
      turns[twin] = -1;
      next[twin] = head[low]!;
      head[low] = twin;
    }
    // The old lists may be shared by the pieces of a split edge: copy, never write into them.
    for (let i = edges.turns[e]!; i !== -1; i = turnNext[i]!) {
      const area = turnArea[i]!;
      let own = turns[twin]!;
      while (own !== -1 && turnArea[own] !== area) own = turnNext[own]!;
      if (own === -1) turns[twin] = pushTurn(lists, area, sign * turnCount[i]!, turns[twin]!);
      else turnCount[own]! += sign * turnCount[i]!;
    }
  }
  let live = 0;
  for (let e = 0; e < kept; e++) {
    let first = -1;
    for (let i = turns[e]!; i !== -1; ) {
      const after = turnNext[i]!;
      if (turnCount[i] !== 0) {
        turnNext[i] = first;
        first = i;
      }
      i = after;
    }
    if (first === -1) continue;
    from[live] = from[e]!;
    to[live] = to[e]!;
    turns[live] = first;
    live++;
  }
  return { from: from.slice(0, live), to: to.slice(0, live), turns: turns.slice(0, live) };
}
