import {
  type Curve,
  curveBounds,
  massProperties,
  pointAt,
  signedArea,
  tangentAt,
} from '@inlaywright/geometry';
import { describe, expect, it } from 'vitest';
import { type Area, areaCurves, type Shape, WorkshopError } from '../../src/index.ts';

const origin = { x: 0, y: 0 };

function areaOf(shape: Shape, more: Partial<Area> = {}): Area {
  return { id: 'x', name: 'x', tone: 'ground', shape, ...more };
}

function curvesOf(shape: Shape, more: Partial<Area> = {}): readonly Curve[] {
  return areaCurves(areaOf(shape, more)).curves;
}

/** Exact area by Green's formula over the curves themselves. */
function mm2(shape: Shape, more: Partial<Area> = {}): number {
  return massProperties(curvesOf(shape, more)).area;
}

function expectClosedAndSmoothExceptAt(curve: Curve, corners: number): void {
  let sharp = 0;
  curve.segments.forEach((segment, i) => {
    const next = curve.segments[(i + 1) % curve.segments.length]!;
    expect(segment.to).toEqual(next.from);
    const a = tangentAt(segment, 1);
    const b = tangentAt(next, 0);
    if (Math.abs(a.x * b.y - a.y * b.x) > 1e-7 || a.x * b.x + a.y * b.y < 0) sharp++;
  });
  expect(sharp).toBe(corners);
}

// Closed forms: plane geometry of circle segments and regular polygons, as in any handbook of mathematics.
describe('areas and boxes in closed form', () => {
  it('disc: one arc of a full turn', () => {
    const shape: Shape = { kind: 'disc', centre: { x: 3, y: -2 }, diameterMm: 5 };
    expect(curvesOf(shape)[0]!.segments).toHaveLength(1);
    expect(mm2(shape)).toBeCloseTo((Math.PI * 25) / 4, 9);
    const { minX, maxX, minY, maxY } = curveBounds(curvesOf(shape)[0]!);
    expect([minX, maxX, minY, maxY].map((v) => Math.round(v * 1e9) / 1e9)).toEqual([0.5, 5.5, -4.5, 0.5]);
  });

  it('ellipse: cubics within 0.05 um', () => {
    const shape: Shape = { kind: 'ellipse', centre: origin, widthMm: 38, heightMm: 25 };
    expect(mm2(shape)).toBeCloseTo((Math.PI * 38 * 25) / 4, 2);
    let worst = 0;
    for (const segment of curvesOf(shape)[0]!.segments) {
      expect(segment.kind).toBe('cubic');
      for (let t = 0; t <= 1; t += 1 / 64) {
        const { x, y } = pointAt(segment, t);
        // Distance to the ellipse to first order: implicit function over its gradient.
        const f = (x / 19) ** 2 + (y / 12.5) ** 2 - 1;
        worst = Math.max(worst, Math.abs(f) / Math.hypot((2 * x) / 19 ** 2, (2 * y) / 12.5 ** 2));
      }
    }
    expect(worst).toBeLessThan(0.00005);
    expectClosedAndSmoothExceptAt(curvesOf(shape)[0]!, 0);
  });

  it('ellipse of equal axes: a circle, not cubics', () => {
    const [curve] = curvesOf({ kind: 'ellipse', centre: origin, widthMm: 9, heightMm: 9 });
    expect(curve!.segments.map(({ kind }) => kind)).toEqual(['arc']);
  });

  it('rectangle, regular polygon, trapezoid, star', () => {
    expect(mm2({ kind: 'rectangle', centre: origin, angleDeg: 17, widthMm: 4, heightMm: 7 })).toBeCloseTo(
      28,
      9,
    );
    expect(mm2({ kind: 'regular-polygon', centre: origin, sides: 7, diameterMm: 10 })).toBeCloseTo(
      (7 / 2) * 25 * Math.sin((2 * Math.PI) / 7),
      9,
    );
    expect(mm2({ kind: 'trapezoid', centre: origin, bottomMm: 10, topMm: 4, heightMm: 6 })).toBeCloseTo(
      42,
      9,
    );
    expect(
      mm2({ kind: 'star', centre: origin, points: 5, outerDiameterMm: 14, innerDiameterMm: 6 }),
    ).toBeCloseTo(5 * 7 * 3 * Math.sin(Math.PI / 5), 9);
  });

  it('the first corner of polygons and stars points up', () => {
    for (const shape of [
      { kind: 'regular-polygon', centre: origin, sides: 3, diameterMm: 10 },
      { kind: 'star', centre: origin, points: 5, outerDiameterMm: 10, innerDiameterMm: 4 },
    ] as const) {
      const { from } = curvesOf(shape)[0]!.segments[0]!;
      expect(from.x).toBeCloseTo(0, 12);
      expect(from.y).toBeCloseTo(5, 12);
    }
  });

  it('drop: tangent lines, round bottom, centred box, one corner', () => {
    const shape: Shape = { kind: 'drop', centre: { x: 1, y: 2 }, widthMm: 10, lengthMm: 18 };
    const reach = 18 - 5;
    const touch = Math.acos(5 / reach);
    expect(mm2(shape)).toBeCloseTo(25 * (Math.PI - touch) + 5 * Math.sqrt(reach ** 2 - 25), 9);
    const { minX, maxX, minY, maxY } = curveBounds(curvesOf(shape)[0]!);
    expect([minX, maxX, minY, maxY].map((v) => Math.round(v * 1e9) / 1e9)).toEqual([-4, 6, -7, 11]);
    expectClosedAndSmoothExceptAt(curvesOf(shape)[0]!, 1);
  });

  it('leaf: two circle segments', () => {
    const radius = (15 ** 2 + 6 ** 2) / 12;
    const half = Math.asin(15 / radius);
    expect(mm2({ kind: 'leaf', centre: origin, widthMm: 12, lengthMm: 30 })).toBeCloseTo(
      radius ** 2 * (2 * half - Math.sin(2 * half)),
      9,
    );
  });

  it('crescent: disc less the lens that both discs share', () => {
    const [R, r, d] = [10, 8, 6];
    const a = Math.acos((d * d + R * R - r * r) / (2 * d * R));
    const b = Math.acos((d * d + r * r - R * R) / (2 * d * r));
    const lens = R * R * (a - Math.sin(2 * a) / 2) + r * r * (b - Math.sin(2 * b) / 2);
    const shape: Shape = {
      kind: 'crescent',
      centre: origin,
      diameterMm: 20,
      biteDiameterMm: 16,
      biteOffsetMm: 6,
    };
    expect(mm2(shape)).toBeCloseTo(Math.PI * R * R - lens, 9);
    expect(curvesOf(shape)[0]!.segments.map(({ kind }) => kind)).toEqual(['arc', 'arc']);
  });

  it('ring: two full circles, the inner one clockwise', () => {
    const shape: Shape = { kind: 'ring', centre: origin, outerDiameterMm: 20, innerDiameterMm: 12 };
    expect(mm2(shape)).toBeCloseTo(Math.PI * (100 - 36), 9);
    expect(curvesOf(shape).map((curve) => Math.sign(signedArea(curve)))).toEqual([1, -1]);
  });

  it('all outlines run counter-clockwise and turn about their centre', () => {
    const shape: Shape = { kind: 'leaf', centre: { x: 5, y: 5 }, angleDeg: 90, widthMm: 4, lengthMm: 10 };
    expect(signedArea(curvesOf(shape)[0]!)).toBeGreaterThan(0);
    const { minX, maxX, minY, maxY } = curveBounds(curvesOf(shape)[0]!);
    expect([minX, maxX, minY, maxY].map((v) => Math.round(v * 1e9) / 1e9)).toEqual([0, 10, 3, 7]);
    expect(curvesOf(shape)[0]!.segments.every(({ kind }) => kind === 'arc')).toBe(true);
  });

  it('a path is what it is', () => {
    const curves = curvesOf({ kind: 'disc', centre: origin, diameterMm: 4 });
    expect(curvesOf({ kind: 'path', curves, fillRule: 'evenodd' })).toBe(curves);
  });
});

describe('numbers that make no shape', () => {
  it.each<[string, Shape, string]>([
    [
      'a bite that does not reach',
      { kind: 'crescent', centre: origin, diameterMm: 10, biteDiameterMm: 6, biteOffsetMm: 9 },
      'does not reach the disc (disc of 10 mm, bite of 6 mm, 9 mm to the right; it reaches below an offset of 8 mm)',
    ],
    [
      'a bite that swallows the disc',
      { kind: 'crescent', centre: origin, diameterMm: 10, biteDiameterMm: 16, biteOffsetMm: 2 },
      'swallows the whole disc (disc of 10 mm, bite of 16 mm, 2 mm to the right; something is left above an offset of 3 mm)',
    ],
    [
      'a bite inside the disc',
      { kind: 'crescent', centre: origin, diameterMm: 10, biteDiameterMm: 4, biteOffsetMm: 2 },
      'leaves no horns',
    ],
    [
      'a drop wider than long',
      { kind: 'drop', centre: origin, widthMm: 10, lengthMm: 10 },
      'a drop must be longer (10 mm) than it is wide (10 mm)',
    ],
    [
      'a leaf wider than long',
      { kind: 'leaf', centre: origin, widthMm: 12, lengthMm: 10 },
      'a leaf must be longer (10 mm) than it is wide (12 mm)',
    ],
    [
      'a ring inside out',
      { kind: 'ring', centre: origin, outerDiameterMm: 5, innerDiameterMm: 5 },
      'inner diameter (5 mm) is not less',
    ],
    [
      'a star inside out',
      { kind: 'star', centre: origin, points: 5, outerDiameterMm: 5, innerDiameterMm: 7 },
      'inner diameter (7 mm) is not less',
    ],
    [
      'a negative size',
      { kind: 'disc', centre: origin, diameterMm: -4 },
      'diameterMm is -4; a size must be between 0.01 and 2000 mm',
    ],
    [
      'a size of zero',
      { kind: 'rectangle', centre: origin, widthMm: 0, heightMm: 4 },
      'widthMm is 0; a size must be between',
    ],
    [
      'a size that is no number',
      { kind: 'disc', centre: origin, diameterMm: Number.NaN },
      'diameterMm is NaN',
    ],
    ['a size beyond any machine', { kind: 'disc', centre: origin, diameterMm: 2001 }, 'diameterMm is 2001'],
    [
      'an infinite centre',
      { kind: 'disc', centre: { x: Number.POSITIVE_INFINITY, y: 0 }, diameterMm: 4 },
      'centre.x is Infinity',
    ],
    [
      'a turn that is no number',
      { kind: 'drop', centre: origin, angleDeg: Number.NaN, widthMm: 4, lengthMm: 8 },
      'angleDeg is NaN',
    ],
    [
      'half a side',
      { kind: 'regular-polygon', centre: origin, sides: 4.5, diameterMm: 4 },
      'sides is 4.5; it must be a whole number from 3 to 360',
    ],
    [
      'two points',
      { kind: 'star', centre: origin, points: 2, outerDiameterMm: 5, innerDiameterMm: 2 },
      'points is 2; it must be a whole number from 3 to 360',
    ],
  ])('%s', (_, shape, message) => {
    const attempt = () => areaCurves(areaOf(shape));
    expect(attempt).toThrow(WorkshopError);
    expect(attempt).toThrow(message);
    expect(attempt).toThrow('Area "x"');
    try {
      attempt();
    } catch (error) {
      expect((error as WorkshopError).code).toBe('shape-impossible');
      expect((error as WorkshopError).hint.length).toBeGreaterThan(10);
    }
  });

  it('a negative corner radius, and the wrong number of radii', () => {
    const square: Shape = { kind: 'rectangle', centre: origin, widthMm: 4, heightMm: 4 };
    expect(() => areaCurves(areaOf(square, { cornerRadiiMm: -1 }))).toThrow(
      'the corner radius -1 is not between 0 and 2000 mm',
    );
    expect(() => areaCurves(areaOf(square, { cornerRadiiMm: [1, 1, 1] }))).toThrow(
      '3 corner radii are given for 4 corners',
    );
  });
});
