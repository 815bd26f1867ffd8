/**
 * One round of noding, second half: routes edges through the vertices found on them, puts vertices where edges cross, and
 * joins edges that have come to lie on one another.
 */
import type { EdgeEvents } from './edge-events.ts';
import { addTurns, copyTurns, type Turns, withoutZeros } from './edge-turns.ts';
import { addVertex, findVertex, type Vertices } from './vertices.ts';

export interface Edges {
  readonly from: Int32Array;
  readonly to: Int32Array;
  /** First entry of each edge's list of turns. */
  readonly turns: Int32Array;
  /** 1 where the edge is not what the last round searched: two unchanged edges need no second look. */
  readonly changed: Uint8Array;
}

/** Edges between splitting and joining: pieces of one edge share its list. */
export interface EdgePieces extends Edges {
  /** 1 where the list of turns belongs to several pieces. */
  readonly shared: Uint8Array;
}

export function splitEdges(
  edges: Edges,
  events: EdgeEvents,
  vertices: Vertices,
  turns: Turns,
  tolerance: number,
): EdgePieces {
  const { from, to } = edges;
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
    const v = findVertex(vertices, events.onVertex[i]!);
    moveOnto(vertices, v, from[events.onEdge[i]!]!, to[events.onEdge[i]!]!);
    moved.add(v);
  }
  const isMoved = (v: number): boolean => {
    const root = findVertex(vertices, v);
    return moved.has(root) || vertices.x[root] !== vertices.x[v] || vertices.y[root] !== vertices.y[v];
  };
  for (let i = 0; i < events.onEdge.length; i++) {
    insert(events.onEdge[i]!, findVertex(vertices, events.onVertex[i]!));
  }
  // An edge that a weld bends crosses others elsewhere than before: the next round finds where.
  const bent = (edge: number): boolean => head[edge] !== -1 || isMoved(from[edge]!) || isMoved(to[edge]!);
  const straight = events.crossA.flatMap((e, i) => (bent(e) || bent(events.crossB[i]!) ? [] : [i]));
  insertCrossings(straight, edges, events, vertices, turns, tolerance, insert);

  const total = count + vertex.length;
  const outFrom = new Int32Array(total);
  const outTo = new Int32Array(total);
  const outTurns = new Int32Array(total);
  const changed = new Uint8Array(total);
  const shared = new Uint8Array(total);
  let length = 0;
  const push = (a: number, b: number, turn: number): void => {
    outFrom[length] = a;
    outTo[length] = b;
    outTurns[length] = turn;
    changed[length] = 1;
    shared[length++] = 1;
  };
  const anyMoved = events.sameA.length + events.moves.length > 0;
  const { x, y } = vertices;
  const found: { v: number; t: number }[] = [];
  for (let e = 0; e < count; e++) {
    const a = findVertex(vertices, from[e]!);
    const b = findVertex(vertices, to[e]!);
    if (head[e] === -1) {
      if (a === b) continue;
      push(a, b, edges.turns[e]!);
      shared[length - 1] = 0;
      if (!anyMoved || !(isMoved(from[e]!) || isMoved(to[e]!))) changed[length - 1] = 0;
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
    if (found.length > 1) found.sort((p, q) => p.t - q.t || p.v - q.v);
    let at = a;
    for (const { v } of found) {
      if (v === at || v === b || v === a) continue;
      push(at, v, edges.turns[e]!);
      at = v;
    }
    if (at !== b) push(at, b, edges.turns[e]!);
  }
  return {
    from: outFrom.subarray(0, length),
    to: outTo.subarray(0, length),
    turns: outTurns.subarray(0, length),
    changed: changed.subarray(0, length),
    shared: shared.subarray(0, length),
  };
}

function moveOnto({ x, y }: Vertices, v: number, from: number, to: number): void {
  const ax = x[from]!;
  const ay = y[from]!;
  const ex = x[to]! - ax;
  const ey = y[to]! - ay;
  const t = ((x[v]! - ax) * ex + (y[v]! - ay) * ey) / (ex * ex + ey * ey);
  x[v] = Math.round(ax + t * ex);
  y[v] = Math.round(ay + t * ey);
}

/** Puts a vertex on both edges of each crossing; crossings within the tolerance of each other share it. */
function insertCrossings(
  crossings: readonly number[],
  { from, to, turns: lists }: Edges,
  events: EdgeEvents,
  vertices: Vertices,
  turns: Turns,
  tolerance: number,
  insert: (edge: number, v: number) => void,
): void {
  const size = 2 * tolerance;
  const placed = new Map<number, number[]>();
  const key = (column: number, row: number): number => column * 94906267 + row;
  for (const i of crossings) {
    const e = events.crossA[i]!;
    const f = events.crossB[i]!;
    const [px, py] = crossing(vertices, from[e]!, to[e]!, from[f]!, to[f]!);
    const column = Math.floor(px / size);
    const row = Math.floor(py / size);
    let v: number | undefined;
    for (let near = 0; near < 9 && v === undefined; near++) {
      v = placed
        .get(key(column + (near % 3) - 1, row + Math.floor(near / 3) - 1))
        ?.find(
          (w) => Math.abs(vertices.x[w]! - px) <= tolerance && Math.abs(vertices.y[w]! - py) <= tolerance,
        );
    }
    if (v === undefined) {
      // Where an outline crosses itself it has a corner of its own.
      const area = turns.area[lists[e]!]!;
      v = addVertex(vertices, px, py, area === turns.area[lists[f]!] ? area : -1);
      const bucket = placed.get(key(column, row));
      if (bucket) bucket.push(v);
      else placed.set(key(column, row), [v]);
    }
    insert(e, v);
    insert(f, v);
  }
}

/** Where the lines of two crossing edges meet, rounded to the grid. */
function crossing({ x, y }: Vertices, a: number, b: number, c: number, d: number): [number, number] {
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
export function mergeEdges(edges: EdgePieces, vertexCount: number, turns: Turns): Edges {
  const count = edges.from.length;
  const head = new Int32Array(vertexCount).fill(-1);
  const next = new Int32Array(count).fill(-1);
  const from = new Int32Array(count);
  const to = new Int32Array(count);
  const lists = new Int32Array(count);
  const changed = new Uint8Array(count);
  let kept = 0;
  for (let e = 0; e < count; e++) {
    const a = edges.from[e]!;
    const b = edges.to[e]!;
    const low = Math.min(a, b);
    const high = Math.max(a, b);
    const sign = a < b ? 1 : -1;
    const list = edges.turns[e]!;
    let twin = head[low]!;
    while (twin !== -1 && to[twin] !== high) twin = next[twin]!;
    if (twin !== -1) {
      lists[twin] = addTurns(turns, lists[twin]!, list, sign);
      if (edges.changed[e]) changed[twin] = 1;
      continue;
    }
    from[kept] = low;
    to[kept] = high;
    changed[kept] = edges.changed[e]!;
    if (edges.shared[e]) lists[kept] = copyTurns(turns, list, sign);
    else {
      lists[kept] = list;
      if (sign < 0) for (let i = list; i !== -1; i = turns.next[i]!) turns.count[i] = -turns.count[i]!;
    }
    next[kept] = head[low]!;
    head[low] = kept++;
  }
  let live = 0;
  for (let e = 0; e < kept; e++) {
    const list = withoutZeros(turns, lists[e]!);
    if (list === -1) continue;
    from[live] = from[e]!;
    to[live] = to[e]!;
    changed[live] = changed[e]!;
    lists[live++] = list;
  }
  return {
    from: from.slice(0, live),
    to: to.slice(0, live),
    turns: lists.slice(0, live),
    changed: changed.slice(0, live),
  };
}
