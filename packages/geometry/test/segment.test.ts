import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  distance,
  pointAt,
  reverseSegment,
  type Segment,
  segmentBounds,
  segmentLength,
  splitSegment,
  tangentAt,
} from '../src/index.ts';
import { anyCubic, anySegment, arcOf, CURVE_SEED, withSeed } from './curve-shapes.ts';

const share = fc.double({ min: 0, max: 1, noNaN: true });

describe(`segments (seed ${CURVE_SEED})`, () => {
  it('begin and end bitwise at their ends', () => {
    fc.assert(
      fc.property(anySegment, (segment) => {
        expect(pointAt(segment, 0)).toBe(segment.from);
        expect(pointAt(segment, 1)).toBe(segment.to);
      }),
      withSeed(200),
    );
  });

  it('reversed, are walked the other way', () => {
    fc.assert(
      fc.property(anySegment, share, (segment, t) => {
        expect(distance(pointAt(reverseSegment(segment), t), pointAt(segment, 1 - t))).toBeLessThan(1e-11);
        expect(reverseSegment(reverseSegment(segment))).toEqual(segment);
      }),
      withSeed(300),
    );
  });

  it('have unit tangents that agree with difference quotients', () => {
    fc.assert(
      fc.property(anySegment, fc.double({ min: 0.01, max: 0.99, noNaN: true }), (segment, t) => {
        const h = 1e-6;
        const a = pointAt(segment, t - h);
        const b = pointAt(segment, t + h);
        const step = distance(a, b);
        fc.pre(step > 1e-6);
        const tangent = tangentAt(segment, t);
        expect(Math.hypot(tangent.x, tangent.y)).toBeCloseTo(1, 12);
        expect(Math.hypot(tangent.x - (b.x - a.x) / step, tangent.y - (b.y - a.y) / step)).toBeLessThan(1e-4);
      }),
      withSeed(300),
    );
  });

  it('keep a tangent where control points coincide', () => {
    const from = { x: 0, y: 0 };
    const to = { x: 4, y: 0 };
    const up = { x: 0, y: 3 };
    expect(tangentAt({ kind: 'cubic', from, c1: from, c2: up, to }, 0)).toEqual({ x: 0, y: 1 });
    expect(tangentAt({ kind: 'cubic', from, c1: up, c2: to, to }, 1).x).toBeCloseTo(0.8, 12);
    expect(tangentAt({ kind: 'cubic', from, c1: from, c2: to, to }, 0)).toEqual({ x: 1, y: 0 });
    expect(tangentAt({ kind: 'cubic', from, c1: from, c2: to, to }, 1).x).toBe(1);
    expect(tangentAt({ kind: 'cubic', from, c1: from, c2: from, to: from }, 0.5)).toEqual({ x: 0, y: 0 });
  });

  it('split into two that retrace them', () => {
    fc.assert(
      fc.property(anySegment, fc.double({ min: 0.02, max: 0.98, noNaN: true }), share, (segment, t, u) => {
        const [a, b] = splitSegment(segment, t);
        expect(a.to).toEqual(b.from);
        expect(distance(pointAt(a, u), pointAt(segment, t * u))).toBeLessThan(1e-10);
        expect(distance(pointAt(b, u), pointAt(segment, t + (1 - t) * u))).toBeLessThan(1e-10);
        expect(segmentLength(a) + segmentLength(b)).toBeCloseTo(segmentLength(segment), 8);
      }),
      withSeed(300),
    );
  });

  it('fill their boxes: nothing outside, every side touched', () => {
    fc.assert(
      fc.property(anySegment, (segment) => {
        const box = segmentBounds(segment);
        const points = Array.from({ length: 4001 }, (_, i) => pointAt(segment, i / 4000));
        const step = Math.max(...points.slice(1).map((p, i) => distance(p, points[i]!)));
        const xs = points.map((p) => p.x);
        const ys = points.map((p) => p.y);
        const gaps = [
          Math.min(...xs) - box.minX,
          box.maxX - Math.max(...xs),
          Math.min(...ys) - box.minY,
          box.maxY - Math.max(...ys),
        ];
        expect(Math.min(...gaps)).toBeGreaterThan(-1e-9);
        expect(Math.max(...gaps)).toBeLessThan(step);
      }),
      withSeed(60),
    );
  });

  it('boxes of arcs reach the extremes they pass and no others', () => {
    const half = arcOf({ x: 1, y: 2 }, 3, 0, Math.PI);
    const box = segmentBounds(half);
    expect(box.maxY).toBe(5);
    expect(box.minY).toBeCloseTo(2, 12);
    expect(box.minX).toBeCloseTo(-2, 12);
    expect(box.maxX).toBe(4);
    const quarter = segmentBounds(arcOf({ x: 0, y: 0 }, 1, Math.PI / 4, -Math.PI / 2));
    expect(quarter.maxX).toBe(1);
    expect(quarter.minX).toBeCloseTo(Math.SQRT1_2, 12);
  });
});

describe('lengths', () => {
  it('of arcs and lines are exact', () => {
    expect(segmentLength(arcOf({ x: 5, y: 5 }, 4, 1, -Math.PI / 2))).toBeCloseTo(2 * Math.PI, 12);
    expect(segmentLength({ kind: 'line', from: { x: 0, y: 0 }, to: { x: 3, y: 4 } })).toBe(5);
  });

  it('of a parabola as a cubic agree with the closed form', () => {
    // y = x^2 from 0 to 1: length sqrt(5)/2 + asinh(2)/4, elementary calculus.
    const parabola: Segment = {
      kind: 'cubic',
      from: { x: 0, y: 0 },
      c1: { x: 1 / 3, y: 0 },
      c2: { x: 2 / 3, y: 1 / 3 },
      to: { x: 1, y: 1 },
    };
    expect(segmentLength(parabola)).toBeCloseTo(Math.sqrt(5) / 2 + Math.asinh(2) / 4, 12);
  });

  it('of a cubic with a cusp agree with the closed form', () => {
    // x = t^2, y = t^3 (semicubical parabola) from t = -1 to 1: twice (13 sqrt(13) - 8) / 27 (Neile, 1657).
    const cusp: Segment = {
      kind: 'cubic',
      from: { x: 1, y: -1 },
      c1: { x: -1 / 3, y: 1 },
      c2: { x: -1 / 3, y: -1 },
      to: { x: 1, y: 1 },
    };
    expect(segmentLength(cusp)).toBeCloseTo((2 * (13 * Math.sqrt(13) - 8)) / 27, 9);
  });

  it(`of cubics agree with their polylines, from below (seed ${CURVE_SEED})`, () => {
    fc.assert(
      fc.property(anyCubic, (cubic) => {
        const n = 20_000;
        let sum = 0;
        let before = cubic.from;
        for (let i = 1; i <= n; i++) {
          const p = pointAt(cubic, i / n);
          sum += distance(before, p);
          before = p;
        }
        const length = segmentLength(cubic);
        expect(sum).toBeLessThanOrEqual(length * (1 + 1e-10));
        expect(sum).toBeGreaterThan(length * (1 - 1e-6));
      }),
      withSeed(40),
    );
  });
});
