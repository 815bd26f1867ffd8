import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  buildLocator,
  circleCurve,
  distance,
  FLATTEN_TOLERANCE,
  flattenCurve,
  flattenSegments,
  nearest,
  pointAt,
  polygonCurve,
  reverseCurve,
  reverseSegment,
  type Segment,
} from '../src/index.ts';
import {
  anyArc,
  anyCubic,
  anySegment,
  arcOf,
  CURVE_SEED,
  distanceToStretch,
  ellipse,
  leaf,
  ringPoints,
  withSeed,
} from './curve-shapes.ts';

const tolerances = fc.constantFrom(0.0005, 0.001, 0.01, 0.1);

/** Greatest distance of the segment from the polyline, at 20 points a chord. */
function worstChordError(segment: Segment, line: Float64Array): number {
  const points = ringPoints(line);
  const chords = points.slice(1).map((to, i): Segment => ({ kind: 'line', from: points[i]!, to }));
  const locator = buildLocator([{ segments: chords }]);
  const n = 10 * line.length;
  let worst = 0;
  for (let i = 0; i <= n; i++) worst = Math.max(worst, nearest(locator, pointAt(segment, i / n)).distance);
  return worst;
}

describe(`flattening (seed ${CURVE_SEED})`, () => {
  it('keeps the chord error of arcs and cubics, measured at 20 points a chord', () => {
    fc.assert(
      fc.property(fc.oneof(anyArc, anyCubic), tolerances, (segment, tolerance) => {
        const line = flattenSegments([segment], tolerance);
        fc.pre(line.length < 8000);
        expect(worstChordError(segment, line)).toBeLessThanOrEqual(tolerance * (1 + 1e-9) + 1e-12);
      }),
      withSeed(120),
    );
  });

  it('puts vertices on the curve', () => {
    fc.assert(
      fc.property(anyArc, tolerances, (arc, tolerance) => {
        for (const p of ringPoints(flattenSegments([arc], tolerance))) {
          expect(Math.abs(distance(p, arc.centre) - arc.radius)).toBeLessThan(1e-11);
        }
      }),
      withSeed(100),
    );
    fc.assert(
      fc.property(anyCubic, (cubic) => {
        const line = ringPoints(flattenSegments([cubic], 0.1));
        const dense = ringPoints(flattenSegments([cubic], 0.00001));
        for (const p of line) {
          const nearest = Math.min(...dense.slice(1).map((q, i) => distanceToStretch(p, dense[i]!, q)));
          expect(nearest).toBeLessThan(0.00002);
        }
      }),
      withSeed(15),
    );
  });

  it('gives a segment and its reverse bitwise the same vertices', () => {
    fc.assert(
      fc.property(anySegment, tolerances, (segment, tolerance) => {
        const there = ringPoints(flattenSegments([segment], tolerance));
        const back = ringPoints(flattenSegments([reverseSegment(segment)], tolerance));
        expect(back.reverse()).toEqual(there);
      }),
      withSeed(200),
    );
  });

  it('uses as few chords on an arc as the tolerance allows', () => {
    fc.assert(
      fc.property(anyArc, (arc) => {
        const chords = flattenSegments([arc]).length / 2 - 1;
        const step = 2 * Math.acos(1 - FLATTEN_TOLERANCE / arc.radius);
        const quarters = Math.ceil(Math.abs(arc.sweep) / (Math.PI / 2) - 1e-9);
        expect(chords).toBe(Math.max(quarters, Math.ceil(Math.abs(arc.sweep) / step - 1e-9)));
      }),
      withSeed(200),
    );
  });

  it('meets the extremes of whole circles, either way round', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 60, noNaN: true }), fc.boolean(), (radius, reversed) => {
        const circle = circleCurve({ x: 2, y: 3 }, radius);
        const ring = ringPoints(flattenCurve(reversed ? reverseCurve(circle) : circle));
        expect(ring.length % 4).toBe(0);
        expect(Math.max(...ring.map((p) => p.x))).toBeCloseTo(2 + radius, 12);
        expect(Math.min(...ring.map((p) => p.x))).toBeCloseTo(2 - radius, 12);
        expect(Math.max(...ring.map((p) => p.y))).toBeCloseTo(3 + radius, 12);
        expect(Math.min(...ring.map((p) => p.y))).toBeCloseTo(3 - radius, 12);
      }),
      withSeed(100),
    );
  });

  it('keeps joints bitwise and does not repeat the first vertex', () => {
    const curve = leaf(40, 14);
    const ring = ringPoints(flattenCurve(curve));
    for (const segment of curve.segments) expect(ring).toContainEqual(segment.from);
    expect(ring.filter((p) => distance(p, ring[0]!) === 0)).toHaveLength(1);
    const open = flattenSegments(curve.segments.slice(0, 1));
    expect([open[0], open[1]]).toEqual([curve.segments[0]!.from.x, curve.segments[0]!.from.y]);
    expect([...open.slice(-2)]).toEqual([curve.segments[0]!.to.x, curve.segments[0]!.to.y]);
  });

  it('leaves polygons as they are and handles the smallest circles', () => {
    const square = polygonCurve([
      { x: 0, y: 0 },
      { x: 1, y: 0 },
      { x: 1, y: 1 },
    ]);
    expect([...flattenCurve(square)]).toEqual([0, 0, 1, 0, 1, 1]);
    expect(flattenCurve(circleCurve({ x: 0, y: 0 }, 0.0001)).length / 2).toBe(8);
    expect(flattenSegments([])).toHaveLength(0);
  });

  it('needs about sqrt(8 tolerance radius) a chord on an ellipse', () => {
    // Chord of sagitta s on radius r: sqrt(8 s r). Integrated over the ellipse's curvature that makes 387 chords.
    expect(flattenCurve(ellipse(19, 12.5)).length / 2).toBeLessThan(1.1 * 387);
  });

  it('refuses a tolerance of zero', () => {
    expect(() => flattenSegments([arcOf({ x: 0, y: 0 }, 1, 0, 1)], 0)).toThrow(
      expect.objectContaining({ code: 'bad-tolerance' }),
    );
  });
});
