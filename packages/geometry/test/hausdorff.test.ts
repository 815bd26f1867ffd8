import { describe, expect, it } from 'vitest';
import { circleCurve, directedHausdorff, hausdorffDistance, polygonCurve } from '../src/index.ts';
import { ellipse, rectanglePoints } from './curve-shapes.ts';

describe('Hausdorff distance', () => {
  const o = { x: 0, y: 0 };

  it('of circles is the difference of radii plus that of centres', () => {
    const { lower, upper } = hausdorffDistance([circleCurve(o, 5)], [circleCurve({ x: 1, y: 0 }, 7)], 0.001);
    expect(lower).toBeLessThanOrEqual(3 + 1e-12);
    expect(upper).toBeGreaterThanOrEqual(3);
    expect(upper - lower).toBeLessThanOrEqual(0.0005 + 1e-12);
    expect(lower).toBeGreaterThan(3 - 1e-6);
  });

  it('is directed: a part lies on the whole, not the whole on the part', () => {
    const square = polygonCurve(rectanglePoints(10, 10));
    const side = { segments: square.segments.slice(0, 1) };
    expect(directedHausdorff([side], [square], 0.1).lower).toBe(0);
    expect(directedHausdorff([square], [side], 0.1).lower).toBe(10);
    expect(hausdorffDistance([side], [square], 0.1).lower).toBe(10);
  });

  it('brackets the true distance of an ellipse from its circle', () => {
    const { lower, upper } = hausdorffDistance([ellipse(6, 5)], [circleCurve(o, 5)], 0.01);
    expect(lower).toBeLessThanOrEqual(1 + 1e-4);
    expect(upper).toBeGreaterThanOrEqual(1);
  });

  it('from nothing is infinite, of nothing is zero', () => {
    expect(directedHausdorff([circleCurve(o, 1)], [], 0.1).lower).toBe(Number.POSITIVE_INFINITY);
    expect(directedHausdorff([], [circleCurve(o, 1)], 0.1)).toEqual({ lower: 0, upper: 0 });
  });
});
