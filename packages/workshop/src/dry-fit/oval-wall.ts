/**
 * What a beam leaves of a part at one depth when its kerf differs between the two axes of the machine: the solid
 * R = path ⊖ ellipse. Distances to such a wall are not a function of the distance to the path, so the wall is built as
 * polygons by the region kernel, in the frame of the sheet where the ellipse stands upright, and brought back into the
 * frame of the drawing.
 */
import {
  type Affine,
  apply,
  buildRingLocator,
  type Curve,
  type Locator,
  type NearestHit,
  nearestHit,
  nearestInto,
  offsetEllipse,
  type Region,
  regionFromCurves,
  windingAt,
} from '@inlaywright/geometry';
import type { WallPoint } from './round-wall.ts';

/** Chord error of the path and arc error of its offset, mm: together they keep a wall within 0.5 um. */
const OVAL_TOLERANCE_MM = 0.00025;
/** A kerf narrower than this in one axis counts as this, mm: the ellipse must not be flat. */
const THINNEST_MM = 0.001;

export interface OvalWall {
  readonly kind: 'oval';
  /** Half the kerf along the axes of the machine, mm. */
  readonly rx: number;
  readonly ry: number;
  /** From the drawing to the sheet; its linear part turns and mirrors only. */
  readonly toSheet: Affine;
  /** The wall in the frame of the drawing, solid on the left. */
  readonly rings: readonly Float64Array[];
  readonly locator: Locator;
  readonly hit: NearestHit;
}

/**
 * The inside of beam paths in the frame of the sheet.
 * @throws GeometryError kernel-closed when the region kernel was not opened
 */
export function pathRegion(curves: readonly Curve[]): Region {
  return regionFromCurves(curves, 'nonzero', OVAL_TOLERANCE_MM);
}

/** @param path the inside of the beam paths, in the frame of the sheet */
export function ovalWall(path: Region, rx: number, ry: number, toSheet: Affine, toDrawing: Affine): OvalWall {
  const half = { rx: Math.max(rx, THINNEST_MM / 2), ry: Math.max(ry, THINNEST_MM / 2) };
  // A mirror image runs its rings the other way round.
  const mirrors = toDrawing.a * toDrawing.d - toDrawing.b * toDrawing.c < 0;
  const solid = offsetEllipse(path, half.rx, half.ry, -1, { tolerance: OVAL_TOLERANCE_MM });
  const rings = solid.rings.map((ring) => {
    const moved = new Float64Array(ring.length);
    for (let i = 0; i < ring.length; i += 2) {
      const p = apply(toDrawing, { x: ring[i]!, y: ring[i + 1]! });
      const at = mirrors ? ring.length - 2 - i : i;
      moved[at] = p.x;
      moved[at + 1] = p.y;
    }
    return moved;
  });
  return { kind: 'oval', ...half, toSheet, rings, locator: buildRingLocator(rings), hit: nearestHit() };
}

/**
 * From a point of the path to the wall point that faces the same way: the point of the ellipse whose outward normal is
 * the given unit normal, (rx^2 nx, ry^2 ny) / sqrt(rx^2 nx^2 + ry^2 ny^2) in the frame of the sheet.
 */
export function ovalReach(wall: OvalWall, nx: number, ny: number, out: Float64Array): void {
  const { a, b, c, d } = wall.toSheet;
  const sx = a * nx + c * ny;
  const sy = b * nx + d * ny;
  const ux = wall.rx * wall.rx * sx;
  const uy = wall.ry * wall.ry * sy;
  const size = Math.sqrt(ux * sx + uy * sy);
  // The linear part is orthogonal: its transpose is its inverse.
  out[0] = (a * ux + b * uy) / size;
  out[1] = (c * ux + d * uy) / size;
}

/** Signed gap from (x, y) to the solid, mm: positive is air, negative how deep the point lies inside. */
export function gapToOval(wall: OvalWall, x: number, y: number): number {
  const { hit } = wall;
  if (!nearestInto(wall.locator, x, y, hit)) return Number.POSITIVE_INFINITY;
  const inside =
    hit.t > 0 && hit.t < 1
      ? isLeftOf(wall.rings[hit.curve]!, hit, x, y)
      : windingAt(wall.locator, x, y) !== 0;
  return inside ? -hit.distance : hit.distance;
}

/** The side of the nearest edge tells, unless the nearest place is a vertex: rings may touch at vertices. */
function isLeftOf(ring: Float64Array, hit: NearestHit, x: number, y: number): boolean {
  const i = 2 * hit.segment;
  const j = (i + 2) % ring.length;
  return (ring[j]! - ring[i]!) * (y - ring[i + 1]!) - (ring[j + 1]! - ring[i + 1]!) * (x - ring[i]!) > 0;
}

export function nearestOnOval(wall: OvalWall, x: number, y: number, out: WallPoint): WallPoint {
  const some = nearestInto(wall.locator, x, y, wall.hit);
  out.x = some ? wall.hit.point.x : x;
  out.y = some ? wall.hit.point.y : y;
  out.distance = wall.hit.distance;
  return out;
}
