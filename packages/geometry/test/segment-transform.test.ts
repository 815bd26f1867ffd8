import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Affine,
  apply,
  circleCurve,
  compose,
  distance,
  hausdorffDistance,
  pointAt,
  polygonCurve,
  rotation,
  scaling,
  transformCurve,
  transformSegment,
} from '../src/index.ts';
import { arcAsCubics } from '../src/segment-transform.ts';
import { anyArc, anyPlacing, anySegment, arcOf, CURVE_SEED, ellipse, withSeed } from './curve-shapes.ts';

const factor = fc.oneof(
  fc.double({ min: 0.2, max: 4, noNaN: true }),
  fc.double({ min: -4, max: -0.2, noNaN: true }),
);

describe(`segments under affine maps (seed ${CURVE_SEED})`, () => {
  it('arcs stay arcs under similarities, and mirrors flip their sweep', () => {
    fc.assert(
      fc.property(anyArc, anyPlacing, factor, fc.boolean(), (arc, placing, size, mirrored) => {
        const m = compose(placing, scaling(mirrored ? -size : size, size));
        const image = transformSegment(arc, m);
        expect(image).toHaveLength(1);
        const [only] = image;
        if (only?.kind !== 'arc') throw new Error('an arc became a cubic');
        expect(only.radius).toBeCloseTo(arc.radius * Math.abs(size), 10);
        expect(only.sweep).toBe(mirrored ? -arc.sweep : arc.sweep);
        for (const t of [0, 0.25, 0.7, 1]) {
          expect(distance(pointAt(only, t), apply(m, pointAt(arc, t)))).toBeLessThan(1e-10);
        }
      }),
      withSeed(200),
    );
  });

  it('other maps turn arcs into cubics within 0.05 um of the ellipse', () => {
    fc.assert(
      fc.property(anyArc, anyPlacing, anyPlacing, factor, factor, (arc, placing, turn, sx, sy) => {
        fc.pre(Math.abs(Math.abs(sx) - Math.abs(sy)) > 0.01);
        const m = compose(placing, compose(scaling(sx, sy), turn));
        const cubics = transformSegment(arc, m);
        expect(cubics[0]!.from).toEqual(apply(m, arc.from));
        expect(cubics[cubics.length - 1]!.to).toEqual(apply(m, arc.to));
        // Back in the circle's frame a deviation shows as a wrong radius, shrunk by at most the larger factor.
        const back = invertOf(m);
        for (const cubic of cubics) {
          expect(cubic.kind).toBe('cubic');
          for (let i = 0; i <= 40; i++) {
            const p = apply(back, pointAt(cubic, i / 40));
            const off = Math.abs(distance(p, arc.centre) - arc.radius);
            expect(off * Math.max(Math.abs(sx), Math.abs(sy))).toBeLessThan(0.00005 * 1.001);
          }
        }
      }),
      withSeed(100),
    );
  });

  it('one cubic on a quarter circle is off by 2.73e-4 of the radius, and on half of that angle by 64 times less', () => {
    // The well-known figure for handles 4/3 tan(angle/4), e.g. Goldapp, CAGD 8 (1991), from memory.
    const worst = (sweep: number): number => {
      const [cubic] = arcAsCubics(arcOf({ x: 0, y: 0 }, 1, 0.3, sweep), scaling(1), 1);
      let most = 0;
      for (let i = 0; i <= 2000; i++) {
        const p = pointAt(cubic!, i / 2000);
        most = Math.max(most, Math.abs(Math.hypot(p.x, p.y) - 1));
      }
      return most;
    };
    expect(worst(Math.PI / 2)).toBeGreaterThan(2.72e-4);
    expect(worst(Math.PI / 2)).toBeLessThan(2.73e-4);
    expect(worst(Math.PI / 2) / worst(Math.PI / 4)).toBeGreaterThan(60);
    expect(worst(Math.PI / 2) / worst(Math.PI / 4)).toBeLessThan(68);
  });

  it('every kind of segment maps point by point', () => {
    const m: Affine = { a: 1.2, b: 0.4, c: -0.3, d: 0.9, e: 3, f: -2 };
    fc.assert(
      fc.property(anySegment, (segment) => {
        const image = { segments: transformSegment(segment, m) };
        const points = Array.from({ length: 400 }, (_, i) => apply(m, pointAt(segment, i / 399)));
        const line = { segments: polygonCurve(points).segments.slice(0, -1) };
        const { lower } = hausdorffDistance([image], [line], 0.05);
        const longest = Math.max(...line.segments.map(({ from, to }) => distance(from, to)));
        expect(lower).toBeLessThan(longest);
      }),
      withSeed(40),
    );
  });

  it('a turned ellipse is an ellipse, a turned circle one arc', () => {
    expect(transformCurve(circleCurve({ x: 1, y: 2 }, 3), rotation(0.7)).segments).toHaveLength(1);
    expect(ellipse(12, 7).segments.every(({ kind }) => kind === 'cubic')).toBe(true);
  });
});

function invertOf(m: Affine): Affine {
  const det = m.a * m.d - m.b * m.c;
  return {
    a: m.d / det,
    b: -m.b / det,
    c: -m.c / det,
    d: m.a / det,
    e: (m.c * m.f - m.d * m.e) / det,
    f: (m.b * m.e - m.a * m.f) / det,
  };
}
