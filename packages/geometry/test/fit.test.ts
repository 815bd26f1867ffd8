import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  type ArcSegment,
  apply,
  type Curve,
  circleCurve,
  closing,
  curveLength,
  difference,
  distance,
  FIT_TOLERANCE,
  fitCurve,
  flattenCurve,
  hausdorffDistance,
  intersection,
  invert,
  offset,
  openKernel,
  polygonCurve,
  type Region,
  regionArea,
  regionFromCurves,
  reverseCurve,
  ringArea,
  signedArea,
  transformCurve,
  union,
} from '../src/index.ts';
import {
  anyBlob,
  anyPlacing,
  CURVE_SEED,
  ellipse,
  leaf,
  onGrid,
  rectanglePoints,
  ringCurve,
  rounded,
  starPoints,
  tangentBreaks,
  withSeed,
} from './curve-shapes.ts';

beforeAll(() => openKernel());

/** Tangent breaks above this are corners; the package promises 1e-5 at other joints. */
const SMOOTH = 1e-5;

const ringOf = (curve: Curve): Float64Array => onGrid(flattenCurve(curve));

const regionOf = (...curves: Curve[]): Region => regionFromCurves(curves, 'nonzero');

function counts(curve: Curve): { lines: number; arcs: number; corners: number } {
  return {
    lines: curve.segments.filter(({ kind }) => kind === 'line').length,
    arcs: curve.segments.filter(({ kind }) => kind === 'arc').length,
    corners: tangentBreaks(curve).filter(({ size }) => size > SMOOTH).length,
  };
}

/** What every refit must keep: closed bitwise, lines and arcs, near both ways, the same way round, crossing nothing. */
function checkFit(ring: Float64Array, fitted: Curve, tolerance: number): void {
  fitted.segments.forEach((segment, i) => {
    expect(segment.kind).not.toBe('cubic');
    expect(segment.to).toEqual(fitted.segments[(i + 1) % fitted.segments.length]!.from);
    if (segment.kind === 'arc') {
      expect(Math.abs(distance(segment.from, segment.centre) - segment.radius)).toBeLessThan(1e-8);
      expect(Math.abs(distance(segment.to, segment.centre) - segment.radius)).toBeLessThan(1e-8);
    }
  });
  const { lower } = hausdorffDistance([fitted], [ringCurve(ring)], 0.003);
  expect(lower).toBeLessThanOrEqual(tolerance + 1e-9);
  const area = signedArea(fitted);
  expect(Math.sign(area)).toBe(Math.sign(ringArea(ring)));
  // A curve that crossed itself would wind twice or backwards round some of its own area.
  const filled = regionArea(regionOf(fitted));
  expect(Math.abs(filled - Math.abs(area))).toBeLessThan(0.0006 * curveLength(fitted) + 1e-9);
}

const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const anyOutline: fc.Arbitrary<Curve> = fc
  .tuple(
    fc.oneof(
      anyBlob,
      fc.tuple(real(3, 18), real(2, 12)).map(([a, b]) => ellipse(a, b)),
      real(0.3, 8).map((r) => circleCurve({ x: 0, y: 0 }, r)),
      fc.tuple(real(3, 20), real(3, 12), real(0.05, 1)).map(([w, h, r]) => rounded(rectanglePoints(w, h), r)),
      fc
        .tuple(fc.integer({ min: 3, max: 9 }), real(4, 12), real(1, 3.5))
        .map(([n, outer, inner]) => polygonCurve(starPoints(n, outer, inner))),
      fc.tuple(real(6, 30), real(2, 6)).map(([l, w]) => leaf(l, w)),
    ),
    anyPlacing,
  )
  .map(([curve, placing]) =>
    transformCurve(transformCurve(curve, placing), { a: 1, b: 0, c: 0, d: 1, e: 0, f: 0 }),
  );

describe(`refitting keeps its promises (seed ${CURVE_SEED})`, () => {
  it('on unions, differences, intersections, offsets and closings of random outlines', () => {
    let edges = 0;
    let segments = 0;
    fc.assert(
      fc.property(
        anyOutline,
        anyOutline,
        fc.constantFrom('one', 'union', 'difference', 'intersection'),
        fc.constantFrom(0, 0.1, -0.1, 0.03, 0.5, -0.4),
        fc.boolean(),
        (a, b, how, grow, closed) => {
          let region = regionOf(a);
          const other = regionOf(
            transformCurve(b, { a: 1, b: 0, c: 0, d: 1, e: shiftTo(a, b).x, f: shiftTo(a, b).y }),
          );
          if (how === 'union') region = union([region, other]);
          if (how === 'difference') region = difference(region, other);
          if (how === 'intersection') region = intersection(region, other);
          if (grow !== 0) region = offset(region, grow);
          if (closed) region = closing(region, 0.08);
          for (const ring of region.rings) {
            const fitted = fitCurve(ring);
            checkFit(ring, fitted, FIT_TOLERANCE);
            edges += ring.length / 2;
            segments += fitted.segments.length;
          }
        },
      ),
      withSeed(150),
    );
    expect(edges / segments).toBeGreaterThan(9);
  });

  it('with other tolerances: coarser ones need fewer arcs', () => {
    fc.assert(
      fc.property(anyBlob, (blob) => {
        const ring = ringOf(blob);
        const numbers = [0.0015, 0.004, 0.01].map((tolerance) => {
          const fitted = fitCurve(ring, { tolerance });
          checkFit(ring, fitted, tolerance);
          return fitted.segments.length;
        });
        expect(numbers[1]).toBeLessThan(numbers[0]!);
        expect(numbers[2]).toBeLessThanOrEqual(numbers[1]!);
      }),
      withSeed(25),
    );
  });

  it('smooth rings come back without a corner, about ten times smaller', () => {
    let edges = 0;
    let segments = 0;
    fc.assert(
      fc.property(anyBlob, fc.constantFrom(0, 0.1, -0.1), (blob, grow) => {
        const region = offset(regionOf(blob), grow);
        fc.pre(region.rings.length === 1);
        const ring = region.rings[0]!;
        const fitted = fitCurve(ring);
        checkFit(ring, fitted, FIT_TOLERANCE);
        expect(Math.max(...tangentBreaks(fitted).map(({ size }) => size))).toBeLessThanOrEqual(SMOOTH);
        edges += ring.length / 2;
        segments += fitted.segments.length;
      }),
      withSeed(60),
    );
    expect(edges / segments).toBeGreaterThan(9.5);
  });

  it('corners only where the drawing has them', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 4, max: 12 }),
        real(6, 12),
        real(2, 4),
        anyPlacing,
        (n, outer, inner, placing) => {
          const star = transformCurve(polygonCurve(starPoints(n, outer, inner)), placing);
          const corners = star.segments.map(({ from }) => from);
          for (const at of tangentBreaks(fitCurve(ringOf(star))).filter(({ size }) => size > SMOOTH)) {
            expect(Math.min(...corners.map((corner) => distance(corner, at.at)))).toBeLessThan(0.0001);
          }
          // Grown, outer points are round and only the inner ones stay corners.
          const grown = fitCurve(offset(regionOf(star), 0.1).rings[0]!);
          expect(counts(grown)).toEqual({ lines: 2 * n, arcs: n, corners: n });
        },
      ),
      withSeed(40),
    );
  });
});

describe('circles, lines and arcs of the drawing', () => {
  it('circles come back as one arc, centre and radius within 10 nm, either way round', () => {
    fc.assert(
      fc.property(real(-80, 80), real(-80, 80), real(0.05, 60), fc.boolean(), (x, y, radius, hole) => {
        const circle = circleCurve({ x, y }, radius);
        const fitted = fitCurve(ringOf(hole ? reverseCurve(circle) : circle));
        expect(fitted.segments).toHaveLength(1);
        const arc = fitted.segments[0] as ArcSegment;
        expect(arc.kind).toBe('arc');
        expect(arc.sweep).toBe((hole ? -2 : 2) * Math.PI);
        expect(distance(arc.centre, { x, y })).toBeLessThan(0.00001);
        expect(Math.abs(arc.radius - radius)).toBeLessThan(0.00001);
      }),
      withSeed(200),
    );
  });

  it('offset circles too, as far as offsetting their chords keeps the radius', () => {
    // The offset of a chord's polygon by d has its vertices d (1 / cos(step/2) - 1) farther out: below d s / r for sagitta s.
    for (const [radius, grow] of [
      [5, 0.1],
      [3, -0.08],
      [0.8, 0.05],
      [12, 1],
    ] as const) {
      const fitted = fitCurve(offset(regionOf(circleCurve({ x: 1, y: 2 }, radius)), grow).rings[0]!);
      expect(fitted.segments).toHaveLength(1);
      const arc = fitted.segments[0] as ArcSegment;
      expect(distance(arc.centre, { x: 1, y: 2 })).toBeLessThan(0.00001);
      expect(Math.abs(arc.radius - radius - grow)).toBeLessThan(0.00001 + (Math.abs(grow) * 0.0005) / radius);
    }
  });

  it('an offset rounded rectangle is four lines and four arcs, smooth, with the radii and places of the true offset', () => {
    for (const grow of [0, 0.1, -0.1, 0.5, 0.08]) {
      const ring = offset(regionOf(rounded(rectanglePoints(30, 20), 3)), grow).rings[0]!;
      const fitted = fitCurve(ring);
      checkFit(ring, fitted, FIT_TOLERANCE);
      expect(counts(fitted)).toEqual({ lines: 4, arcs: 4, corners: 0 });
      // Offsetting chords leaves an arc's polygon up to d s / r off in radius (chord error s); lines and arcs share that.
      const off = 0.00001 + (2 * Math.abs(grow) * 0.0005) / 3;
      for (const segment of fitted.segments) {
        if (segment.kind === 'arc') {
          const corner = { x: segment.centre.x < 15 ? 3 : 27, y: segment.centre.y < 10 ? 3 : 17 };
          expect(distance(segment.centre, corner)).toBeLessThan(off);
          expect(Math.abs(segment.radius - 3 - grow)).toBeLessThan(off);
        } else {
          const { from, to } = segment;
          const sides = [
            [from.x + grow, to.x + grow],
            [from.x - 30 - grow, to.x - 30 - grow],
            [from.y + grow, to.y + grow],
            [from.y - 20 - grow, to.y - 20 - grow],
          ].map(([a, b]) => Math.max(Math.abs(a!), Math.abs(b!)));
          expect(Math.min(...sides)).toBeLessThan(off);
        }
      }
    }
  });

  it("round joins of an offset get the offset's radius, though their edges are tangents", () => {
    for (const grow of [0.05, 0.1, 0.5]) {
      const sharp = offset(regionOf(polygonCurve(rectanglePoints(30, 20))), grow).rings[0]!;
      for (const segment of fitCurve(sharp).segments) {
        if (segment.kind === 'arc') expect(Math.abs(segment.radius - grow)).toBeLessThan(0.00001);
      }
      const grown = fitCurve(offset(regionOf(leaf(40, 14)), grow).rings[0]!);
      expect(counts(grown)).toEqual({ lines: 0, arcs: 4, corners: 0 });
      for (const segment of grown.segments) {
        const radius = (segment as ArcSegment).radius;
        const source = (leaf(40, 14).segments[0] as ArcSegment).radius;
        expect(Math.min(Math.abs(radius - grow), Math.abs(radius - source - grow))).toBeLessThan(0.00005);
      }
    }
  });

  it('a leaf keeps its two arcs and two points', () => {
    const fitted = fitCurve(ringOf(leaf(40, 14)));
    expect(counts(fitted)).toEqual({ lines: 0, arcs: 2, corners: 2 });
    expect(tangentBreaks(fitted).map(({ at }) => Math.abs(at.y))).toEqual([20, 20]);
  });

  it('a rounded star, plain and grown by 0.1', () => {
    const star = rounded(starPoints(5, 12, 5), 0.4);
    for (const grow of [0, 0.1, -0.1]) {
      const fitted = fitCurve(offset(regionOf(star), grow).rings[0]!);
      expect(counts(fitted)).toEqual({ lines: 10, arcs: 10, corners: 0 });
    }
  });

  it('an ellipse of 38 by 25 takes at most 32 arcs, a thirteenth of its chords', () => {
    const ring = ringOf(ellipse(19, 12.5));
    const fitted = fitCurve(ring);
    expect(fitted.segments.length).toBeLessThanOrEqual(32);
    expect(ring.length / 2 / fitted.segments.length).toBeGreaterThan(13);
  });

  it('a drawing and its turned and moved copy give about the same segments', () => {
    fc.assert(
      fc.property(anyPlacing, (placing) => {
        const here = fitCurve(ringOf(rounded(starPoints(5, 12, 5), 0.4)));
        const there = fitCurve(ringOf(transformCurve(rounded(starPoints(5, 12, 5), 0.4), placing)));
        expect(counts(there)).toEqual(counts(here));
        const back = transformCurve(there, invert(placing));
        expect(hausdorffDistance([back], [here], 0.05).lower).toBeLessThan(0.00001);
        expect(apply(placing, { x: 0, y: 0 })).toBeDefined();
      }),
      withSeed(20),
    );
  });
});

describe('odd rings', () => {
  const fit = (numbers: readonly number[]): Curve => fitCurve(Float64Array.from(numbers));

  it('triangles, slivers and needles keep their points', () => {
    for (const ring of [
      [0, 0, 10, 1, 3, 8],
      [0, 0, 20, 0.01, 0, 0.02],
      [0, 0, 1, 0, 0.5, 0.000003],
      [0, 0, 0.001, 0, 0, 0.001],
    ]) {
      const fitted = fit(ring);
      const { lower } = hausdorffDistance([fitted], [ringCurve(Float64Array.from(ring))], 0.001);
      expect(lower).toBeLessThanOrEqual(FIT_TOLERANCE);
    }
    for (const ring of [
      [0, 0, 10, 1, 3, 8],
      [0, 0, 20, 0.01, 0, 0.02],
    ]) {
      expect(counts(fit(ring))).toEqual({ lines: 3, arcs: 0, corners: 3 });
    }
  });

  it('rings without area become what is left of them', () => {
    expect(fit([]).segments).toEqual([]);
    expect(fit([1, 2]).segments).toEqual([]);
    expect(fit([1, 2, 1, 2, 1, 2]).segments).toEqual([]);
    expect(fit([0, 0, 5, 0]).segments).toHaveLength(2);
    expect(fit([0, 0, 5, 0, 10, 0, 5, 0]).segments).toHaveLength(2);
  });

  it('repeated vertices and vertices on straight runs change nothing', () => {
    const square = fit([0, 0, 10, 0, 10, 10, 0, 10]);
    const dense = fit([0, 0, 0, 0, 3, 0, 7, 0, 10, 0, 10, 0.000001, 10, 4, 10, 10, 5, 10, 0, 10, 0, 5]);
    expect(dense.segments).toHaveLength(4);
    expect(hausdorffDistance([square], [dense], 0.1).lower).toBeLessThan(0.00001);
  });

  it('the smallest holes: radius 0.05 mm is a circle, 2 um stays within the tolerance', () => {
    expect(fitCurve(ringOf(circleCurve({ x: 3.123, y: 4.777 }, 0.05))).segments).toHaveLength(1);
    const speck = ringOf(circleCurve({ x: 1, y: 1 }, 0.002));
    const fitted = fitCurve(speck);
    expect(hausdorffDistance([fitted], [ringCurve(speck)], 0.0001).lower).toBeLessThanOrEqual(FIT_TOLERANCE);
  });

  it('a polygon too coarse to be a curve keeps its corners', () => {
    const ring = ringOf(polygonCurve(starPoints(16, 10, 10)));
    expect(counts(fitCurve(ring))).toEqual({ lines: 32, arcs: 0, corners: 32 });
  });

  it('two strands nearer than the tolerance stay near, each on its own side', () => {
    const slit = [0, 0, 10, 0, 10, 5, 5.0005, 5, 5.0003, 1, 4.9997, 1, 4.9995, 5, 0, 5];
    const ring = Float64Array.from(slit);
    const fitted = fitCurve(ring);
    expect(hausdorffDistance([fitted], [ringCurve(ring)], 0.001).lower).toBeLessThanOrEqual(FIT_TOLERANCE);
    expect(signedArea(fitted)).toBeCloseTo(ringArea(ring), 2);
  });

  it('noise below the tolerance does not break a smooth ring', () => {
    fc.assert(
      fc.property(anyBlob, fc.integer(), (blob, seed) => {
        let state = seed >>> 0 || 1;
        const noise = (): number => {
          state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
          return (state / 2 ** 32 - 0.5) * 0.0002;
        };
        const ring = onGrid(flattenCurve(blob).map((value) => value + noise()));
        const fitted = fitCurve(ring);
        checkFit(ring, fitted, FIT_TOLERANCE);
        expect(Math.max(...tangentBreaks(fitted).map(({ size }) => size))).toBeLessThanOrEqual(SMOOTH);
      }),
      withSeed(25),
    );
  });

  it('refuses coordinates that are not numbers and tolerances near the grid', () => {
    expect(() => fit([0, 0, Number.NaN, 1, 2, 2])).toThrow(
      expect.objectContaining({ code: 'bad-coordinate', details: { vertex: 1 } }),
    );
    expect(() => fitCurve(Float64Array.from([0, 0, 1, 0, 0, 1]), { tolerance: 0.000001 })).toThrow(
      expect.objectContaining({ code: 'bad-tolerance' }),
    );
  });
});

/** Brings the middle of b to that of a's first point, so that random outlines meet. */
function shiftTo(a: Curve, b: Curve): { x: number; y: number } {
  const p = a.segments[0]!.from;
  const q = b.segments[0]!.from;
  return { x: p.x - q.x, y: p.y - q.y };
}
