/**
 * Solids: connected groups of faces that show one class, with their boundary cycles and neighbours.
 */
import type { Boundaries } from './boundaries.ts';
import { traceBoundaries } from './boundaries.ts';
import type { FaceGraph } from './face-graph.ts';

/** One connected solid before it becomes a part. */
export interface Solid {
  /** Its walks' root in `solidOf`. */
  readonly root: number;
  readonly walks: number[];
  /** Cycle numbers of its boundary. */
  readonly cycles: number[];
}

export interface Solids {
  readonly boundaries: Boundaries;
  readonly solids: readonly Solid[];
  /** Per walk, the number of its solid, or -1 where there is none. */
  readonly solidOf: Int32Array;
}

/** @param classOf per walk, negative where there is nothing solid */
export function findSolids(graph: FaceGraph, classOf: Int32Array): Solids {
  const { edges, walk, walkCount, islands } = graph;
  const parent = new Int32Array(walkCount);
  for (let w = 0; w < walkCount; w++) parent[w] = w;
  const find = (w: number): number => {
    let root = w;
    while (parent[root] !== root) root = parent[root]!;
    while (parent[w] !== root) {
      const up = parent[w]!;
      parent[w] = root;
      w = up;
    }
    return root;
  };
  const boundaries = traceBoundaries(graph, classOf);
  for (const island of islands) {
    if (island.facing !== -1) parent[find(island.outerWalk)] = find(walk[island.facing]!);
  }
  for (let e = 0; e < edges.from.length; e++) {
    if (!boundaries.kept[e]) parent[find(walk[2 * e]!)] = find(walk[2 * e + 1]!);
  }
  const solidOf = new Int32Array(walkCount).fill(-1);
  const solids: Solid[] = [];
  for (let w = 0; w < walkCount; w++) {
    if (classOf[w]! < 0) continue;
    const root = find(w);
    if (solidOf[root] === -1) {
      solidOf[root] = solids.length;
      solids.push({ root, walks: [], cycles: [] });
    }
    solidOf[w] = solidOf[root]!;
    solids[solidOf[w]!]!.walks.push(w);
  }
  const cycleCount = boundaries.cycleStart.length - 1;
  for (let cycle = 0; cycle < cycleCount; cycle++) {
    const half = boundaries.cycleHalf[boundaries.cycleStart[cycle]!]!;
    solids[solidOf[walk[half]!]!]!.cycles.push(cycle);
  }
  return { boundaries, solids, solidOf };
}
