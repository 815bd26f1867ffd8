/**
 * Boundaries between classes of faces: edges with the same class on both sides are passed over, the rest is walked
 * into cycles with the wanted class on the left, and cycles are cut into simple rings.
 */
import type { Ring } from '@inlaywright/geometry';
import { type FaceGraph, originOf } from './face-graph.ts';
import { NM_PER_MM, type PlanarEdges } from './noding.ts';

export interface Boundaries {
  /** 1 where an edge has different classes on its two sides. */
  readonly kept: Uint8Array;
  /** Kept edges at each vertex. */
  readonly degree: Uint16Array;
  /** Half-edges of all cycles in order; cycle i is cycleHalf[cycleStart[i] .. cycleStart[i + 1]). */
  readonly cycleHalf: Int32Array;
  readonly cycleStart: readonly number[];
}

/** @param classOf per walk; cycles are traced where it is not negative */
export function traceBoundaries(graph: FaceGraph, classOf: Int32Array): Boundaries {
  const { edges, next, walk } = graph;
  const { from, to } = edges;
  const count = from.length;
  const kept = new Uint8Array(count);
  const degree = new Uint16Array(edges.x.length);
  for (let e = 0; e < count; e++) {
    const left = classOf[walk[2 * e]!]!;
    const right = classOf[walk[2 * e + 1]!]!;
    if (left === right || (left < 0 && right < 0)) continue;
    kept[e] = 1;
    degree[from[e]!]!++;
    degree[to[e]!]!++;
  }
  const done = new Uint8Array(2 * count);
  const cycleHalf = new Int32Array(2 * count);
  const cycleStart: number[] = [0];
  let length = 0;
  for (let h = 0; h < 2 * count; h++) {
    if (done[h] || !kept[h >> 1] || classOf[walk[h]!]! < 0) continue;
    let half = h;
    do {
      done[half] = 1;
      cycleHalf[length++] = half;
      half = next[half]!;
      while (!kept[half >> 1]) half = next[half ^ 1]!;
    } while (half !== h);
    cycleStart.push(length);
  }
  return { kept, degree, cycleHalf: cycleHalf.slice(0, length), cycleStart };
}

/**
 * How far a vertex that was put into an edge may lie beside the line of its neighbours, nm: each of the three may have
 * been welded by 0.55 um. A corner farther out is where an outline crosses itself.
 */
const STRAIGHT_NM = 1100;

/**
 * Whether the boundary passes straight through the start of `half`, coming along `before`: only two boundary edges meet
 * there, they go on from one another, and they belong to an area that has no vertex of its own at this place. Such a
 * vertex was put in for a hidden edge; leaving it out gives back the area's own edge.
 */
export function isPassedThrough(
  edges: PlanarEdges,
  degree: Uint16Array,
  before: number,
  half: number,
): boolean {
  const vertex = originOf(edges, half);
  if (degree[vertex]! > 2) return false;
  const { turns, turnArea, turnNext, owners, ownerArea, ownerNext } = edges;
  let shared = false;
  for (let i = turns[half >> 1]!; i !== -1; i = turnNext[i]!) {
    let j = turns[before >> 1]!;
    while (j !== -1 && turnArea[j] !== turnArea[i]) j = turnNext[j]!;
    if (j === -1) continue;
    shared = true;
    for (let o = owners[vertex]!; o !== -1; o = ownerNext[o]!) {
      if (ownerArea[o] === turnArea[i]) return false;
    }
  }
  return shared && isStraight(edges, originOf(edges, before), vertex, originOf(edges, half ^ 1));
}

function isStraight({ x, y }: PlanarEdges, a: number, v: number, b: number): boolean {
  const ex = x[v]! - x[a]!;
  const ey = y[v]! - y[a]!;
  const fx = x[b]! - x[v]!;
  const fy = y[b]! - y[v]!;
  if (ex * fx + ey * fy <= 0) return false;
  return Math.abs(ex * fy - ey * fx) <= STRAIGHT_NM * Math.hypot(ex + fx, ey + fy);
}

/** The vertices of one cycle that its boundary really has, in order. */
export function cycleVertices(edges: PlanarEdges, boundaries: Boundaries, cycle: number): number[] {
  const { cycleHalf, cycleStart, degree } = boundaries;
  const first = cycleStart[cycle]!;
  const end = cycleStart[cycle + 1]!;
  const vertices: number[] = [];
  let before = cycleHalf[end - 1]!;
  for (let i = first; i < end; i++) {
    const half = cycleHalf[i]!;
    if (!isPassedThrough(edges, degree, before, half)) vertices.push(originOf(edges, half));
    before = half;
  }
  return vertices;
}

/** Cuts a closed walk wherever it comes back to a vertex, so that no ring passes a vertex twice; mm. */
export function simpleRings(edges: PlanarEdges, vertices: readonly number[], degree: Uint16Array): Ring[] {
  if (!vertices.some((v) => degree[v]! > 3)) {
    return vertices.length > 2 ? [toRing(edges, vertices)] : [];
  }
  const rings: Ring[] = [];
  const open: number[] = [];
  const place = new Map<number, number>();
  for (const v of vertices) {
    const at = place.get(v);
    if (at !== undefined) {
      const loop = open.splice(at);
      for (const w of loop) place.delete(w);
      if (loop.length > 2) rings.push(toRing(edges, loop));
    }
    place.set(v, open.length);
    open.push(v);
  }
  if (open.length > 2) rings.push(toRing(edges, open));
  return rings;
}

function toRing(edges: PlanarEdges, vertices: readonly number[]): Ring {
  const ring = new Float64Array(2 * vertices.length);
  for (let i = 0; i < vertices.length; i++) {
    const v = vertices[i]!;
    ring[2 * i] = edges.x[v]! / NM_PER_MM;
    ring[2 * i + 1] = edges.y[v]! / NM_PER_MM;
  }
  return ring;
}
