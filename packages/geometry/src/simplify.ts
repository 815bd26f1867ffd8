// Fewer vertices by the Douglas-Peucker rule, then repaired until the topology is that of the input.
//
// A chord stands for a chain of edges between the same two vertices, all of the chain within the tolerance of
// the chord. Distance to a segment is convex, so the chain's vertices decide; and since the chain runs from one
// end of the chord to the other, every point of the chord is within the tolerance of the chain as well.
// A chord may stay when no other vertex of the region lies between it and its chain, and when it meets no other
// edge of the result. Else its chain is split where it is farthest from the chord. At worst all vertices return.

import Flatbush from 'flatbush';
import { orient2d } from 'robust-predicates';
import { GeometryError } from './errors.ts';
import type { Region } from './region.ts';
import { type Ring, windingNumber } from './ring.ts';

/** Vertices `from` to `to` of a ring, counted on past its end; those in between are skipped. */
interface Chord {
  readonly ring: Ring;
  readonly ringIndex: number;
  readonly from: number;
  readonly to: number;
}

/**
 * The region with a subset of its vertices. The new boundary is within `tolerance` of the old one and the old
 * one of the new (Hausdorff distance, in the region's unit). Rings neither vanish, cross nor change sides.
 * @throws GeometryError bad-tolerance
 */
export function simplifyRegion(region: Region, tolerance: number): Region {
  if (!(tolerance >= 0 && Number.isFinite(tolerance))) {
    throw new GeometryError(
      'bad-tolerance',
      `The tolerance is ${tolerance}; it must be a number of 0 or more.`,
      { tolerance },
    );
  }
  const { rings } = region;
  if (rings.length === 0) return region;
  const kept = rings.map((ring) => thin(ring, tolerance));
  const vertices = indexVertices(rings);
  for (;;) {
    const chords = rings.flatMap((ring, r) => chordsOf(ring, r, kept[r]!));
    const refused = meetingChords(chords);
    for (const chord of chords) {
      if (skips(chord) && !refused.has(chord) && vertexBetween(chord, vertices)) refused.add(chord);
    }
    if (refused.size === 0) break;
    for (const { ring, ringIndex, from, to } of refused) {
      kept[ringIndex]![farthest(ring, from, to).at % vertexCount(ring)] = 1;
    }
  }
  return { rings: rings.map((ring, r) => pick(ring, kept[r]!)) };
}

function vertexCount(ring: Ring): number {
  return ring.length / 2;
}

function skips(chord: Chord): boolean {
  return chord.to - chord.from > 1;
}

/** Marks the vertices that Douglas and Peucker's rule keeps, starting from three that span the ring. */
function thin(ring: Ring, tolerance: number): Uint8Array {
  const n = vertexCount(ring);
  const keep = new Uint8Array(n);
  if (n <= 3) return keep.fill(1);
  const first = 0;
  const second = mostDistant(ring, (i) => squaredDistance(ring, i, first));
  const third = mostDistant(ring, (i) => segmentDistance(ring, i, first, second));
  keep[first] = keep[second] = keep[third] = 1;
  const stack = chordsOf(ring, 0, keep);
  for (let chord = stack.pop(); chord; chord = stack.pop()) {
    const { from, to } = chord;
    const { at, distance } = farthest(ring, from, to);
    if (distance <= tolerance) continue;
    keep[at % n] = 1;
    stack.push({ ...chord, to: at }, { ...chord, from: at });
  }
  return keep;
}

function mostDistant(ring: Ring, distance: (vertex: number) => number): number {
  let at = 0;
  let best = -1;
  for (let i = 0; i < vertexCount(ring); i++) {
    const d = distance(i);
    if (d > best) {
      best = d;
      at = i;
    }
  }
  return at;
}

function chordsOf(ring: Ring, ringIndex: number, keep: Uint8Array): Chord[] {
  const n = vertexCount(ring);
  const start = keep.indexOf(1);
  const chords: Chord[] = [];
  let from = start;
  for (let i = start + 1; i <= start + n; i++) {
    if (!keep[i % n]) continue;
    chords.push({ ring, ringIndex, from, to: i });
    from = i;
  }
  return chords;
}

/** The vertex between `from` and `to` that is farthest from their chord; distance -1 when there is none. */
function farthest(ring: Ring, from: number, to: number): { at: number; distance: number } {
  let distance = -1;
  let at = from;
  for (let i = from + 1; i < to; i++) {
    const d = segmentDistance(ring, i, from, to);
    if (d > distance) {
      distance = d;
      at = i;
    }
  }
  return { at, distance };
}

function squaredDistance(ring: Ring, i: number, j: number): number {
  return (ring[2 * i]! - ring[2 * j]!) ** 2 + (ring[2 * i + 1]! - ring[2 * j + 1]!) ** 2;
}

/** Distance of vertex `i` from the segment between vertices `from` and `to`. */
function segmentDistance(ring: Ring, i: number, from: number, to: number): number {
  const n = ring.length;
  const ax = ring[(2 * from) % n]!;
  const ay = ring[(2 * from + 1) % n]!;
  const dx = ring[(2 * to) % n]! - ax;
  const dy = ring[(2 * to + 1) % n]! - ay;
  const px = ring[(2 * i) % n]! - ax;
  const py = ring[(2 * i + 1) % n]! - ay;
  const squared = dx * dx + dy * dy;
  const t = squared > 0 ? Math.max(0, Math.min(1, (px * dx + py * dy) / squared)) : 0;
  return Math.hypot(px - t * dx, py - t * dy);
}

interface VertexIndex {
  readonly tree: Flatbush;
  readonly rings: readonly Ring[];
  /** Ring of each indexed vertex, and its number there. */
  readonly ringOf: Int32Array;
  readonly vertexOf: Int32Array;
}

function indexVertices(rings: readonly Ring[]): VertexIndex {
  const total = rings.reduce((sum, ring) => sum + vertexCount(ring), 0);
  const tree = new Flatbush(total);
  const ringOf = new Int32Array(total);
  const vertexOf = new Int32Array(total);
  rings.forEach((ring, r) => {
    for (let i = 0; i < vertexCount(ring); i++) {
      const id = tree.add(ring[2 * i]!, ring[2 * i + 1]!);
      ringOf[id] = r;
      vertexOf[id] = i;
    }
  });
  tree.finish();
  return { tree, rings, ringOf, vertexOf };
}

/** Whether a vertex that is not the chain's own lies between chain and chord, or on either. */
function vertexBetween(chord: Chord, { tree, rings, ringOf, vertexOf }: VertexIndex): boolean {
  const { ring, ringIndex, from, to } = chord;
  const n = vertexCount(ring);
  const pocket = new Float64Array(2 * (to - from + 1));
  let minX = Number.POSITIVE_INFINITY;
  let minY = Number.POSITIVE_INFINITY;
  let maxX = Number.NEGATIVE_INFINITY;
  let maxY = Number.NEGATIVE_INFINITY;
  for (let i = from, at = 0; i <= to; i++) {
    const x = ring[2 * (i % n)]!;
    const y = ring[2 * (i % n) + 1]!;
    pocket[at++] = x;
    pocket[at++] = y;
    minX = Math.min(minX, x);
    minY = Math.min(minY, y);
    maxX = Math.max(maxX, x);
    maxY = Math.max(maxY, y);
  }
  const end = pocket.length - 2;
  const found = tree.search(minX, minY, maxX, maxY, (id) => {
    const r = ringOf[id]!;
    const i = vertexOf[id]!;
    if (r === ringIndex && (i - from + n) % n <= to - from) return false;
    const x = rings[r]![2 * i]!;
    const y = rings[r]![2 * i + 1]!;
    // Rings may touch at vertices; at the chord's ends they go on doing so.
    if ((x === pocket[0] && y === pocket[1]) || (x === pocket[end] && y === pocket[end + 1])) return false;
    return windingNumber(pocket, x, y) !== 0;
  });
  return found.length > 0;
}

/** Chords that skip vertices and meet another chord elsewhere than in a common end. */
function meetingChords(chords: readonly Chord[]): Set<Chord> {
  const meeting = new Set<Chord>();
  const tree = new Flatbush(chords.length);
  const ends = chords.map(chordEnds);
  for (const [ax, ay, bx, by] of ends) {
    tree.add(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by));
  }
  tree.finish();
  chords.forEach((chord, i) => {
    if (!skips(chord)) return;
    const [ax, ay, bx, by] = ends[i]!;
    const others = tree.search(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by));
    for (const j of others) {
      if (j === i || !segmentsMeet(ends[i]!, ends[j]!)) continue;
      meeting.add(chord);
      if (skips(chords[j]!)) meeting.add(chords[j]!);
    }
  });
  return meeting;
}

type Ends = readonly [number, number, number, number];

function chordEnds({ ring, from, to }: Chord): Ends {
  const n = ring.length;
  return [ring[(2 * from) % n]!, ring[(2 * from + 1) % n]!, ring[(2 * to) % n]!, ring[(2 * to + 1) % n]!];
}

/** Whether two segments have a point in common other than one shared end. Exact. */
function segmentsMeet([ax, ay, bx, by]: Ends, [cx, cy, dx, dy]: Ends): boolean {
  const c = orient2d(ax, ay, bx, by, cx, cy);
  const d = orient2d(ax, ay, bx, by, dx, dy);
  if (c * d > 0) return false;
  if (c === 0 && d === 0) {
    // In one line: they meet when their spans overlap by more than a point.
    const along = Math.abs(bx - ax) >= Math.abs(by - ay);
    const [a, b, p, q] = along ? [ax, bx, cx, dx] : [ay, by, cy, dy];
    const low = Math.max(Math.min(a, b), Math.min(p, q));
    const high = Math.min(Math.max(a, b), Math.max(p, q));
    return low < high;
  }
  const a = orient2d(cx, cy, dx, dy, ax, ay);
  const b = orient2d(cx, cy, dx, dy, bx, by);
  if (a * b > 0) return false;
  const shared =
    (ax === cx && ay === cy) ||
    (ax === dx && ay === dy) ||
    (bx === cx && by === cy) ||
    (bx === dx && by === dy);
  return !shared;
}

function pick(ring: Ring, keep: Uint8Array): Ring {
  const out: number[] = [];
  for (let i = 0; i < keep.length; i++) if (keep[i]) out.push(ring[2 * i]!, ring[2 * i + 1]!);
  return out.length === ring.length ? ring : Float64Array.from(out);
}
