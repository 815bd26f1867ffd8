import { nearestOnRound } from './nearest-wall-point.ts';
import { gapToOval, nearestOnOval, type OvalWall, ovalReach } from './oval-wall.ts';
import { gapToRound, type RoundWall, type WallPoint } from './round-wall.ts';
import type { WrittenPath } from './written-path.ts';
import { DEPTH_SLACK_MM, depthAt, distanceTo } from './written-path.ts';

/** The wall of a part at one depth. */
export type Wall = RoundWall | OvalWall;

/** A place on an oval wall may be off its polygon by this much, mm: chord errors of path and offset. */
const OVAL_SLACK_MM = 0.001;

const offset = new Float64Array(2);

/**
 * The wall point that faces a place of the path: (x, y) with inward unit normal (nx, ny), `mitre` half kerfs in. Returns
 * whether it is one; where the wall has a sharp corner the straight way in overshoots it.
 */
export function facingPoint(
  wall: Wall,
  path: WrittenPath,
  x: number,
  y: number,
  nx: number,
  ny: number,
  mitre: number,
  out: WallPoint,
): boolean {
  out.distance = 0;
  if (wall.kind === 'round') {
    const h = wall.radiusMm;
    out.x = x + mitre * h * nx;
    out.y = y + mitre * h * ny;
    if (h === 0) return true;
    // No other path lies across the straight way in, or it would be nearer than h: the side needs no look.
    const depth = mitre === 1 ? distanceTo(path, out.x, out.y) : depthAt(path, out.x, out.y);
    return Math.abs(depth - h) <= DEPTH_SLACK_MM;
  }
  ovalReach(wall, nx, ny, offset);
  out.x = x + mitre * offset[0]!;
  out.y = y + mitre * offset[1]!;
  return Math.abs(gapToOval(wall, out.x, out.y)) <= OVAL_SLACK_MM;
}

/** Signed gap from (x, y) to the solid behind the wall, mm: positive is air, negative the depth inside. */
export function gapTo(wall: Wall, x: number, y: number): number {
  return wall.kind === 'round' ? gapToRound(wall, x, y) : gapToOval(wall, x, y);
}

/** The point of the wall nearest to a point outside the solid; distance infinite where nothing is left. */
export function nearestOnWall(wall: Wall, x: number, y: number, out: WallPoint): WallPoint {
  return wall.kind === 'round' ? nearestOnRound(wall, x, y, out) : nearestOnOval(wall, x, y, out);
}
