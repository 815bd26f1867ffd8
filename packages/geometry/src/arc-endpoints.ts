/**
 * Arcs given by their end points, two radii, a rotation and two flags, as path data writes them.
 *
 * Method: Scalable Vector Graphics (SVG) 2, appendix B.2.4 (conversion from endpoint to centre parameterization) and
 * B.2.5 (correction of out-of-range radii). The formulas do not care which way y points: in the frame of the numbers
 * given, `sweep` true means that the angle grows.
 */
import { type Affine, apply, compose, type Point, rotation, scaling, translation } from './point.ts';
import type { Segment } from './segment.ts';
import { ARC_AS_CUBICS_TOLERANCE, arcAsCubics } from './segment-transform.ts';

export interface EndpointArc {
  readonly from: Point;
  readonly to: Point;
  readonly rx: number;
  readonly ry: number;
  /** Angle from the x axis to the ellipse's first axis, radians. */
  readonly rotation: number;
  readonly largeArc: boolean;
  /** Whether the arc runs towards growing angles in the frame of its numbers. */
  readonly sweep: boolean;
}

/** Relative difference of the radii below which an arc counts as circular. */
const CIRCULAR_TOLERANCE = 1e-9;

/**
 * The segments of an endpoint arc: none when the ends coincide, a line when a radius is zero, one arc when both radii
 * are equal, otherwise cubics within 0.05 um (mm frame) of the ellipse. Radii too small to reach are scaled up.
 */
export function arcFromEndpoints(arc: EndpointArc): Segment[] {
  const { from, to } = arc;
  if (from.x === to.x && from.y === to.y) return [];
  let rx = Math.abs(arc.rx);
  let ry = Math.abs(arc.ry);
  if (rx === 0 || ry === 0) return [{ kind: 'line', from, to }];

  const cos = Math.cos(arc.rotation);
  const sin = Math.sin(arc.rotation);
  const halfX = (from.x - to.x) / 2;
  const halfY = (from.y - to.y) / 2;
  // On the unit circle of the ellipse's own frame: half the chord, from the end back to the start.
  let ux = (cos * halfX + sin * halfY) / rx;
  let uy = (cos * halfY - sin * halfX) / ry;
  const reach = Math.hypot(ux, uy);
  if (reach > 1) {
    rx *= reach;
    ry *= reach;
    ux /= reach;
    uy /= reach;
  }
  const chord2 = ux * ux + uy * uy;
  const height = Math.sqrt(Math.max(0, 1 - chord2) / chord2) * (arc.largeArc === arc.sweep ? -1 : 1);
  const cx = height * uy;
  const cy = -height * ux;
  const middle = { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
  const startX = ux - cx;
  const startY = uy - cy;
  const endX = -ux - cx;
  const endY = -uy - cy;
  let sweep = Math.atan2(startX * endY - startY * endX, startX * endX + startY * endY);
  if (arc.sweep && sweep < 0) sweep += 2 * Math.PI;
  if (!arc.sweep && sweep > 0) sweep -= 2 * Math.PI;

  const toPlane: Affine = compose(
    translation(middle.x, middle.y),
    compose(rotation(arc.rotation), scaling(rx, ry)),
  );
  if (Math.abs(rx - ry) <= CIRCULAR_TOLERANCE * Math.max(rx, ry)) {
    return [{ kind: 'arc', from, to, centre: apply(toPlane, { x: cx, y: cy }), radius: rx, sweep }];
  }
  const unitArc = {
    kind: 'arc',
    from: { x: startX + cx, y: startY + cy },
    to: { x: endX + cx, y: endY + cy },
    centre: { x: cx, y: cy },
    radius: 1,
    sweep,
  } as const;
  const cubics = arcAsCubics(unitArc, toPlane, ARC_AS_CUBICS_TOLERANCE);
  const last = cubics.length - 1;
  cubics[0] = { ...cubics[0]!, from };
  cubics[last] = { ...cubics[last]!, to };
  return cubics;
}
