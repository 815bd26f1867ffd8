// The raw offset of one ring: a closed path whose positive winding, summed over a region's rings, is the offset.
//
// Take a ring with the region on its left, and the rectangle between each edge and that edge moved outward by
// the distance. At a vertex where the moved edges part (an open joint) there is a gap, at one where they cross
// (a closed joint) an overlap. The path that joins moved edges by arcs at open joints, and through the source
// vertex at closed ones, is the ring plus the outlines of all rectangles and sectors, each run positively; so
// its winding number is the ring's own plus the number of rectangles and sectors over a point: positive exactly
// in the offset. Shrinking is the same with the signs turned, for a source of winding 0 and 1. The kernel only
// has to take the positive part.
//
// Two changes keep the number of vertices where the ring is a finely flattened curve, and spare the kernel the
// loops at every closed joint, which cost it most of its time:
// - Open joints get tangents instead of chords, arcs as well as the single mitre that a slight turn needs. They
//   reach outside the true arc by at most the tolerance and never inside it.
// - Closed joints are cut at the crossing of the moved edges. That takes away the kite between crossing, edge
//   ends and source vertex, which lies in both rectangles when both edges are longer than the cut. However
//   many such kites lie over a point, there is one rectangle more, unless they are all the kites of the ring
//   and every vertex has one; then one vertex keeps its loop.
//
// Where two edges nearly reverse, or one is as short as rounding makes them, rounding decides the sign of the turn,
// and rings from the kernel may hold loops of a few grid steps. There a closed joint becomes an arc the long way
// round, as if it were open: the disk about a vertex is in the offset whatever the turn.

import { GRID } from './grid.ts';
import { coordinate, type PathBuffer, put, reserve } from './path-buffer.ts';
import type { Ring } from './ring.ts';

/** Edges up to this length, in units, owe their direction to rounding. */
const SHORT = 100 * GRID;
/** Cosine of the turn beyond which two edges count as reversing. */
const REVERSAL = -0.99;

/** Tangent of half the coarsest arc step, an eighth of a turn, for when the tolerance would allow a bare corner. */
const COARSEST = Math.tan(Math.PI / 8);

// Kept vertices of the ring at hand, and of each the edge that leaves it.
let capacity = 0;
let xs = new Float64Array(0);
let ys = new Float64Array(0);
let ux = new Float64Array(0);
let uy = new Float64Array(0);
let lengths = new Float64Array(0);
let marks = new Int32Array(0);

export interface OffsetLimits {
  /** Farthest that tangents may reach outside the true arcs. */
  readonly tolerance: number;
  /** Vertices of the ring no farther than this from their predecessor are dropped. */
  readonly speck: number;
  /** Mitres no farther than this from their predecessor are dropped: arcs that close up end in a cluster. */
  readonly merge: number;
}

/**
 * Writes the raw offset of `ring` by `distance` (positive grows) into `out`; leaves it empty when the ring
 * cannot have any. Each vertex written carries the tag of the vertex it came from.
 */
export function rawOffset(
  ring: Ring,
  tags: Int32Array | null,
  distance: number,
  limits: OffsetLimits,
  out: PathBuffer,
): void {
  out.count = 0;
  let n = readEdges(ring, tags, limits.speck);
  if (n < 3) n = readEdges(ring, tags, 0);
  if (n < 3 || vanishes(ring, n, distance)) return;
  if (joinEdges(n, distance, limits, false, out)) joinEdges(n, distance, limits, true, out);
}

function readEdges(ring: Ring, tags: Int32Array | null, speck: number): number {
  const total = ring.length >> 1;
  if (capacity < total + 1) {
    capacity = 2 * total + 1;
    xs = new Float64Array(capacity);
    ys = new Float64Array(capacity);
    ux = new Float64Array(capacity);
    uy = new Float64Array(capacity);
    lengths = new Float64Array(capacity);
    marks = new Int32Array(capacity);
  }
  let n = 0;
  let px = Number.NaN;
  let py = Number.NaN;
  for (let i = 0; i < 2 * total; i += 2) {
    const x = ring[i]!;
    const y = ring[i + 1]!;
    const dx = x - px;
    const dy = y - py;
    const length = Math.sqrt(dx * dx + dy * dy);
    if (n > 0) {
      if (length <= speck) continue;
      ux[n - 1] = dx / length;
      uy[n - 1] = dy / length;
      lengths[n - 1] = length;
    }
    xs[n] = px = x;
    ys[n] = py = y;
    marks[n] = tags ? tags[i >> 1]! : 0;
    n++;
  }
  while (n > 1) {
    const dx = xs[0]! - xs[n - 1]!;
    const dy = ys[0]! - ys[n - 1]!;
    const length = Math.sqrt(dx * dx + dy * dy);
    if (length > speck) {
      ux[n - 1] = dx / length;
      uy[n - 1] = dy / length;
      lengths[n - 1] = length;
      break;
    }
    n--;
  }
  return n;
}

/** A ring that is narrower than the disk both closes up when it is a hole that shrinks and an outer that does. */
function vanishes(ring: Ring, n: number, distance: number): boolean {
  let minX = xs[0]!;
  let maxX = minX;
  let minY = ys[0]!;
  let maxY = minY;
  for (let i = 1; i < n; i++) {
    const x = xs[i]!;
    const y = ys[i]!;
    if (x < minX) minX = x;
    else if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    else if (y > maxY) maxY = y;
  }
  if (Math.min(maxX - minX, maxY - minY) > 2 * Math.abs(distance)) return false;
  let area = 0;
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    area += (ring[j]! - minX) * (ring[i + 1]! - minY) - (ring[i]! - minX) * (ring[j + 1]! - minY);
  }
  return area * distance < 0;
}

/** Returns true when the result is not to be trusted: cut at every vertex, and every edge runs backward. */
function joinEdges(
  n: number,
  distance: number,
  { tolerance, merge }: OffsetLimits,
  keepFirstLoop: boolean,
  out: PathBuffer,
): boolean {
  // Tangent of the half turn up to which a mitre stays within the tolerance: 1/cos = 1 + tolerance / reach.
  const excess = tolerance / Math.abs(distance);
  const mitreLimit = Math.min(Math.sqrt(excess * (2 + excess)), COARSEST);
  const arcStep = 2 * Math.atan(mitreLimit);
  let { words } = out;
  let room = words.length / 6 - 3;
  let at = 0;
  let lastX = Number.POSITIVE_INFINITY;
  let lastY = 0;
  let everyVertexCut = true;
  let everyEdgeBackward = true;
  let firstCut = 0;
  let previousCut = Number.POSITIVE_INFINITY;
  let p = n - 1;
  for (let i = 0; i < n; p = i, i++) {
    if (at > room) {
      reserve(out, at + 3);
      words = out.words;
      room = words.length / 6 - 3;
    }
    const vx = xs[i]!;
    const vy = ys[i]!;
    const mark = marks[i]!;
    const px = ux[p]!;
    const py = uy[p]!;
    const nx = ux[i]!;
    const ny = uy[i]!;
    const cross = px * ny - py * nx;
    const dot = px * nx + py * ny;
    const reverses = dot < REVERSAL;
    // Tangent of half the turn.
    const half = cross / (1 + dot);
    const along = distance * half;
    const closed = along <= 0 && !reverses;
    let mitred: boolean;
    let looped = false;
    if (closed) {
      const cut = -along;
      mitred = cut <= lengths[p]! && cut <= lengths[i]! && !(keepFirstLoop && i === 0);
      if (!mitred) {
        everyVertexCut = false;
        looped = lengths[p]! > SHORT && lengths[i]! > SHORT;
      }
      if (previousCut + cut <= lengths[p]!) everyEdgeBackward = false;
      if (i === 0) firstCut = cut;
      previousCut = cut;
    } else {
      mitred = half <= mitreLimit && half >= -mitreLimit && !reverses;
      everyVertexCut = false;
    }
    if (mitred) {
      const x = vx + distance * py + along * px;
      const y = vy - distance * px + along * py;
      if (Math.abs(x - lastX) + Math.abs(y - lastY) > merge) {
        put(words, at++, x, y, mark);
        lastX = x;
        lastY = y;
      }
    } else if (looped) {
      lastX = vx + distance * ny;
      lastY = vy - distance * nx;
      put(words, at++, vx + distance * py, vy - distance * px, mark);
      put(words, at++, vx, vy, mark);
      put(words, at++, lastX, lastY, mark);
    } else {
      const side = Math.sign(distance);
      let turn = Math.atan2(cross, dot);
      if (turn * side <= 0) turn += side * 2 * Math.PI;
      const steps = Math.ceil(Math.abs(turn) / arcStep);
      if (at + steps > room) {
        reserve(out, at + steps + 3);
        words = out.words;
        room = words.length / 6 - 3;
      }
      const sine = Math.sin(turn / steps);
      const cosine = Math.cos(turn / steps);
      const lean = Math.tan(turn / steps / 2);
      // From the source vertex to the first crossing of tangents, then turned step by step.
      let rx = distance * (py + lean * px);
      let ry = distance * (-px + lean * py);
      for (let s = 0; s < steps; s++) {
        lastX = vx + rx;
        lastY = vy + ry;
        put(words, at++, lastX, lastY, mark);
        const turned = rx * cosine - ry * sine;
        ry = rx * sine + ry * cosine;
        rx = turned;
      }
    }
  }
  while (at > 1 && closes(words, at, merge)) at--;
  out.count = at;
  if (previousCut + firstCut <= lengths[n - 1]!) everyEdgeBackward = false;
  return everyVertexCut && everyEdgeBackward;
}

/** Whether the last vertex lies on the first. */
function closes(words: Int32Array, count: number, distance: number): boolean {
  const last = 6 * (count - 1);
  const dx = coordinate(words, last) - coordinate(words, 0);
  const dy = coordinate(words, last + 2) - coordinate(words, 2);
  return Math.abs(dx) + Math.abs(dy) <= distance;
}
