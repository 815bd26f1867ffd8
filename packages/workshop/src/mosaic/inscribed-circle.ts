/**
 * The largest circle that fits into a region with holes: its diameter is the width of the region at its widest place.
 *
 * Method: quadtree search, best cell first (the pole of inaccessibility as a branch and bound: a cell of half-diagonal h
 * whose centre lies d inside the boundary cannot hold a point deeper than d + h). Error below `precision`.
 * Cost: vertices times cells visited, usually 20 to 60 cells.
 */
import { type Point, type Region, regionBounds } from '@inlaywright/geometry';

interface Cell {
  readonly x: number;
  readonly y: number;
  readonly half: number;
  readonly depth: number;
  readonly bound: number;
}

/** Cells visited before the best so far is taken: only a hair-thin region of great length gets there. */
const MAX_CELLS = 20_000;

/**
 * @param enough stop as soon as a circle of this radius fits; the result is then a lower bound
 * @param precision the radius found is at most this much below the true one
 */
export function inscribedCircle(
  region: Region,
  enough: number = Number.POSITIVE_INFINITY,
  precision: number = 0.001,
): { readonly centre: Point; readonly radius: number } {
  const bounds = regionBounds(region);
  const width = bounds.maxX - bounds.minX;
  const height = bounds.maxY - bounds.minY;
  const size = Math.max(Math.min(width, height), Math.max(width, height) / 64);
  const heap: Cell[] = [];
  let best: Cell = { x: bounds.minX, y: bounds.minY, half: 0, depth: Number.NEGATIVE_INFINITY, bound: 0 };
  const consider = (x: number, y: number, half: number): void => {
    const depth = depthInside(region, x, y, best.depth + precision - half * Math.SQRT2);
    const cell = { x, y, half, depth, bound: depth + half * Math.SQRT2 };
    if (depth > best.depth) best = cell;
    if (cell.bound > best.depth + precision) pushCell(heap, cell);
  };
  for (let x = bounds.minX; x < bounds.maxX; x += size) {
    for (let y = bounds.minY; y < bounds.maxY; y += size) consider(x + size / 2, y + size / 2, size / 2);
  }
  for (let visited = 0; heap.length > 0 && best.depth < enough && visited < MAX_CELLS; visited++) {
    const cell = popCell(heap);
    if (cell.bound <= best.depth + precision) break;
    const half = cell.half / 2;
    consider(cell.x - half, cell.y - half, half);
    consider(cell.x + half, cell.y - half, half);
    consider(cell.x - half, cell.y + half, half);
    consider(cell.x + half, cell.y + half, half);
  }
  return { centre: { x: best.x, y: best.y }, radius: Math.max(0, best.depth) };
}

/** Distance to the boundary, positive inside; -Infinity as soon as it is known to be less than `floor`. */
function depthInside(region: Region, px: number, py: number, floor: number): number {
  const floor2 = floor > 0 ? floor * floor : 0;
  let inside = false;
  let nearest2 = Number.POSITIVE_INFINITY;
  for (const ring of region.rings) {
    const n = ring.length;
    let ax = ring[n - 2]! - px;
    let ay = ring[n - 1]! - py;
    for (let i = 0; i < n; i += 2) {
      const bx = ring[i]! - px;
      const by = ring[i + 1]! - py;
      const ex = bx - ax;
      const ey = by - ay;
      if (ay > 0 !== by > 0 && ax * ey - ay * ex > 0 === ey > 0) inside = !inside;
      const along = -(ax * ex + ay * ey);
      const length2 = ex * ex + ey * ey;
      let distance2: number;
      if (along <= 0) distance2 = ax * ax + ay * ay;
      else if (along >= length2) distance2 = bx * bx + by * by;
      else {
        const cross = ax * ey - ay * ex;
        distance2 = (cross * cross) / length2;
      }
      if (distance2 < nearest2) {
        if (distance2 < floor2) return Number.NEGATIVE_INFINITY;
        nearest2 = distance2;
      }
      ax = bx;
      ay = by;
    }
  }
  return inside ? Math.sqrt(nearest2) : -Math.sqrt(nearest2);
}

function pushCell(heap: Cell[], cell: Cell): void {
  let i = heap.length;
  heap.push(cell);
  while (i > 0) {
    const up = (i - 1) >> 1;
    if (heap[up]!.bound >= cell.bound) break;
    heap[i] = heap[up]!;
    i = up;
  }
  heap[i] = cell;
}

function popCell(heap: Cell[]): Cell {
  const top = heap[0]!;
  const last = heap.pop()!;
  if (heap.length === 0) return top;
  let i = 0;
  for (;;) {
    let child = 2 * i + 1;
    if (child >= heap.length) break;
    if (child + 1 < heap.length && heap[child + 1]!.bound > heap[child]!.bound) child++;
    if (heap[child]!.bound <= last.bound) break;
    heap[i] = heap[child]!;
    i = child;
  }
  heap[i] = last;
  return top;
}
