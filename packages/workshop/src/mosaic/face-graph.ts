/**
 * The faces of a planar set of edges, as half-edges.
 *
 * Half-edge 2e runs along edge e from `from` to `to`, 2e + 1 back; its face lies on its left. Walking `next` keeps the
 * face on the left and turns as sharply left as possible, so a walk bounds one connected open set: where two solids
 * touch in a point they have walks of their own. A connected group of edges (an island) has one walk per face it
 * bounds, one of them on its outside; that one belongs to the face the island lies in, found by a ray.
 */
import { orient } from './exact.ts';
import type { PlanarEdges } from './noding.ts';

export interface FaceGraph {
  readonly edges: PlanarEdges;
  readonly next: Int32Array;
  /** Walk number of each half-edge. */
  readonly walk: Int32Array;
  readonly walkCount: number;
  /** One half-edge of each walk. */
  readonly walkStart: Int32Array;
  readonly islands: readonly Island[];
}

export interface Island {
  /** The walk around its outside. */
  readonly outerWalk: number;
  /** Edges on the ray from its leftmost (then lowest) vertex to the left, as edge numbers. */
  readonly leftOf: readonly number[];
  /** The half-edge facing the island from the left, or -1 where there is nothing but the outside of everything. */
  readonly facing: number;
}

export function originOf(edges: PlanarEdges, half: number): number {
  return half & 1 ? edges.to[half >> 1]! : edges.from[half >> 1]!;
}

export function buildFaceGraph(edges: PlanarEdges): FaceGraph {
  const vertexCount = edges.x.length;
  const { start, around } = sortAround(edges, vertexCount);
  const halfCount = 2 * edges.from.length;
  const next = new Int32Array(halfCount);
  for (let v = 0; v < vertexCount; v++) {
    const first = start[v]!;
    const end = start[v + 1]!;
    for (let i = first; i < end; i++) {
      const clockwise = i === first ? end - 1 : i - 1;
      next[around[i]! ^ 1] = around[clockwise]!;
    }
  }
  const walk = new Int32Array(halfCount).fill(-1);
  const walkStart: number[] = [];
  for (let h = 0; h < halfCount; h++) {
    if (walk[h] !== -1) continue;
    const id = walkStart.length;
    walkStart.push(h);
    for (let g = h; walk[g] === -1; g = next[g]!) walk[g] = id;
  }
  return {
    edges,
    next,
    walk,
    walkCount: walkStart.length,
    walkStart: Int32Array.from(walkStart),
    islands: findIslands(edges, start, around, walk),
  };
}

/** Half-edges by origin, counter-clockwise around it from direction +x. */
function sortAround(edges: PlanarEdges, vertexCount: number): { start: Int32Array; around: Int32Array } {
  const { from, to, x, y } = edges;
  const start = new Int32Array(vertexCount + 1);
  for (let e = 0; e < from.length; e++) {
    start[from[e]! + 1]!++;
    start[to[e]! + 1]!++;
  }
  for (let v = 0; v < vertexCount; v++) start[v + 1]! += start[v]!;
  const fill = start.slice(0, vertexCount);
  const around = new Int32Array(2 * from.length);
  for (let e = 0; e < from.length; e++) {
    around[fill[from[e]!]!++] = 2 * e;
    around[fill[to[e]!]!++] = 2 * e + 1;
  }
  for (let v = 0; v < vertexCount; v++) {
    const first = start[v]!;
    const end = start[v + 1]!;
    // Two half-edges are in order whichever comes first.
    if (end - first < 3) continue;
    for (let i = first + 1; i < end; i++) {
      const half = around[i]!;
      let j = i - 1;
      while (j >= first && isAfter(around[j]!, half, v)) {
        around[j + 1] = around[j]!;
        j--;
      }
      around[j + 1] = half;
    }
  }
  return { start, around };

  function isAfter(g: number, h: number, v: number): boolean {
    const p = headOf(g);
    const q = headOf(h);
    const gLower = isLower(x[p]! - x[v]!, y[p]! - y[v]!);
    const hLower = isLower(x[q]! - x[v]!, y[q]! - y[v]!);
    if (gLower !== hLower) return gLower;
    return orient(x[v]!, y[v]!, x[p]!, y[p]!, x[q]!, y[q]!) < 0;
  }

  function headOf(half: number): number {
    return half & 1 ? from[half >> 1]! : to[half >> 1]!;
  }
}

function isLower(dx: number, dy: number): boolean {
  return dy < 0 || (dy === 0 && dx < 0);
}

function findIslands(edges: PlanarEdges, start: Int32Array, around: Int32Array, walk: Int32Array): Island[] {
  const { from, to, x, y } = edges;
  const vertexCount = x.length;
  const seen = new Uint8Array(vertexCount);
  const leftmost: number[] = [];
  const stack: number[] = [];
  for (let first = 0; first < vertexCount; first++) {
    if (seen[first] || start[first] === start[first + 1]) continue;
    let best = first;
    seen[first] = 1;
    stack.push(first);
    while (stack.length > 0) {
      const v = stack.pop()!;
      if (x[v]! < x[best]! || (x[v] === x[best] && y[v]! < y[best]!)) best = v;
      for (let i = start[v]!; i < start[v + 1]!; i++) {
        const half = around[i]!;
        const w = half & 1 ? from[half >> 1]! : to[half >> 1]!;
        if (seen[w]) continue;
        seen[w] = 1;
        stack.push(w);
      }
    }
    leftmost.push(best);
  }
  const rows = leftmost.length > 1 ? buildRows(edges) : undefined;
  return leftmost.map((v) => {
    // All edges at the leftmost vertex point right or straight up. The one that points most upwards is, in the order
    // around, the last before the lower half-plane begins, or the last of all; the outside lies on its left.
    let top = around[start[v + 1]! - 1]!;
    for (let i = start[v]!; i < start[v + 1]!; i++) {
      if (isSteeper(edges, v, around[i]!, top)) top = around[i]!;
    }
    const leftOf = rows ? edgesLeftOf(edges, rows, v) : [];
    let facing = -1;
    for (const e of leftOf) {
      if (facing === -1 || isRightOf(edges, e, facing)) facing = e;
    }
    const upward = facing !== -1 && y[from[facing]!]! < y[to[facing]!]!;
    return {
      outerWalk: walk[top]!,
      leftOf,
      facing: facing === -1 ? -1 : upward ? 2 * facing + 1 : 2 * facing,
    };
  });
}

/** Whether half-edge g points more upwards than h; both start at v and point right or straight up. */
function isSteeper(edges: PlanarEdges, v: number, g: number, h: number): boolean {
  const { from, to, x, y } = edges;
  const p = g & 1 ? from[g >> 1]! : to[g >> 1]!;
  const q = h & 1 ? from[h >> 1]! : to[h >> 1]!;
  return orient(x[v]!, y[v]!, x[q]!, y[q]!, x[p]!, y[p]!) > 0;
}

interface Rows {
  readonly bottom: number;
  readonly height: number;
  readonly rowStart: Int32Array;
  readonly rowEdges: Int32Array;
}

/** Edges by the horizontal strips they pass, for rays. */
function buildRows(edges: PlanarEdges): Rows {
  const { from, to, y } = edges;
  const count = from.length;
  let bottom = Number.POSITIVE_INFINITY;
  let top = Number.NEGATIVE_INFINITY;
  for (let e = 0; e < count; e++) {
    const a = y[from[e]!]!;
    const b = y[to[e]!]!;
    bottom = Math.min(bottom, a, b);
    top = Math.max(top, a, b);
  }
  const rowCount = Math.ceil(2 * Math.sqrt(count)) + 1;
  const height = Math.max(1, (top - bottom) / (rowCount - 1));
  const rowStart = new Int32Array(rowCount + 1);
  const rowOf = (value: number): number => Math.min(rowCount - 1, Math.floor((value - bottom) / height));
  for (let e = 0; e < count; e++) {
    const a = rowOf(y[from[e]!]!);
    const b = rowOf(y[to[e]!]!);
    for (let row = Math.min(a, b); row <= Math.max(a, b); row++) rowStart[row + 1]!++;
  }
  for (let row = 0; row < rowCount; row++) rowStart[row + 1]! += rowStart[row]!;
  const fill = rowStart.slice(0, rowCount);
  const rowEdges = new Int32Array(rowStart[rowCount]!);
  for (let e = 0; e < count; e++) {
    const a = rowOf(y[from[e]!]!);
    const b = rowOf(y[to[e]!]!);
    for (let row = Math.min(a, b); row <= Math.max(a, b); row++) rowEdges[fill[row]!++] = e;
  }
  return { bottom, height, rowStart, rowEdges };
}

/** Edges that a ray from just above vertex v to the left crosses. Exact. */
function edgesLeftOf(edges: PlanarEdges, rows: Rows, v: number): number[] {
  const { from, to, x, y } = edges;
  const vx = x[v]!;
  const vy = y[v]!;
  const row = Math.min(rows.rowStart.length - 2, Math.floor((vy - rows.bottom) / rows.height));
  const found: number[] = [];
  for (let i = rows.rowStart[row]!; i < rows.rowStart[row + 1]!; i++) {
    const e = rows.rowEdges[i]!;
    let low = from[e]!;
    let high = to[e]!;
    if (y[low]! > y[high]!) {
      low = to[e]!;
      high = from[e]!;
    }
    if (!(y[low]! <= vy && vy < y[high]!)) continue;
    if (x[low]! >= vx && x[high]! >= vx) continue;
    if (orient(x[low]!, y[low]!, x[high]!, y[high]!, vx, vy) < 0) found.push(e);
  }
  return found;
}

/** Whether edge e lies right of edge f along a level line both pass. They do not cross. Exact. */
function isRightOf(edges: PlanarEdges, e: number, f: number): boolean {
  const { from, to, x, y } = edges;
  const eUp = y[from[e]!]! < y[to[e]!]!;
  const fUp = y[from[f]!]! < y[to[f]!]!;
  const eLow = eUp ? from[e]! : to[e]!;
  const eHigh = eUp ? to[e]! : from[e]!;
  const fLow = fUp ? from[f]! : to[f]!;
  const fHigh = fUp ? to[f]! : from[f]!;
  const sideOfF = (v: number): number => -orient(x[fLow]!, y[fLow]!, x[fHigh]!, y[fHigh]!, x[v]!, y[v]!);
  const sideOfE = (v: number): number => orient(x[eLow]!, y[eLow]!, x[eHigh]!, y[eHigh]!, x[v]!, y[v]!);
  const low = y[eLow]! >= y[fLow]! ? sideOfF(eLow) : sideOfE(fLow);
  if (low !== 0) return low > 0;
  return (y[eHigh]! <= y[fHigh]! ? sideOfF(eHigh) : sideOfE(fHigh)) > 0;
}
