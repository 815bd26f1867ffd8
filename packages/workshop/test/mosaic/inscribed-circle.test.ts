import { circleCurve, flattenCurve, polygonCurve, type Region, reverseCurve } from '@inlaywright/geometry';
import { describe, expect, it } from 'vitest';
import { inscribedCircle } from '../../src/mosaic/inscribed-circle.ts';

const polygon = (...points: [number, number][]): Region => ({
  rings: [flattenCurve(polygonCurve(points.map(([x, y]) => ({ x, y }))))],
});

describe('inscribedCircle', () => {
  it('in closed form: rectangle, equilateral and right-angled triangle, annulus', () => {
    expect(inscribedCircle(polygon([0, 0], [10, 0], [10, 4], [0, 4])).radius).toBeCloseTo(2, 2);
    const height = 10 * Math.sin(Math.PI / 3);
    expect(inscribedCircle(polygon([0, 0], [10, 0], [5, height])).radius).toBeCloseTo(height / 3, 2);
    // Legs 3 and 4: radius (3 + 4 - 5) / 2, centre (1, 1).
    const right = inscribedCircle(polygon([0, 0], [4, 0], [0, 3]), Number.POSITIVE_INFINITY, 1e-5);
    expect(right.radius).toBeCloseTo(1, 4);
    expect(right.centre.x).toBeCloseTo(1, 2);
    expect(right.centre.y).toBeCloseTo(1, 2);
    const annulus: Region = {
      rings: [
        flattenCurve(circleCurve({ x: 0, y: 0 }, 10)),
        flattenCurve(reverseCurve(circleCurve({ x: 0, y: 0 }, 7))),
      ],
    };
    expect(inscribedCircle(annulus, Number.POSITIVE_INFINITY, 0.01).radius).toBeGreaterThan(1.485);
    expect(inscribedCircle(annulus, Number.POSITIVE_INFINITY, 0.01).radius).toBeLessThan(1.501);
  });

  it('never promises more than there is, and keeps its precision', () => {
    for (const precision of [0.1, 0.01, 0.001]) {
      const { radius } = inscribedCircle(
        polygon([0, 0], [30, 0], [30, 0.9], [0, 0.9]),
        Number.POSITIVE_INFINITY,
        precision,
      );
      expect(radius).toBeLessThanOrEqual(0.45 + 1e-12);
      expect(radius).toBeGreaterThanOrEqual(0.45 - precision);
    }
  });

  it('stops as soon as enough fits', () => {
    const { radius } = inscribedCircle(polygon([0, 0], [100, 0], [100, 100], [0, 100]), 3);
    expect(radius).toBeGreaterThanOrEqual(3);
  });
});
