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
import { findEvents } from './edge-events.ts';
import { type Edges, mergeEdges, splitEdges } from './edge-splitting.ts';
import { type Turns, turnsOfRings } from './edge-turns.ts';
import { findVertex, joinVertices, type Vertices } from './vertices.ts';

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
  readonly turnArea: Int32Array;
  readonly turnCount: Int32Array;
  readonly turnNext: Int32Array;
  /** Per vertex, the head of its list of owners: areas whose own boundary has a corner or vertex there. */
  readonly owners: Int32Array;
  readonly ownerArea: Int32Array;
  readonly ownerNext: Int32Array;
}

/**
 * @param rings of all areas, in the order of the areas
 * @param weldNm edges that run side by side within this distance become one, nm
 * @throws WorkshopError `mosaic-internal` if the search does not end
 */
export function nodeRings(rings: readonly AreaRing[], weldNm: number): PlanarEdges {
  const { vertices, edges: drawn, turns } = loadRings(rings);
  let edges = drawn;
  for (let round = 0; ; round++) {
    const tolerance = round === 0 ? TOUCH_NM : GRID_TOLERANCE;
    const events = findEvents(edges, vertices, tolerance, round === 0 ? weldNm : 0);
    const quiet = events.sameA.length + events.onEdge.length + events.crossA.length === 0;
    if (quiet && round > 0) break;
    if (round >= MAX_ROUNDS) {
      throw new WorkshopError('mosaic-internal', `The partition did not settle in ${MAX_ROUNDS} rounds.`, {
        hint: 'This is a fault of the program. Please report it with the piece file.',
        details: { events: events.onEdge.length + events.crossA.length },
      });
    }
    const reach = round === 0 ? 2 * weldNm : Number.POSITIVE_INFINITY;
    const refused = joinVertices(vertices, events.sameA, events.sameB, reach);
    edges = mergeEdges(splitEdges(edges, events, vertices, turns, tolerance), vertices.count, turns);
    if (refused) edges.changed.fill(1);
  }
  const { count, owner } = vertices;
  const owners = new Int32Array(count).fill(-1);
  const ownerNext = new Int32Array(count).fill(-1);
  for (let v = 0; v < count; v++) {
    if (owner[v]! < 0) continue;
    const root = findVertex(vertices, v);
    ownerNext[v] = owners[root]!;
    owners[root] = v;
  }
  return {
    x: vertices.x.subarray(0, count),
    y: vertices.y.subarray(0, count),
    from: edges.from,
    to: edges.to,
    turns: edges.turns,
    turnArea: turns.area,
    turnCount: turns.count,
    turnNext: turns.next,
    owners,
    ownerArea: owner,
    ownerNext,
  };
}

/** Puts the rings on the grid; a vertex that falls onto its predecessor goes, and so does a ring of one vertex. */
function loadRings(rings: readonly AreaRing[]): { vertices: Vertices; edges: Edges; turns: Turns } {
  let most = 0;
  for (const { points } of rings) most += points.length / 2;
  const x = new Float64Array(most);
  const y = new Float64Array(most);
  const owner = new Int32Array(most);
  const from = new Int32Array(most);
  const to = new Int32Array(most);
  let count = 0;
  for (const { area, points } of rings) {
    const first = count;
    for (let i = 0; i < points.length; i += 2) {
      const px = Math.round(points[i]! * NM_PER_MM);
      const py = Math.round(points[i + 1]! * NM_PER_MM);
      if (count > first && x[count - 1] === px && y[count - 1] === py) continue;
      x[count] = px;
      y[count] = py;
      owner[count] = area;
      from[count] = count;
      to[count] = count + 1;
      count++;
    }
    while (count > first + 1 && x[count - 1] === x[first] && y[count - 1] === y[first]) count--;
    if (count - first < 2) count = first;
    else to[count - 1] = first;
  }
  const parent = new Int32Array(most);
  for (let v = 0; v < count; v++) parent[v] = v;
  const turns = turnsOfRings(owner, count);
  const all = new Int32Array(count);
  for (let i = 0; i < count; i++) all[i] = i;
  return {
    vertices: { x, y, owner, parent, count },
    edges: {
      from: from.slice(0, count),
      to: to.slice(0, count),
      turns: all,
      changed: new Uint8Array(count).fill(1),
    },
    turns,
  };
}
