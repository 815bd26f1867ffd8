import {
  arcFromEndpoints,
  type Curve,
  massProperties,
  type Point,
  pointAt,
  polygonCurve,
  type Segment,
  signedArea,
  tangentAt,
} from '@inlaywright/geometry';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Area, areaCurves, largestCornerRadius, type Shape } from '../../src/index.ts';
import { fillet } from '../../src/piece/fillet.ts';

const origin = { x: 0, y: 0 };
const SEED = 20261125;

function areaOf(shape: Shape, cornerRadiiMm?: number | readonly number[]): Area {
  return {
    id: 'x',
    name: 'x',
    tone: 'ground',
    shape,
    ...(cornerRadiiMm === undefined ? {} : { cornerRadiiMm }),
  };
}

function path(...curves: Curve[]): Shape {
  return { kind: 'path', curves, fillRule: 'nonzero' };
}

const square: Shape = { kind: 'rectangle', centre: origin, widthMm: 10, heightMm: 10 };

/** Every joint smooth: tangents agree to 1e-7. */
function expectSmooth(curve: Curve): void {
  curve.segments.forEach((segment, i) => {
    const next = curve.segments[(i + 1) % curve.segments.length]!;
    expect(segment.to).toBe(next.from);
    const a = tangentAt(segment, 1);
    const b = tangentAt(next, 0);
    expect(Math.abs(a.x * b.y - a.y * b.x)).toBeLessThan(1e-7);
    expect(a.x * b.x + a.y * b.y).toBeGreaterThan(0);
  });
}

/** The same line as a cubic. */
function asCubic({ from, to }: Segment): Segment {
  const third = (t: number): Point => ({ x: from.x + t * (to.x - from.x), y: from.y + t * (to.y - from.y) });
  return { kind: 'cubic', from, c1: third(1 / 3), c2: third(2 / 3), to };
}

describe('rounding', () => {
  it('a square loses (4 - pi) r^2 and becomes lines and exact arcs', () => {
    const { curves, findings } = areaCurves(areaOf(square, 2));
    expect(findings).toEqual([]);
    expect(curves[0]!.segments.map(({ kind }) => kind).sort()).toEqual([
      'arc',
      'arc',
      'arc',
      'arc',
      'line',
      'line',
      'line',
      'line',
    ]);
    expect(massProperties(curves).area).toBeCloseTo(100 - (4 - Math.PI) * 4, 10);
    expectSmooth(curves[0]!);
  });

  it('takes one radius per corner, in order', () => {
    const { curves } = areaCurves(areaOf(square, [1, 0, 2, 0]));
    expect(massProperties(curves).area).toBeCloseTo(100 - (1 - Math.PI / 4) * 5, 10);
    const arcs = curves[0]!.segments.flatMap((segment) => (segment.kind === 'arc' ? [segment] : []));
    // Bottom left, then top right.
    expect(
      arcs.map(({ centre, radius }) => [centre.x, centre.y, radius].map((v) => Math.round(v * 1e9) / 1e9)),
    ).toEqual([
      [-4, -4, 1],
      [3, 3, 2],
    ]);
  });

  it('rounds inner corners outwards: a star gains at the notches what it loses at the points', () => {
    const star: Shape = { kind: 'star', centre: origin, points: 5, outerDiameterMm: 20, innerDiameterMm: 9 };
    const bare = massProperties(areaCurves(areaOf(star)).curves).area;
    const points = massProperties(
      areaCurves(areaOf(star, [0.5, 0, 0.5, 0, 0.5, 0, 0.5, 0, 0.5, 0])).curves,
    ).area;
    const notches = massProperties(
      areaCurves(areaOf(star, [0, 0.5, 0, 0.5, 0, 0.5, 0, 0.5, 0, 0.5])).curves,
    ).area;
    const both = areaCurves(areaOf(star, 0.5)).curves;
    expect(points).toBeLessThan(bare);
    expect(notches).toBeGreaterThan(bare);
    expect(massProperties(both).area).toBeCloseTo(points + notches - bare, 9);
    expectSmooth(both[0]!);
  });

  it('line to arc and arc to arc: drop, leaf, crescent come out smooth, of lines and arcs only', () => {
    for (const shape of [
      { kind: 'drop', centre: origin, widthMm: 10, lengthMm: 20 },
      { kind: 'leaf', centre: origin, widthMm: 8, lengthMm: 20 },
      { kind: 'crescent', centre: origin, diameterMm: 20, biteDiameterMm: 16, biteOffsetMm: 6 },
    ] as const) {
      const { curves, findings } = areaCurves(areaOf(shape, 0.6));
      expect(findings).toEqual([]);
      expect(curves[0]!.segments.every(({ kind }) => kind !== 'cubic')).toBe(true);
      const rounds = curves[0]!.segments.filter(
        (segment) => segment.kind === 'arc' && Math.abs(segment.radius - 0.6) < 1e-12,
      );
      expect(rounds.length).toBe(shape.kind === 'drop' ? 1 : 2);
      expectSmooth(curves[0]!);
    }
  });

  it('leaf tips in closed form: the fillet centre is at the distance R - r from both arcs centres', () => {
    const shape: Shape = { kind: 'leaf', centre: origin, widthMm: 8, lengthMm: 20 };
    const R = (100 + 16) / 8;
    const arcs = areaCurves(areaOf(shape, 0.6)).curves[0]!.segments.flatMap((s) =>
      s.kind === 'arc' && s.radius < 1 ? [s] : [],
    );
    for (const { centre } of arcs) {
      expect(centre.x).toBeCloseTo(0, 10);
      expect(Math.abs(centre.y)).toBeCloseTo(Math.sqrt((R - 0.6) ** 2 - (R - 4) ** 2), 9);
    }
    expect(arcs).toHaveLength(2);
  });

  it('corners beside cubics: smooth, and the arc has the radius asked for', () => {
    const petal: Curve = {
      segments: [
        {
          kind: 'cubic',
          from: { x: 0, y: 10 },
          c1: { x: -8, y: 4 },
          c2: { x: -6, y: -6 },
          to: { x: 0, y: -10 },
        },
        {
          kind: 'cubic',
          from: { x: 0, y: -10 },
          c1: { x: 6, y: -6 },
          c2: { x: 8, y: 4 },
          to: { x: 0, y: 10 },
        },
      ],
    };
    const { curves, findings } = areaCurves(areaOf(path(petal), [1, 0.5]));
    expect(findings).toEqual([]);
    expectSmooth(curves[0]!);
    expect(curves[0]!.segments.flatMap((s) => (s.kind === 'arc' ? [s.radius] : []))).toEqual([1, 0.5]);
    expect(massProperties(curves).area).toBeLessThan(massProperties([petal]).area);
  });

  it('a closed cubic with one corner, its start', () => {
    const loop: Curve = {
      segments: [{ kind: 'cubic', from: origin, c1: { x: 12, y: -9 }, c2: { x: 12, y: 9 }, to: origin }],
    };
    const { curves, findings } = areaCurves(areaOf(path(loop), 0.5));
    expect(findings).toEqual([]);
    expect(curves[0]!.segments.map(({ kind }) => kind)).toEqual(['arc', 'cubic']);
    expectSmooth(curves[0]!);
  });

  it('smooth joints and shapes without corners stay as they are', () => {
    const disc: Shape = { kind: 'disc', centre: origin, diameterMm: 5 };
    expect(areaCurves(areaOf(disc, 2)).curves).toEqual(areaCurves(areaOf(disc)).curves);
    expect(areaCurves(areaOf(disc, 2)).findings).toEqual([]);
    const rounded = areaCurves(areaOf(square, 3)).curves;
    expect(areaCurves(areaOf(path(...rounded), 1)).curves).toEqual(rounded);
  });

  it('any corner between lines and arcs that has a fillet touches both sides (random, 1,000 corners)', () => {
    const unit = fc.double({ min: -10, max: 10, noNaN: true });
    const end = fc.record({ x: unit, y: unit });
    const bend = fc.double({ min: -0.9, max: 0.9, noNaN: true });
    const side = (from: Point, to: Point, bulge: number): Segment => {
      const chord = Math.hypot(to.x - from.x, to.y - from.y);
      if (Math.abs(bulge) < 0.05) return { kind: 'line', from, to };
      const radius = chord / (2 * Math.abs(bulge));
      return arcFromEndpoints({
        from,
        to,
        rx: radius,
        ry: radius,
        rotation: 0,
        largeArc: false,
        sweep: bulge > 0,
      })[0]!;
    };
    let found = 0;
    fc.assert(
      fc.property(
        end,
        end,
        bend,
        bend,
        fc.double({ min: 0.05, max: 2, noNaN: true }),
        (a, b, p, q, radius) => {
          fc.pre(Math.hypot(a.x, a.y) > 1 && Math.hypot(b.x, b.y) > 1);
          const incoming = side(a, origin, p);
          const outgoing = side(origin, b, q);
          const arc = fillet(incoming, outgoing, radius);
          if (arc === undefined) return;
          found++;
          for (const [segment, t, turn] of [
            [incoming, arc.leave, 0],
            [outgoing, arc.join, arc.sweep],
          ] as const) {
            const at = pointAt(segment, t);
            const tangent = tangentAt(segment, t);
            expect(Math.hypot(at.x - arc.centre.x, at.y - arc.centre.y)).toBeCloseTo(radius, 9);
            // Square to the radius, and running the way the fillet turns.
            const rx = at.x - arc.centre.x;
            const ry = at.y - arc.centre.y;
            expect(Math.abs(rx * tangent.x + ry * tangent.y)).toBeLessThan(1e-7);
            expect(Math.sign(rx * tangent.y - ry * tangent.x)).toBe(Math.sign(arc.sweep));
            expect(turn === 0 || Math.abs(arc.sweep) < 2 * Math.PI).toBe(true);
          }
        },
      ),
      { seed: SEED, numRuns: 1000 },
    );
    expect(found).toBeGreaterThan(400);
  });

  it('the numeric way beside cubics finds what the closed form finds (lines written as cubics)', () => {
    const unit = fc.double({ min: -10, max: 10, noNaN: true });
    let compared = 0;
    fc.assert(
      fc.property(
        unit,
        unit,
        unit,
        unit,
        fc.double({ min: 0.01, max: 1, noNaN: true }),
        (ax, ay, bx, by, radius) => {
          fc.pre(Math.hypot(ax, ay) > 1 && Math.hypot(bx, by) > 1);
          const incoming: Segment = { kind: 'line', from: { x: ax, y: ay }, to: origin };
          const outgoing: Segment = { kind: 'line', from: origin, to: { x: bx, y: by } };
          const exact = fillet(incoming, outgoing, radius);
          const numeric = fillet(asCubic(incoming), asCubic(outgoing), radius);
          expect(numeric === undefined).toBe(exact === undefined);
          if (!exact || !numeric) return;
          compared++;
          expect(numeric.leave).toBeCloseTo(exact.leave, 9);
          expect(numeric.join).toBeCloseTo(exact.join, 9);
          expect(numeric.sweep).toBeCloseTo(exact.sweep, 7);
        },
      ),
      { seed: SEED, numRuns: 500 },
    );
    expect(compared).toBeGreaterThan(200);
  });
});

describe('largestCornerRadius', () => {
  // Closed forms: half the shorter side; the inscribed circle of regular polygons; half the radius in a half disc.
  it('in closed form', () => {
    const rectangle: Shape = { kind: 'rectangle', centre: origin, widthMm: 10, heightMm: 6 };
    expect(largestCornerRadius(areaOf(rectangle))).toBeCloseTo(3, 5);
    expect(largestCornerRadius(areaOf(rectangle), 1)).toBeCloseTo(6, 5);
    expect(largestCornerRadius(areaOf(rectangle, [4, 0, 0, 0]), 1)).toBeCloseTo(6, 5);
    expect(largestCornerRadius(areaOf(rectangle, [4, 0, 0, 0]), 3)).toBeCloseTo(2, 5);
    for (const sides of [3, 5, 8]) {
      expect(
        largestCornerRadius(areaOf({ kind: 'regular-polygon', centre: origin, sides, diameterMm: 20 })),
      ).toBeCloseTo(10 * Math.cos(Math.PI / sides), 5);
    }
    const half: Curve = {
      segments: [
        { kind: 'line', from: { x: -5, y: 0 }, to: { x: 5, y: 0 } },
        { kind: 'arc', from: { x: 5, y: 0 }, to: { x: -5, y: 0 }, centre: origin, radius: 5, sweep: Math.PI },
      ],
    };
    expect(largestCornerRadius(areaOf(path(half)))).toBeCloseTo(2.5, 5);
    expect(largestCornerRadius(areaOf({ kind: 'disc', centre: origin, diameterMm: 4 }))).toBe(0);
  });

  it('fits, and a hundredth more does not', () => {
    for (const shape of [
      { kind: 'drop', centre: origin, widthMm: 12, lengthMm: 30 },
      { kind: 'leaf', centre: origin, widthMm: 10, lengthMm: 24 },
      { kind: 'star', centre: origin, points: 6, outerDiameterMm: 20, innerDiameterMm: 11 },
      { kind: 'crescent', centre: origin, diameterMm: 20, biteDiameterMm: 18, biteOffsetMm: 5 },
      { kind: 'trapezoid', centre: origin, bottomMm: 20, topMm: 8, heightMm: 15 },
    ] as const) {
      const largest = largestCornerRadius(areaOf(shape));
      expect(largest).toBeGreaterThan(0.1);
      expect(areaCurves(areaOf(shape, largest)).findings).toEqual([]);
      const { findings } = areaCurves(areaOf(shape, 1.01 * largest));
      expect(findings.map(({ code }) => code)).toEqual(['corner-radius-lowered']);
      expect(findings[0]!.figureMm).toBeCloseTo(largest, 4);
    }
  });
});

describe('radii that do not fit', () => {
  it('one radius for all: lowered for all, and said with both numbers', () => {
    const { curves, findings } = areaCurves(areaOf(square, 7));
    expect(findings).toHaveLength(1);
    expect(findings[0]).toMatchObject({ code: 'corner-radius-lowered', severity: 'warning', areas: ['x'] });
    expect(findings[0]!.message).toContain('a radius of 7 mm does not fit all its corners; 5.000 mm');
    expect(massProperties(curves).area).toBeCloseTo(25 * Math.PI, 3);
  });

  it('radii one by one: only those that fight are lowered, in proportion', () => {
    const { curves, findings } = areaCurves(areaOf(square, [8, 4, 0, 1]));
    // 8 and 4 share the bottom side of 10; then 6.667 and 1 fit on the left.
    expect(findings.map(({ figureMm }) => Number(figureMm!.toFixed(3)))).toEqual([6.667, 3.333]);
    expect(findings[0]!.message).toContain(
      'corner 0 at (-5.00, -5.00): a radius of 8 mm does not fit; 6.667 mm was used',
    );
    expect(signedArea(curves[0]!)).toBeCloseTo(
      100 - (1 - Math.PI / 4) * ((20 / 3) ** 2 + (10 / 3) ** 2 + 1),
      4,
    );
  });

  it('a corner that turns back on itself takes none', () => {
    const spike = polygonCurve([origin, { x: 10, y: 0 }, { x: 5, y: 0 }, { x: 5, y: 5 }]);
    const { findings } = areaCurves(areaOf(path(spike), [0, 1, 0, 0]));
    expect(findings[0]!.figureMm).toBeLessThan(1e-5);
  });
});
