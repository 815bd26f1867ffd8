import {
  buildLocator,
  type Curve,
  flattenCurve,
  flattenSegments,
  nearest,
  type Segment,
  tangentAt,
} from '@inlaywright/geometry';
import { describe, expect, it } from 'vitest';
import { areaCurves, type Shape } from '../../src/index.ts';
import { FIT_MM, fitStretch } from '../../src/parts/compensate-stretch.ts';
import { origin } from './pieces.ts';

function snapped(points: Float64Array): Float64Array {
  return points.map((value) => Math.round(value * 1e6) / 1e6);
}

function drawn(shape: Shape, cornerRadiiMm = 0): Curve {
  return areaCurves({ id: 'a', name: 'a', tone: 'a', shape, cornerRadiiMm }).curves[0]!;
}

function fitClosed(curve: Curve): readonly Segment[] {
  return fitStretch({ points: snapped(flattenCurve(curve)), closed: true });
}

/** Greatest distance of the true curve from the fit and of the fit from the true curve. */
function apart(curve: readonly Segment[], fit: readonly Segment[]): number {
  const way = (from: readonly Segment[], to: readonly Segment[]): number => {
    const locator = buildLocator([{ segments: to }]);
    const dense = flattenSegments(from, 1e-6);
    let most = 0;
    for (let i = 0; i < dense.length; i += 2) {
      most = Math.max(most, nearest(locator, { x: dense[i]!, y: dense[i + 1]! }).distance);
    }
    return most;
  };
  return Math.max(way(curve, fit), way(fit, curve));
}

const kinds = (segments: readonly Segment[]): string => segments.map(({ kind }) => kind[0]).join('');

describe('stretches as lines and arcs', () => {
  it('finds lines and arcs again exactly, to the grid', () => {
    const cases: [Shape, number, number][] = [
      [{ kind: 'drop', centre: origin, widthMm: 4, lengthMm: 7 }, 0, 3],
      [{ kind: 'leaf', centre: origin, widthMm: 4, lengthMm: 17 }, 0, 2],
      [
        { kind: 'crescent', centre: { x: 0, y: -10 }, diameterMm: 9, biteDiameterMm: 8, biteOffsetMm: 2.5 },
        0,
        2,
      ],
      [{ kind: 'star', centre: origin, points: 7, outerDiameterMm: 20, innerDiameterMm: 9 }, 0, 14],
      [{ kind: 'rectangle', centre: origin, widthMm: 10, heightMm: 6, angleDeg: 20 }, 0.5, 8],
    ];
    for (const [shape, radius, count] of cases) {
      const curve = drawn(shape, radius);
      const fit = fitClosed(curve);
      expect(apart(curve.segments, fit)).toBeLessThan(5e-6);
      // A loop that starts in the middle of an arc may have that arc in two.
      expect(fit.length).toBeGreaterThanOrEqual(count);
      expect(fit.length).toBeLessThanOrEqual(count + 1);
    }
  });

  it('keeps cubics within its tolerance and goes on smoothly', () => {
    for (const [width, height] of [
      [30, 20],
      [5, 2],
      [1.2, 0.8],
    ] as const) {
      const curve = drawn({
        kind: 'ellipse',
        centre: { x: 1, y: 2 },
        widthMm: width,
        heightMm: height,
        angleDeg: 13,
      });
      const fit = fitClosed(curve);
      expect(apart(curve.segments, fit)).toBeLessThan(FIT_MM + 0.0001);
      fit.forEach((segment, i) => {
        const a = tangentAt(segment, 1);
        const b = tangentAt(fit[(i + 1) % fit.length]!, 0);
        expect(Math.abs(a.x * b.y - a.y * b.x)).toBeLessThan(1e-6);
      });
    }
  });

  it('ends open stretches bitwise where they end, wherever a curve was cut', () => {
    const ring = snapped(flattenCurve(drawn({ kind: 'ellipse', centre: origin, widthMm: 12, heightMm: 7 })));
    for (let first = 0; first < 40; first++) {
      const count = 20 + 3 * first;
      const points = ring.slice(2 * first, 2 * (first + count));
      // The cut lies on a chord, as an outline crossing there leaves it.
      points[0] = (0.3 * points[0]! + 0.7 * points[2]!) as number;
      points[1] = (0.3 * points[1]! + 0.7 * points[3]!) as number;
      const fit = fitStretch({ points, closed: false });
      expect(fit[0]!.from).toEqual({ x: points[0], y: points[1] });
      expect(fit[fit.length - 1]!.to).toEqual({ x: points[points.length - 2], y: points[points.length - 1] });
      const locator = buildLocator([{ segments: fit }]);
      for (let i = 0; i < points.length; i += 2) {
        expect(nearest(locator, { x: points[i]!, y: points[i + 1]! }).distance).toBeLessThan(FIT_MM + 0.0001);
      }
      for (let i = 1; i < fit.length; i++) expect(fit[i]!.from).toEqual(fit[i - 1]!.to);
    }
  });

  it('does not take a regular polygon for its circle, nor a trapezoid for an arc', () => {
    const hexagon = drawn({ kind: 'regular-polygon', centre: origin, sides: 12, diameterMm: 10 });
    expect(kinds(fitClosed(hexagon))).toBe('l'.repeat(12));
    // Six points on one circle, the long side straight: met in paths round narrow pockets.
    const points = [
      0.894626, -0.158697, 0.894508, -0.157469, 0.894508, 0.157469, 0.894617, 0.158608, 0.9, 0.1, 0.9, -0.1,
    ];
    const fit = fitStretch({ points: Float64Array.from(points), closed: true });
    const locator = buildLocator([{ segments: fit }]);
    expect(nearest(locator, { x: 0.894508, y: 0 }).distance).toBeLessThan(1e-6);
  });

  it('takes the stub of a cut chord into its arc, but not a bevel that leaves it', () => {
    const arc = (from: number, to: number, steps: number) =>
      Array.from({ length: steps + 1 }, (_, i) => {
        const angle = from + ((to - from) * i) / steps;
        return [5 * Math.cos(angle), 5 * Math.sin(angle)] as const;
      }).flat();
    const [x, y] = [5 * Math.cos(1.01), 5 * Math.sin(1.01)];
    const stub = snapped(Float64Array.from([...arc(0, 1, 40), x * 0.99993, y * 0.99993]));
    expect(fitStretch({ points: stub, closed: false })).toHaveLength(1);
    const bevel = snapped(Float64Array.from([...arc(0, 1, 40), x * 0.999, y * 0.999]));
    const fit = fitStretch({ points: bevel, closed: false });
    expect(fit.length).toBeGreaterThan(1);
    const locator = buildLocator([{ segments: fit }]);
    for (let i = 0; i < bevel.length; i += 2) {
      expect(nearest(locator, { x: bevel[i]!, y: bevel[i + 1]! }).distance).toBeLessThan(FIT_MM);
    }
  });

  it('does not swing across a long straight chord between short ones', () => {
    // Met in a path: a line of 1 mm whose ends turn by little, in chords of 5 um.
    const points = [1.883443, -3.557332, 1.882606, -3.557332, 1.877233, -3.558037, 1.873751, -3.558433];
    points.push(1.865789, -3.558947, 0.868694, -3.721867, 0.86375, -3.722674, 0.801546, -3.732839);
    const fit = fitStretch({ points: Float64Array.from(points), closed: false });
    const locator = buildLocator([{ segments: fit }]);
    for (let i = 0; i <= 20; i++) {
      const x = 1.865789 + (i / 20) * (0.868694 - 1.865789);
      const y = -3.558947 + (i / 20) * (-3.721867 + 3.558947);
      expect(nearest(locator, { x, y }).distance).toBeLessThan(FIT_MM + 0.0005);
    }
  });
});
