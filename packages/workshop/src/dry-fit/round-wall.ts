/**
 * What a round beam leaves of a part at one depth: the solid R = path ⊖ disk(h), h half the kerf there, that is all
 * points with depth d >= h, d the signed distance to the path. No offset curve is built; docs/dry-fit.md proves what
 * follows.
 *
 * - Inside R the distance to its wall is d - h, always: d has slope 1 along the segment to the nearest path point.
 * - Outside R the distance to R is h - d when the point of depth h on the line through x and its nearest path point
 *   belongs to R. Otherwise a convex corner of R stands in between, and nearest-wall-point.ts finds the distance.
 */
import { nearestOnRound } from './nearest-wall-point.ts';
import { DEPTH_SLACK_MM, depthAt, footSegment, type WrittenPath } from './written-path.ts';

export interface RoundWall {
  readonly kind: 'round';
  readonly path: WrittenPath;
  /** Half the kerf at this depth, mm. */
  readonly radiusMm: number;
}

export interface WallPoint {
  x: number;
  y: number;
  /** From the point asked about; infinite where nothing of the part is left. */
  distance: number;
}

/** Signed gap from (x, y) to the solid, mm: positive is air, negative how deep the point lies inside. */
export function gapToRound(wall: RoundWall, x: number, y: number): number {
  const { path, radiusMm: h } = wall;
  const depth = depthAt(path, x, y);
  if (depth >= h - 1e-9) return h - depth;
  // There is no path at all.
  if (depth === Number.NEGATIVE_INFINITY) return Number.POSITIVE_INFINITY;
  const px = path.foot.x;
  const py = path.foot.y;
  let nx: number;
  let ny: number;
  if (Math.abs(depth) > 1e-7) {
    nx = (x - px) / depth;
    ny = (y - py) / depth;
  } else {
    const index = footSegment(path);
    const segment = path.segments[index]!;
    if (segment.kind === 'line') {
      nx = -path.tangents[4 * index + 1]!;
      ny = path.tangents[4 * index]!;
    } else {
      const inward = segment.sweep > 0 ? -1 : 1;
      nx = (inward * (px - segment.centre.x)) / segment.radius;
      ny = (inward * (py - segment.centre.y)) / segment.radius;
    }
  }
  if (depthAt(path, px + h * nx, py + h * ny) >= h - DEPTH_SLACK_MM) return h - depth;
  return nearestOnRound(wall, x, y, found).distance;
}

const found: WallPoint = { x: 0, y: 0, distance: 0 };
