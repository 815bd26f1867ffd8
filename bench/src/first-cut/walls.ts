import Flatbush from 'flatbush';
import type { Polygon } from '../geos-plane.ts';

/**
 * Signed distance to the solid that some polygons enclose: positive inside, negative outside. Plain segments in a
 * box tree and a crossing count; shares nothing with the geometry of the product.
 */
export interface Solid {
  signedDistance(x: number, y: number): number;
  /** Distance to the boundary of a point inside; 0 outside, and where the boundary is farther than the limit. */
  depth(x: number, y: number, limit: number): number;
  readonly polygons: readonly Polygon[];
}

export function solidOf(polygons: readonly Polygon[]): Solid {
  const edges: number[] = [];
  for (const ring of polygons.flat()) {
    for (let i = 0; i < ring.length; i += 2) {
      const j = (i + 2) % ring.length;
      edges.push(ring[i]!, ring[i + 1]!, ring[j]!, ring[j + 1]!);
    }
  }
  const count = edges.length / 4;
  if (count === 0) return { polygons, signedDistance: () => Number.NEGATIVE_INFINITY, depth: () => 0 };
  const tree = new Flatbush(count);
  let right = Number.NEGATIVE_INFINITY;
  for (let e = 0; e < edges.length; e += 4) {
    const [ax, ay, bx, by] = [edges[e]!, edges[e + 1]!, edges[e + 2]!, edges[e + 3]!];
    tree.add(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by));
    right = Math.max(right, ax, bx);
  }
  tree.finish();

  const distance = (x: number, y: number): number => {
    let reach = 0.1;
    for (;;) {
      let best = Number.POSITIVE_INFINITY;
      for (const i of tree.search(x - reach, y - reach, x + reach, y + reach)) {
        best = Math.min(best, toEdge(edges, 4 * i, x, y));
      }
      if (best <= reach) return best;
      reach *= 4;
      if (reach > 1e5) return best;
    }
  };
  const inside = (x: number, y: number): boolean => {
    let crossings = 0;
    for (const i of tree.search(x, y, right + 1, y)) {
      const e = 4 * i;
      const [ax, ay, bx, by] = [edges[e]!, edges[e + 1]!, edges[e + 2]!, edges[e + 3]!];
      if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) crossings++;
    }
    return crossings % 2 === 1;
  };
  const depth = (x: number, y: number, limit: number): number => {
    let best = Number.POSITIVE_INFINITY;
    for (const i of tree.search(x - limit, y - limit, x + limit, y + limit)) {
      best = Math.min(best, toEdge(edges, 4 * i, x, y));
    }
    return best <= limit && inside(x, y) ? best : 0;
  };
  return { polygons, depth, signedDistance: (x, y) => (inside(x, y) ? 1 : -1) * distance(x, y) };
}

function toEdge(edges: readonly number[], e: number, x: number, y: number): number {
  const [ax, ay, bx, by] = [edges[e]!, edges[e + 1]!, edges[e + 2]!, edges[e + 3]!];
  const [dx, dy] = [bx - ax, by - ay];
  const square = dx * dx + dy * dy;
  const t = square === 0 ? 0 : Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / square));
  return Math.hypot(x - ax - t * dx, y - ay - t * dy);
}
