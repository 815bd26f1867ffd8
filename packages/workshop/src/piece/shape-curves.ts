/**
 * Shapes as exact curves: circles and arcs stay arcs, ellipses become cubics within 0.05 um. All outlines run
 * counter-clockwise, the hole of a ring clockwise. docs/piece-file.md gives the order of each shape's corners.
 */
import {
  type Affine,
  type ArcSegment,
  type Curve,
  circleCurve,
  compose,
  type Point,
  polygonCurve,
  reverseCurve,
  rotation,
  type Segment,
  scaling,
  transformCurve,
  translation,
} from '@inlaywright/geometry';
import type { Finding } from '../finding.ts';
import type { Area, Shape } from './piece.ts';
import { roundCorners } from './round-corners.ts';
import { impossible, requireSizes } from './shape-limits.ts';

export interface AreaCurves {
  readonly curves: readonly Curve[];
  readonly fillRule: 'nonzero' | 'evenodd';
  /** Corner radii that did not fit. */
  readonly findings: readonly Finding[];
}

/**
 * The outline of an area, corner radii applied.
 * @throws WorkshopError `shape-impossible` when the numbers of the shape make no shape
 */
export function areaCurves(area: Area): AreaCurves {
  const bare = bareCurves(area);
  const radii = area.cornerRadiiMm;
  if (radii === undefined || radii === 0) return { ...bare, findings: [] };
  const { curves, findings } = roundCorners(area, bare.curves);
  return { curves, fillRule: bare.fillRule, findings };
}

/** The outline with its corners sharp. */
export function bareCurves(area: Area): Omit<AreaCurves, 'findings'> {
  requireSizes(area);
  const { shape } = area;
  if (shape.kind === 'path') return { curves: shape.curves, fillRule: shape.fillRule };
  const place = compose(
    translation(shape.centre.x, shape.centre.y),
    rotation(((shape.angleDeg ?? 0) * Math.PI) / 180),
  );
  const curves = outlines(area, shape);
  return {
    curves: isIdentity(place) ? curves : curves.map((curve) => transformCurve(curve, place)),
    fillRule: 'nonzero',
  };
}

function isIdentity(m: Affine): boolean {
  return m.a === 1 && m.b === 0 && m.c === 0 && m.d === 1 && m.e === 0 && m.f === 0;
}

const ORIGIN: Point = { x: 0, y: 0 };

/** Curves about the origin, not turned. */
function outlines(area: Area, shape: Exclude<Shape, { kind: 'path' }>): Curve[] {
  switch (shape.kind) {
    case 'disc':
      return [circleCurve(ORIGIN, shape.diameterMm / 2)];
    case 'ellipse': {
      const { widthMm, heightMm } = shape;
      if (widthMm === heightMm) return [circleCurve(ORIGIN, widthMm / 2)];
      return [transformCurve(circleCurve(ORIGIN, 1), scaling(widthMm / 2, heightMm / 2))];
    }
    case 'rectangle': {
      const x = shape.widthMm / 2;
      const y = shape.heightMm / 2;
      return [
        polygonCurve([
          { x: -x, y: -y },
          { x, y: -y },
          { x, y },
          { x: -x, y },
        ]),
      ];
    }
    case 'regular-polygon':
      return [polygonCurve(radial(shape.sides, () => shape.diameterMm / 2))];
    case 'trapezoid': {
      const y = shape.heightMm / 2;
      return [
        polygonCurve([
          { x: -shape.bottomMm / 2, y: -y },
          { x: shape.bottomMm / 2, y: -y },
          { x: shape.topMm / 2, y },
          { x: -shape.topMm / 2, y },
        ]),
      ];
    }
    case 'drop':
      return [drop(area, shape.widthMm, shape.lengthMm)];
    case 'crescent':
      return [crescent(area, shape.diameterMm / 2, shape.biteDiameterMm / 2, shape.biteOffsetMm)];
    case 'leaf':
      return [leaf(area, shape.widthMm, shape.lengthMm)];
    case 'ring': {
      if (shape.innerDiameterMm >= shape.outerDiameterMm) {
        throw impossible(
          area,
          `its inner diameter (${shape.innerDiameterMm} mm) is not less than its outer diameter (${shape.outerDiameterMm} mm)`,
          'Make the inner diameter smaller or the outer one larger.',
        );
      }
      return [
        circleCurve(ORIGIN, shape.outerDiameterMm / 2),
        reverseCurve(circleCurve(ORIGIN, shape.innerDiameterMm / 2)),
      ];
    }
    case 'star': {
      if (shape.innerDiameterMm >= shape.outerDiameterMm) {
        throw impossible(
          area,
          `its inner diameter (${shape.innerDiameterMm} mm) is not less than its outer diameter (${shape.outerDiameterMm} mm)`,
          'Make the inner diameter smaller or the outer one larger.',
        );
      }
      const outer = shape.outerDiameterMm / 2;
      const inner = shape.innerDiameterMm / 2;
      return [polygonCurve(radial(2 * shape.points, (i) => (i % 2 === 0 ? outer : inner)))];
    }
  }
}

/** Points around the origin at equal angles, the first one up. */
function radial(count: number, radius: (i: number) => number): Point[] {
  return Array.from({ length: count }, (_, i) => {
    const angle = Math.PI / 2 + (2 * Math.PI * i) / count;
    return { x: radius(i) * Math.cos(angle), y: radius(i) * Math.sin(angle) };
  });
}

/** The tangents from the point touch the round bottom at the angle acos(r / D) from the axis, D from point to centre. */
function drop(area: Area, width: number, length: number): Curve {
  if (length <= width) {
    throw impossible(
      area,
      `a drop must be longer (${length} mm) than it is wide (${width} mm), or it has no point`,
      'Make it longer or narrower, or use a disc.',
    );
  }
  const radius = width / 2;
  const centre = { x: 0, y: radius - length / 2 };
  const touch = Math.acos(radius / (length - radius));
  const point = { x: 0, y: length / 2 };
  const left = { x: -radius * Math.sin(touch), y: centre.y + radius * Math.cos(touch) };
  const right = { x: -left.x, y: left.y };
  return closed([
    { kind: 'line', from: point, to: left },
    { kind: 'arc', from: left, to: right, centre, radius, sweep: 2 * Math.PI - 2 * touch },
    { kind: 'line', from: right, to: point },
  ]);
}

function crescent(area: Area, radius: number, bite: number, offset: number): Curve {
  const numbers = `disc of ${2 * radius} mm, bite of ${2 * bite} mm, ${offset} mm to the right`;
  if (offset >= radius + bite) {
    throw impossible(
      area,
      `the bite does not reach the disc (${numbers}; it reaches below an offset of ${radius + bite} mm)`,
      'Bring the bite nearer or make it larger.',
    );
  }
  if (offset <= bite - radius) {
    throw impossible(
      area,
      `the bite swallows the whole disc (${numbers}; something is left above an offset of ${bite - radius} mm)`,
      'Move the bite away or make it smaller.',
    );
  }
  if (offset <= radius - bite) {
    throw impossible(
      area,
      `the bite lies within the disc and leaves no horns (${numbers}; it passes the edge above an offset of ${radius - bite} mm)`,
      'Move the bite outward, or use a disc with a piercing.',
    );
  }
  const x = (offset * offset + radius * radius - bite * bite) / (2 * offset);
  const y = Math.sqrt(Math.max(0, radius * radius - x * x));
  const upper = { x, y };
  const lower = { x, y: -y };
  const outer: ArcSegment = {
    kind: 'arc',
    from: upper,
    to: lower,
    centre: ORIGIN,
    radius,
    sweep: 2 * (Math.PI - Math.atan2(y, x)),
  };
  const inner: ArcSegment = {
    kind: 'arc',
    from: lower,
    to: upper,
    centre: { x: offset, y: 0 },
    radius: bite,
    sweep: -2 * (Math.PI - Math.atan2(y, x - offset)),
  };
  return closed([outer, inner]);
}

/** Radius from half chord c and sagitta s: (c^2 + s^2) / 2s. */
function leaf(area: Area, width: number, length: number): Curve {
  if (width >= length) {
    throw impossible(
      area,
      `a leaf must be longer (${length} mm) than it is wide (${width} mm), or its ends are no points`,
      'Make it longer or narrower, or use a disc.',
    );
  }
  const chord = length / 2;
  const sagitta = width / 2;
  const radius = (chord * chord + sagitta * sagitta) / (2 * sagitta);
  const top = { x: 0, y: chord };
  const bottom = { x: 0, y: -chord };
  const sweep = 2 * Math.atan2(chord, radius - sagitta);
  return closed([
    { kind: 'arc', from: top, to: bottom, centre: { x: radius - sagitta, y: 0 }, radius, sweep },
    { kind: 'arc', from: bottom, to: top, centre: { x: sagitta - radius, y: 0 }, radius, sweep },
  ]);
}

function closed(segments: readonly Segment[]): Curve {
  return { segments };
}
