/**
 * Nearest-point and inside queries over the segments of many curves.
 *
 * Each segment is cut into pieces, a line or an arc that does not turn back in y (so at most a half turn), and the
 * pieces are kept in flat arrays under a static tree of boxes. Distances to lines and arcs are exact; cubics are
 * replaced by chords within 0.05 um. Insideness counts crossings of a level ray with half-open ends, so that a joint is
 * counted once whatever the rounding; only points within rounding error of a curve may come out either way.
 *
 * Cost: build n log n, a query about log n. `nearestInto` writes into a result the caller keeps and allocates nothing.
 */
import { type Bounds, emptyBounds } from './bounds.ts';
import type { Curve } from './curve.ts';
import {
  crossing,
  type PieceRows,
  type Pieces,
  pieceDistanceSquare,
  pieceRows,
  piecesOf,
  pushLine,
  pushPieces,
  ROW,
  setPieceBox,
} from './locate-pieces.ts';
import { buildTree, type PieceTree, searchBox } from './piece-tree.ts';
import type { Point } from './point.ts';

/** Spatial index over the segments of curves. Build with `buildLocator`; ask with the functions of this file. */
export interface Locator {
  readonly bounds: Bounds;
  readonly pieces: Pieces;
  readonly tree: PieceTree;
}

/** A place on a curve nearest to a point. All -1, infinite and NaN when there is none. */
export interface NearestHit {
  distance: number;
  curve: number;
  segment: number;
  /** Parameter on the segment: exact on lines and arcs, linear between the chord's ends on cubics. */
  t: number;
  point: { x: number; y: number };
  piece: number;
}

export function nearestHit(): NearestHit {
  return {
    distance: Number.POSITIVE_INFINITY,
    curve: -1,
    segment: -1,
    t: Number.NaN,
    point: { x: Number.NaN, y: Number.NaN },
    piece: -1,
  };
}

/** Builds the index. Curves may be open chains of segments where only distances are asked for. */
export function buildLocator(curves: readonly Curve[]): Locator {
  const rows = pieceRows(curves.reduce((sum, curve) => sum + curve.segments.length, 0));
  curves.forEach((curve, c) => {
    curve.segments.forEach((segment, s) => {
      pushPieces(rows, segment, c, s);
    });
  });
  return finishLocator(rows);
}

/** The same over rings (x0, y0, x1, y1, ...): `curve` is the ring's number, `segment` the edge that starts at that vertex. */
export function buildRingLocator(rings: readonly Float64Array[]): Locator {
  const rows = pieceRows(rings.reduce((sum, ring) => sum + (ring.length >> 1), 0));
  rings.forEach((ring, c) => {
    const n = ring.length >> 1;
    for (let i = 0; i < n; i++) {
      const j = i + 1 === n ? 0 : i + 1;
      pushLine(rows, ring[2 * i]!, ring[2 * i + 1]!, ring[2 * j]!, ring[2 * j + 1]!, c, i, 0, 1);
    }
  });
  return finishLocator(rows);
}

function finishLocator(rows: PieceRows): Locator {
  const pieces = piecesOf(rows);
  const { count } = pieces;
  const tree = buildTree(count, (i, box) => setPieceBox(pieces, i, box));
  const bounds: Bounds =
    count === 0
      ? emptyBounds
      : { minX: tree.boxes[4]!, minY: tree.boxes[5]!, maxX: tree.boxes[6]!, maxY: tree.boxes[7]! };
  return { bounds, pieces, tree };
}

/** The place nearest to `p`, nothing farther than `limit`. Ties go to the lowest curve, then segment. */
export function nearest(locator: Locator, p: Point, limit: number = Number.POSITIVE_INFINITY): NearestHit {
  const hit = nearestHit();
  nearestInto(locator, p.x, p.y, hit, limit);
  return hit;
}

/**
 * Writes the place nearest to (x, y) into `hit` and returns whether there is one within `limit`. What `hit` held is
 * used as a first guess, so successive queries along a path are faster with the same `hit`; the result does not
 * depend on it.
 */
export function nearestInto(
  locator: Locator,
  x: number,
  y: number,
  hit: NearestHit,
  limit: number = Number.POSITIVE_INFINITY,
): boolean {
  const best = nearestPiece(locator, x, y, hit.piece, limit);
  if (best < 0) {
    Object.assign(hit, nearestHit());
    return false;
  }
  fillHit(locator.pieces, best, x, y, hit);
  return true;
}

/**
 * Number of the nearest piece, or -1; any piece within `enough` will do where there is one. Starts at the leaf of the guess, if there is one, and climbs from there: after the
 * first piece the best distance is almost that of the end, and most sisters on the way up are turned down by their box.
 */
function nearestPiece(
  locator: Locator,
  x: number,
  y: number,
  guess: number,
  limit: number,
  enough: number = 0,
): number {
  const enoughSquare = enough > 0 ? enough * enough : -1;
  const { pieces, tree } = locator;
  const { boxes, firstLeaf, leafSize } = tree;
  const { count } = pieces;
  if (count === 0) return -1;
  let best = -1;
  let bestSquare = limit * limit;
  let climb = 1;
  if (guess >= 0 && guess < count) {
    const square = pieceDistanceSquare(pieces, guess, x, y);
    if (square <= bestSquare) {
      best = guess;
      bestSquare = square;
      if (square <= enoughSquare) return best;
    }
    climb = firstLeaf + Math.floor(guess / leafSize);
  }
  let node = climb;
  let square = boxDistanceSquare(boxes, node, x, y);
  let top = 0;
  for (;;) {
    if (square <= bestSquare) {
      if (node >= firstLeaf) {
        const first = (node - firstLeaf) * leafSize;
        const end = Math.min(first + leafSize, count);
        for (let i = first; i < end; i++) {
          const d = pieceDistanceSquare(pieces, i, x, y);
          if (d < bestSquare || (d === bestSquare && (best < 0 || i < best))) {
            bestSquare = d;
            best = i;
          }
        }
        if (bestSquare <= enoughSquare && best >= 0) return best;
      } else {
        let near = 2 * node;
        let far = near + 1;
        let nearSquare = boxDistanceSquare(boxes, near, x, y);
        let farSquare = boxDistanceSquare(boxes, far, x, y);
        if (farSquare < nearSquare) {
          [near, far] = [far, near];
          [nearSquare, farSquare] = [farSquare, nearSquare];
        }
        if (farSquare <= bestSquare) {
          stackNode[top] = far;
          stackSquare[top++] = farSquare;
        }
        node = near;
        square = nearSquare;
        continue;
      }
    }
    if (top > 0) {
      node = stackNode[--top]!;
      square = stackSquare[top]!;
    } else {
      do {
        if (climb === 1) return best;
        node = climb ^ 1;
        climb >>= 1;
        square = boxDistanceSquare(boxes, node, x, y);
      } while (square > bestSquare);
    }
  }
}

/**
 * Distance from (x, y) to the curves where it lies between `enough` and `limit`: any number up to `enough` stands for
 * one below it, infinity for one beyond `limit`. The search ends as soon as that is settled. `guess.piece` is the first
 * guess and is set to the last piece found, as in `nearestInto`.
 */
export function roughDistance(
  locator: Locator,
  x: number,
  y: number,
  guess: { piece: number },
  enough: number,
  limit: number = Number.POSITIVE_INFINITY,
): number {
  const piece = nearestPiece(locator, x, y, guess.piece, limit, enough);
  if (piece < 0) return Number.POSITIVE_INFINITY;
  guess.piece = piece;
  return Math.sqrt(pieceDistanceSquare(locator.pieces, piece, x, y));
}

/** The place nearest to a point, in few numbers. */
export interface Foot {
  distance: number;
  x: number;
  y: number;
  piece: number;
  curve: number;
  segment: number;
  /**
   * +1 where the point lies on the left of the segment and -1 on the right, by the perpendicular; 0 where it lies on the
   * segment, or the place is an end of a line, an arc or a part of one, and nothing simple can be said.
   */
  side: -1 | 0 | 1;
}

export function emptyFoot(): Foot {
  return {
    distance: Number.POSITIVE_INFINITY,
    x: Number.NaN,
    y: Number.NaN,
    piece: -1,
    curve: -1,
    segment: -1,
    side: 0,
  };
}

/**
 * Writes the foot of (x, y) on the curves into `foot` and returns whether there is one. What `foot` held is the first
 * guess, as in `nearestInto`, of which this is the quicker form: no parameter is computed, so arcs need no angles.
 */
export function footInto(locator: Locator, x: number, y: number, foot: Foot): boolean {
  const { pieces } = locator;
  const i = nearestPiece(locator, x, y, foot.piece, Number.POSITIVE_INFINITY);
  if (i < 0) {
    Object.assign(foot, emptyFoot());
    return false;
  }
  foot.piece = i;
  foot.curve = pieces.ids[2 * i]!;
  foot.segment = pieces.ids[2 * i + 1]!;
  const { rows } = pieces;
  const at = ROW * i;
  const half = rows[at + 7]!;
  const x0 = rows[at]!;
  const y0 = rows[at + 1]!;
  const x1 = rows[at + 2]!;
  const y1 = rows[at + 3]!;
  if (half === 0) {
    const ux = x1 - x0;
    const uy = y1 - y0;
    const square = ux * ux + uy * uy;
    const along = (x - x0) * ux + (y - y0) * uy;
    if (along > 0 && along < square) {
      const share = along / square;
      const cross = ux * (y - y0) - uy * (x - x0);
      foot.x = x0 + share * ux;
      foot.y = y0 + share * uy;
      foot.distance = Math.sqrt((cross * cross) / square);
      foot.side = cross > 0 ? 1 : cross < 0 ? -1 : 0;
      return true;
    }
  } else {
    const cx = rows[at + 4]!;
    const cy = rows[at + 5]!;
    const r = rows[at + 6]!;
    const dx = x - cx;
    const dy = y - cy;
    const d = Math.sqrt(dx * dx + dy * dy);
    if (half * dx >= 0 && d > 0) {
      const qy = cy + (r * dy) / d;
      if (y0 < y1 ? qy >= y0 && qy <= y1 : qy >= y1 && qy <= y0) {
        foot.x = cx + (r * dx) / d;
        foot.y = qy;
        foot.distance = Math.abs(d - r);
        // An arc on the right of its centre that goes up runs counter-clockwise, with the centre on its left.
        const within = d < r ? 1 : d > r ? -1 : 0;
        foot.side = qy === y0 || qy === y1 ? 0 : half > 0 === y0 < y1 ? within : (-within as -1 | 0 | 1);
        return true;
      }
    }
  }
  const a = (x - x0) * (x - x0) + (y - y0) * (y - y0);
  const b = (x - x1) * (x - x1) + (y - y1) * (y - y1);
  foot.x = b < a ? x1 : x0;
  foot.y = b < a ? y1 : y0;
  foot.distance = Math.sqrt(Math.min(b, a));
  foot.side = 0;
  return true;
}

const stackNode = new Int32Array(64);
const stackSquare = new Float64Array(64);

export interface SignedHit {
  /** Distance to the nearest curve, negative inside. Infinite when the locator is empty. */
  readonly distance: number;
  readonly inside: boolean;
  readonly winding: number;
  readonly nearest: NearestHit;
}

/** Distance to the curves, negative where the winding number is not zero. */
export function signedDistance(locator: Locator, p: Point): SignedHit {
  const hit = nearest(locator, p);
  const winding = windingNumber(locator, p);
  const inside = winding !== 0;
  return { distance: inside ? -hit.distance : hit.distance, inside, winding, nearest: hit };
}

/** How often the curves go round `p` counter-clockwise. On a curve itself the value is that of one of its sides. */
export function windingNumber(locator: Locator, p: Point): number {
  return windingAt(locator, p.x, p.y);
}

/** `windingNumber` without a point object. */
export function windingAt(locator: Locator, x: number, y: number): number {
  const { pieces, tree } = locator;
  if (pieces.count === 0) return 0;
  const { boxes, firstLeaf, leafSize } = tree;
  let winding = 0;
  let top = 1;
  stackNode[0] = 1;
  while (top > 0) {
    const node = stackNode[--top]!;
    const at = 4 * node;
    if (boxes[at + 1]! > y || boxes[at + 2]! < x || boxes[at + 3]! < y) continue;
    if (node < firstLeaf) {
      stackNode[top++] = 2 * node;
      stackNode[top++] = 2 * node + 1;
      continue;
    }
    const first = (node - firstLeaf) * leafSize;
    const end = Math.min(first + leafSize, pieces.count);
    for (let i = first; i < end; i++) winding += crossing(pieces, i, x, y);
  }
  return winding;
}

/** Segments whose box touches the given box, as pairs, in order, each once. */
export function segmentsInBox(locator: Locator, box: Bounds): { curve: number; segment: number }[] {
  const { pieces } = locator;
  const found: { curve: number; segment: number }[] = [];
  const hits = piecesInBox(locator, box);
  for (const i of hits) {
    const last = found[found.length - 1];
    const curve = pieces.ids[2 * i]!;
    const segment = pieces.ids[2 * i + 1]!;
    if (last?.curve !== curve || last.segment !== segment) found.push({ curve, segment });
  }
  return found;
}

/** For every segment that comes within `distance` of `p`: its place nearest to `p`, in order of curve and segment. */
export function pointsWithin(locator: Locator, p: Point, distance: number): NearestHit[] {
  const { pieces } = locator;
  const found: NearestHit[] = [];
  const box = { minX: p.x - distance, minY: p.y - distance, maxX: p.x + distance, maxY: p.y + distance };
  for (const i of piecesInBox(locator, box)) {
    if (pieceDistanceSquare(pieces, i, p.x, p.y) > distance * distance) continue;
    const hit = nearestHit();
    fillHit(pieces, i, p.x, p.y, hit);
    const last = found[found.length - 1];
    if (last?.curve !== hit.curve || last.segment !== hit.segment) found.push(hit);
    else if (hit.distance < last.distance) found[found.length - 1] = hit;
  }
  return found;
}

const pieceBox = { minX: 0, minY: 0, maxX: 0, maxY: 0 };

function piecesInBox(locator: Locator, box: Bounds): number[] {
  const { pieces, tree } = locator;
  const found: number[] = [];
  if (pieces.count === 0) return found;
  searchBox(tree, box.minX, box.minY, box.maxX, box.maxY, (first, end) => {
    for (let i = first; i < end; i++) {
      setPieceBox(pieces, i, pieceBox);
      const { minX, minY, maxX, maxY } = pieceBox;
      if (minX <= box.maxX && maxX >= box.minX && minY <= box.maxY && maxY >= box.minY) found.push(i);
    }
  });
  return found.sort((a, b) => a - b);
}

function fillHit(pieces: Pieces, i: number, x: number, y: number, hit: NearestHit): void {
  const { rows, ids, ends } = pieces;
  const at = ROW * i;
  const half = rows[at + 7]!;
  const x0 = rows[at]!;
  const y0 = rows[at + 1]!;
  const x1 = rows[at + 2]!;
  const y1 = rows[at + 3]!;
  let share = 0;
  let qx = x0;
  let qy = y0;
  let distance = Number.NaN;
  if (half === 0) {
    const ux = x1 - x0;
    const uy = y1 - y0;
    const square = ux * ux + uy * uy;
    share = square === 0 ? 0 : Math.min(1, Math.max(0, ((x - x0) * ux + (y - y0) * uy) / square));
    qx = share === 1 ? x1 : x0 + share * ux;
    qy = share === 1 ? y1 : y0 + share * uy;
  } else {
    const cx = rows[at + 4]!;
    const cy = rows[at + 5]!;
    const r = rows[at + 6]!;
    const dx = x - cx;
    const dy = y - cy;
    const d = Math.sqrt(dx * dx + dy * dy);
    const projected = cy + (r * dy) / d;
    if (
      half * dx >= 0 &&
      d > 0 &&
      (y0 < y1 ? projected >= y0 && projected <= y1 : projected >= y1 && projected <= y0)
    ) {
      qx = cx + (r * dx) / d;
      qy = projected;
      distance = Math.abs(d - r);
      const whole = sweepWithin(x0 - cx, y0 - cy, x1 - cx, y1 - cy);
      share = whole === 0 ? 0 : Math.min(1, sweepWithin(x0 - cx, y0 - cy, dx, dy) / whole);
    } else if ((x - x1) ** 2 + (y - y1) ** 2 < (x - x0) ** 2 + (y - y0) ** 2) {
      qx = x1;
      qy = y1;
      share = 1;
    }
  }
  hit.piece = i;
  hit.curve = ids[2 * i]!;
  hit.segment = ids[2 * i + 1]!;
  const t0 = ends[2 * i]!;
  const t1 = ends[2 * i + 1]!;
  hit.t = share === 1 ? t1 : t0 + share * (t1 - t0);
  hit.point.x = qx;
  hit.point.y = qy;
  hit.distance = Number.isNaN(distance) ? Math.sqrt((x - qx) ** 2 + (y - qy) ** 2) : distance;
}

/** Unsigned angle between two vectors, 0..pi. */
function sweepWithin(ax: number, ay: number, bx: number, by: number): number {
  return Math.abs(Math.atan2(ax * by - ay * bx, ax * bx + ay * by));
}

function boxDistanceSquare(boxes: Float64Array, node: number, x: number, y: number): number {
  const at = 4 * node;
  const dx = Math.max(boxes[at]! - x, 0, x - boxes[at + 2]!);
  const dy = Math.max(boxes[at + 1]! - y, 0, y - boxes[at + 3]!);
  return dx * dx + dy * dy;
}
