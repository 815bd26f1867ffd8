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
  piecesOf,
  pushLine,
  pushPieces,
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
  const rows: PieceRows = [];
  curves.forEach((curve, c) => {
    curve.segments.forEach((segment, s) => {
      pushPieces(rows, segment, c, s);
    });
  });
  return finishLocator(rows);
}

/** The same over rings (x0, y0, x1, y1, ...): `curve` is the ring's number, `segment` the edge that starts at that vertex. */
export function buildRingLocator(rings: readonly Float64Array[]): Locator {
  const rows: PieceRows = [];
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
  const { pieces, tree } = locator;
  let best = -1;
  let bestSquare = limit * limit;
  const guess = hit.piece;
  if (guess >= 0 && guess < pieces.count) {
    const square = pieceDistanceSquare(pieces, guess, x, y);
    if (square <= bestSquare) {
      best = guess;
      bestSquare = square;
    }
  }
  const { boxes, firstLeaf, leafSize } = tree;
  let top = 0;
  let node = 1;
  let square = pieces.count === 0 ? Number.POSITIVE_INFINITY : boxDistanceSquare(boxes, 1, x, y);
  for (;;) {
    if (square <= bestSquare) {
      if (node >= firstLeaf) {
        const first = (node - firstLeaf) * leafSize;
        const end = Math.min(first + leafSize, pieces.count);
        for (let i = first; i < end; i++) {
          const d = pieceDistanceSquare(pieces, i, x, y);
          if (d < bestSquare || (d === bestSquare && (best < 0 || i < best))) {
            bestSquare = d;
            best = i;
          }
        }
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
    if (top === 0) break;
    node = stackNode[--top]!;
    square = stackSquare[top]!;
  }
  if (best < 0) {
    Object.assign(hit, nearestHit());
    return false;
  }
  fillHit(pieces, best, x, y, hit);
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
  let winding = 0;
  searchBox(tree, x, y, Number.POSITIVE_INFINITY, y, (first, end) => {
    for (let i = first; i < end; i++) winding += crossing(pieces, i, x, y);
  });
  return winding;
}

/** Segments whose box touches the given box, as pairs, in order, each once. */
export function segmentsInBox(locator: Locator, box: Bounds): { curve: number; segment: number }[] {
  const { pieces } = locator;
  const found: { curve: number; segment: number }[] = [];
  const hits = piecesInBox(locator, box);
  for (const i of hits) {
    const last = found[found.length - 1];
    const curve = pieces.curve[i]!;
    const segment = pieces.segment[i]!;
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
  const half = pieces.half[i]!;
  const x0 = pieces.x0[i]!;
  const y0 = pieces.y0[i]!;
  const x1 = pieces.x1[i]!;
  const y1 = pieces.y1[i]!;
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
    const cx = pieces.cx[i]!;
    const cy = pieces.cy[i]!;
    const r = pieces.r[i]!;
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
  hit.curve = pieces.curve[i]!;
  hit.segment = pieces.segment[i]!;
  const t0 = pieces.t0[i]!;
  const t1 = pieces.t1[i]!;
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
