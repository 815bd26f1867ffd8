/**
 * Where an outline crosses itself: inside two edges, through a vertex on an edge, or through a shared vertex. Touching
 * without crossing is no crossing. Exact on the 1 nm grid; cost as the edge grid's.
 */
import type { Point, Ring } from '@inlaywright/geometry';
import { buildEdgeGrid } from '../mosaic/edge-grid.ts';
import { orient } from '../mosaic/exact.ts';
import { NM_PER_MM } from '../mosaic/noding.ts';

/** The first crossing found, or undefined. Rings in mm. */
export function findSelfCrossing(rings: readonly Ring[]): Point | undefined {
  const x: number[] = [];
  const y: number[] = [];
  /** Vertex after and before each vertex along its ring; edge i runs from vertex i to after[i]. */
  const after: number[] = [];
  const before: number[] = [];
  for (const ring of rings) {
    const first = x.length;
    for (let i = 0; i < ring.length; i += 2) {
      const px = Math.round(ring[i]! * NM_PER_MM);
      const py = Math.round(ring[i + 1]! * NM_PER_MM);
      if (x.length > first && x[x.length - 1] === px && y[y.length - 1] === py) continue;
      x.push(px);
      y.push(py);
    }
    while (x.length > first + 1 && x[x.length - 1] === x[first] && y[y.length - 1] === y[first]) {
      x.pop();
      y.pop();
    }
    const count = x.length - first;
    for (let i = 0; i < count; i++) {
      after.push(first + ((i + 1) % count));
      before.push(first + ((i + count - 1) % count));
    }
  }
  const count = x.length;
  const coordinates = new Float64Array(4 * count);
  for (let i = 0; i < count; i++) {
    coordinates.set([x[i]!, y[i]!, x[after[i]!]!, y[after[i]!]!], 4 * i);
  }
  const { cellStart, cellEdges } = buildEdgeGrid(coordinates, count, 1);
  for (let cell = 0; cell + 1 < cellStart.length; cell++) {
    for (let i = cellStart[cell]!; i < cellStart[cell + 1]!; i++) {
      for (let j = i + 1; j < cellStart[cell + 1]!; j++) {
        const found = crossing(cellEdges[i]!, cellEdges[j]!);
        if (found) return found;
      }
    }
  }
  return undefined;

  function side(a: number, b: number, c: number): number {
    return Math.sign(orient(x[a]!, y[a]!, x[b]!, y[b]!, x[c]!, y[c]!));
  }

  function crossing(e: number, f: number): Point | undefined {
    const b = after[e]!;
    const d = after[f]!;
    const c1 = side(e, b, f);
    const d1 = side(e, b, d);
    const a1 = side(f, d, e);
    const b1 = side(f, d, b);
    if (c1 * d1 < 0 && a1 * b1 < 0) {
      const t =
        ((x[f]! - x[e]!) * (y[d]! - y[f]!) - (y[f]! - y[e]!) * (x[d]! - x[f]!)) /
        ((x[b]! - x[e]!) * (y[d]! - y[f]!) - (y[b]! - y[e]!) * (x[d]! - x[f]!));
      return { x: (x[e]! + t * (x[b]! - x[e]!)) / NM_PER_MM, y: (y[e]! + t * (y[b]! - y[e]!)) / NM_PER_MM };
    }
    // Through a vertex: each edge speaks for the vertex it starts at.
    if (same(e, f)) return e !== f && interleaved(e, f) ? mm(e) : undefined;
    if (c1 === 0 && within(f, e, b) && side(e, b, before[f]!) * d1 < 0) return mm(f);
    if (a1 === 0 && within(e, f, d) && side(f, d, before[e]!) * b1 < 0) return mm(e);
    return undefined;
  }

  function same(a: number, b: number): boolean {
    return x[a] === x[b] && y[a] === y[b];
  }

  /** Whether v, on the line a to b, lies strictly between them. */
  function within(v: number, a: number, b: number): boolean {
    const along = (x[v]! - x[a]!) * (x[b]! - x[a]!) + (y[v]! - y[a]!) * (y[b]! - y[a]!);
    const length2 = (x[b]! - x[a]!) ** 2 + (y[b]! - y[a]!) ** 2;
    return along > 0 && along < length2;
  }

  /** Whether the two passes through one place separate each other's ends around it. */
  function interleaved(v: number, w: number): boolean {
    const angle = (p: number): number => Math.atan2(y[p]! - y[v]!, x[p]! - x[v]!);
    const start = angle(before[v]!);
    const turn = (p: number): number => (angle(p) - start + 4 * Math.PI) % (2 * Math.PI);
    const out = turn(after[v]!);
    const p = turn(before[w]!);
    const q = turn(after[w]!);
    const slack = 1e-9;
    const inside = (t: number): number =>
      t < slack || Math.abs(t - out) < slack || t > 2 * Math.PI - slack ? 0 : t < out ? -1 : 1;
    return inside(p) * inside(q) < 0;
  }

  function mm(v: number): Point {
    return { x: x[v]! / NM_PER_MM, y: y[v]! / NM_PER_MM };
  }
}
