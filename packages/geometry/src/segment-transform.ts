/**
 * Segments under affine maps. Lines and cubics map by their points. Arcs stay arcs under similarities (turns, moves,
 * uniform scalings, mirrors); any other map turns the circle into an ellipse, which is written as cubics.
 *
 * Error of the usual cubic with handles 4/3 tan(angle/4) for a circular arc: never inside the circle, outside by at
 * most 2/27 sin^6(angle/4) / cos^2(angle/4) of the radius (Goldapp, Approximation of circular arcs by cubic
 * polynomials, CAGD 8, 1991, from memory; the tests measure it). It falls with the sixth power of the angle.
 */
import { type Affine, apply, determinant, type Point } from './point.ts';
import { type ArcSegment, type CubicSegment, type Segment, startAngle } from './segment.ts';

/** Greatest distance between a mapped arc and the cubics that stand for it: 0.05 um in mm, a tenth of the flattening tolerance. */
export const ARC_AS_CUBICS_TOLERANCE = 0.00005;

/** Relative difference of a map's two scale factors below which circles count as staying circles: 1 nm at r = 1 m. */
const SIMILARITY_TOLERANCE = 1e-9;

/** The image of a segment: itself one segment, except for an arc under a map that is not a similarity. */
export function transformSegment(segment: Segment, m: Affine): Segment[] {
  const from = apply(m, segment.from);
  const to = apply(m, segment.to);
  switch (segment.kind) {
    case 'line':
      return [{ kind: 'line', from, to }];
    case 'cubic':
      return [{ kind: 'cubic', from, c1: apply(m, segment.c1), c2: apply(m, segment.c2), to }];
    case 'arc': {
      if (isSimilarity(m)) {
        const det = determinant(m);
        return [
          {
            kind: 'arc',
            from,
            to,
            centre: apply(m, segment.centre),
            radius: segment.radius * Math.sqrt(Math.abs(det)),
            sweep: det < 0 ? -segment.sweep : segment.sweep,
          },
        ];
      }
      return arcAsCubics(segment, m, ARC_AS_CUBICS_TOLERANCE);
    }
  }
}

/** Whether the map keeps every shape, apart from size, place, turn and mirroring. */
export function isSimilarity(m: Affine): boolean {
  const { large, small } = scaleFactors(m);
  return large - small <= SIMILARITY_TOLERANCE * large;
}

/** The singular values of the map: how much it stretches in its two principal directions. */
export function scaleFactors(m: Affine): { large: number; small: number } {
  const turning = Math.hypot(m.a + m.d, m.b - m.c) / 2;
  const mirroring = Math.hypot(m.a - m.d, m.b + m.c) / 2;
  return { large: turning + mirroring, small: Math.abs(turning - mirroring) };
}

/** Cubics within `tolerance` of the image of the arc under `m`. Their outer ends are exactly the images of its ends. */
export function arcAsCubics(arc: ArcSegment, m: Affine, tolerance: number): CubicSegment[] {
  const count = cubicCount(arc.radius * scaleFactors(m).large, arc.sweep, tolerance);
  const { centre, radius } = arc;
  const first = startAngle(arc);
  const step = arc.sweep / count;
  const handle = (4 / 3) * Math.tan(step / 4) * radius;
  const cubics: CubicSegment[] = [];
  let angle = first;
  let from = apply(m, arc.from);
  for (let i = 1; i <= count; i++) {
    const next = first + i * step;
    const end = onCircle(centre, radius, next);
    const to = i === count ? apply(m, arc.to) : apply(m, end);
    const start = onCircle(centre, radius, angle);
    cubics.push({
      kind: 'cubic',
      from,
      c1: apply(m, { x: start.x - handle * Math.sin(angle), y: start.y + handle * Math.cos(angle) }),
      c2: apply(m, { x: end.x + handle * Math.sin(next), y: end.y - handle * Math.cos(next) }),
      to,
    });
    angle = next;
    from = to;
  }
  return cubics;
}

function cubicCount(radius: number, sweep: number, tolerance: number): number {
  let count = Math.max(1, Math.ceil(Math.abs(sweep) / (Math.PI / 2) - 1e-9));
  while (radius * cubicArcError(sweep / count) > tolerance) count++;
  return count;
}

function cubicArcError(angle: number): number {
  const sin = Math.sin(angle / 4);
  const cos = Math.cos(angle / 4);
  return (2 / 27) * (sin ** 6 / (cos * cos));
}

function onCircle(centre: Point, radius: number, angle: number): Point {
  return { x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) };
}
