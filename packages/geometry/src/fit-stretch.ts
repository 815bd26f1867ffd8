/**
 * The ring as the refit sees it: thinned of vertices on straight runs, and cut into stretches between its corners.
 */

/** An open chain of points, or a smooth loop whose last point repeats its first. */
export interface Stretch {
  /** Number of points; there is one edge less. */
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Length of the edge that starts at each point. */
  readonly length: Float64Array;
  /** Path length up to each point. */
  readonly path: Float64Array;
  /** Signed turn at each point, radians; 0 at the ends of an open chain. */
  readonly turn: Float64Array;
  readonly closed: boolean;
}

/** The direction turn from one vector to the next, -pi..pi. */
export function turnBetween(ax: number, ay: number, bx: number, by: number): number {
  return Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
}

/**
 * Leaves out vertices that lie within `slack` of the straight line between those kept, and repeated ones. Each dropped
 * run is checked by the cone of directions from its first vertex that stay within `slack` of all its points.
 */
export function thinRing(ring: Float64Array, slack: number): Float64Array {
  const n = ring.length >> 1;
  const start = sharpestVertex(ring);
  const kept: number[] = [];
  let ax = ring[2 * start]!;
  let ay = ring[2 * start + 1]!;
  kept.push(ax, ay);
  let lastX = ax;
  let lastY = ay;
  // Cone bounds: right and left; an unset cone admits every direction.
  let rightX = 0;
  let rightY = 0;
  let leftX = 0;
  let leftY = 0;
  let isSet = false;
  for (let k = 1; k <= n; k++) {
    const at = 2 * ((start + k) % n);
    const x = ring[at]!;
    const y = ring[at + 1]!;
    let vx = x - ax;
    let vy = y - ay;
    const ahead = (x - lastX) * vx + (y - lastY) * vy > 0;
    if (isSet && !(ahead && rightX * vy - rightY * vx >= 0 && vx * leftY - vy * leftX >= 0)) {
      ax = lastX;
      ay = lastY;
      kept.push(ax, ay);
      isSet = false;
      vx = x - ax;
      vy = y - ay;
    }
    const size = Math.hypot(vx, vy);
    if (size <= slack) {
      // Too near to give a direction: dropped when the next ones say so, within slack of the anchor either way.
      lastX = isSet ? x : ax;
      lastY = isSet ? y : ay;
      continue;
    }
    const nx = (-vy / size) * slack;
    const ny = (vx / size) * slack;
    if (!isSet) {
      rightX = vx - nx;
      rightY = vy - ny;
      leftX = vx + nx;
      leftY = vy + ny;
      isSet = true;
    } else {
      if (rightX * (vy - ny) - rightY * (vx - nx) > 0) {
        rightX = vx - nx;
        rightY = vy - ny;
      }
      if (leftX * (vy + ny) - leftY * (vx + nx) < 0) {
        leftX = vx + nx;
        leftY = vy + ny;
      }
    }
    lastX = x;
    lastY = y;
  }
  return Float64Array.from(kept);
}

/** The vertex that stands highest over the line through its neighbours: surely not one to be thinned. */
function sharpestVertex(ring: Float64Array): number {
  const n = ring.length >> 1;
  let best = 0;
  let bestHeight = -1;
  for (let i = 0; i < n; i++) {
    const p = 2 * ((i + n - 1) % n);
    const q = 2 * ((i + 1) % n);
    const ux = ring[q]! - ring[p]!;
    const uy = ring[q + 1]! - ring[p + 1]!;
    const vx = ring[2 * i]! - ring[p]!;
    const vy = ring[2 * i + 1]! - ring[p + 1]!;
    const base = Math.hypot(ux, uy);
    const height = base === 0 ? Math.hypot(vx, vy) : Math.abs(ux * vy - uy * vx) / base;
    if (height > bestHeight) {
      bestHeight = height;
      best = i;
    }
  }
  return best;
}

/** Points `first` to `first + edges` of a cyclic list as a stretch of their own. */
export function cutStretch(ring: Float64Array, first: number, edges: number, closed: boolean): Stretch {
  const n = ring.length >> 1;
  const count = edges + 1;
  const x = new Float64Array(count);
  const y = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const at = 2 * ((first + i) % n);
    x[i] = ring[at]!;
    y[i] = ring[at + 1]!;
  }
  const length = new Float64Array(count);
  const path = new Float64Array(count);
  const turn = new Float64Array(count);
  for (let i = 0; i < edges; i++) {
    length[i] = Math.hypot(x[i + 1]! - x[i]!, y[i + 1]! - y[i]!);
    path[i + 1] = path[i]! + length[i]!;
  }
  for (let i = 1; i < edges; i++) {
    turn[i] = turnBetween(x[i]! - x[i - 1]!, y[i]! - y[i - 1]!, x[i + 1]! - x[i]!, y[i + 1]! - y[i]!);
  }
  if (closed) {
    const e = edges;
    turn[0] = turnBetween(x[e]! - x[e - 1]!, y[e]! - y[e - 1]!, x[1]! - x[0]!, y[1]! - y[0]!);
    turn[e] = turn[0]!;
  }
  return { count, x, y, length, path, turn, closed };
}

/**
 * Sagitta of an edge, as a share of the tolerance, up to which it may be a chord of a smooth curve. Flattening and offsetting
 * leave a third of the usual tolerance, times (r + d) / r where a curve of radius r was offset by d.
 */
export const CHORD_SHARE = 0.8;

/** A corner holds more than this share of the turn around it; on an evenly stepped smooth curve a vertex holds a third. */
const CORNER_SHARE = 0.6;
/** The inner part of the window is this much shorter than the window. */
const CORNER_CORE = 8;
/** Growth of the window from look to look. */
const CORNER_GROWTH = 1.4;
/** Vertices looked at on each side of a candidate corner. */
const CORNER_REACH = 24;
/** Turns below this are no corners, whatever their surroundings. */
const LEAST_CORNER_TURN = 0.004;

/**
 * Vertices of the ring that are corners. Around each vertex the window grows until the vertex stands over its chord by
 * more than evenly stepped chords of a smooth curve let it within one edge (four sagittas); it is a corner when the inner
 * eighth of the window then holds most of the turn.
 */
export function findCorners(loop: Stretch, tolerance: number): number[] {
  const height = 4 * CHORD_SHARE * tolerance;
  const { turn, length } = loop;
  const n = loop.count - 1;
  const corners: number[] = [];
  const longest = loop.path[n]! / 4;
  for (let i = 0; i < n; i++) {
    const size = Math.abs(turn[i]!);
    if (size < LEAST_CORNER_TURN) continue;
    const m = Math.min(length[i]!, length[(i + n - 1) % n]!);
    // Within its own edges a vertex stands w sin(turn / 2) over the window: growing starts where that is known to fall short.
    if (
      m * Math.sin(size / 2) >= height ||
      isCorner(loop, i, height, Math.max(1.01 * m, height / 2), longest)
    ) {
      corners.push(i);
    }
  }
  return corners;
}

function isCorner(loop: Stretch, i: number, height: number, first: number, longest: number): boolean {
  const { x, y, turn, length } = loop;
  const n = loop.count - 1;
  const px = x[i]!;
  const py = y[i]!;
  for (let w = first; w <= longest; w *= CORNER_GROWTH) {
    const sharpest = Math.abs(turn[i]!);
    let inner = turn[i]!;
    let total = sharpest;
    let isOutdone = false;
    let ax = px;
    let ay = py;
    let bx = px;
    let by = py;
    for (let side = 0; side < 2; side++) {
      let at = i;
      let left = w;
      for (let k = 0; ; k++) {
        const next = side === 1 ? (at + 1 === n ? 0 : at + 1) : at === 0 ? n - 1 : at - 1;
        const size = length[side === 1 ? at : next]!;
        if (size >= left) {
          const share = left / size;
          const ex = x[at]! + (x[next]! - x[at]!) * share;
          const ey = y[at]! + (y[next]! - y[at]!) * share;
          if (side === 0) {
            ax = ex;
            ay = ey;
          } else {
            bx = ex;
            by = ey;
          }
          break;
        }
        if (k >= CORNER_REACH) return false;
        left -= size;
        at = next;
        const turned = Math.abs(turn[at]!);
        total += turned;
        if (w - left < w / CORNER_CORE) {
          inner += turn[at]!;
          // A corner cut into several vertices is made at the sharpest of them, the first of equals.
          if (turned > sharpest || (turned === sharpest && side === 0)) isOutdone = true;
        }
      }
    }
    const ux = bx - ax;
    const uy = by - ay;
    const base = Math.sqrt(ux * ux + uy * uy);
    const stand =
      base < w / 8 ? Math.hypot(px - ax, py - ay) : Math.abs(ux * (py - ay) - uy * (px - ax)) / base;
    if (stand >= height) return !isOutdone && Math.abs(inner) > CORNER_SHARE * total;
  }
  return false;
}
