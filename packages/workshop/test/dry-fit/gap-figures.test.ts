import { describe, expect, it } from 'vitest';
import { gapFigures, gradeProbability, weightedQuantile } from '../../src/dry-fit/gap-figures.ts';
import { randomNumbers } from './random-shapes.ts';

/** The definition, by sorting. */
function slowQuantile(gaps: Float64Array, weights: Float64Array, target: number): number {
  const order = [...gaps.keys()].sort((i, j) => gaps[i]! - gaps[j]!);
  let load = 0;
  for (const i of order) {
    load += weights[i]!;
    if (load >= target) return gaps[i]!;
  }
  return gaps[order[order.length - 1]!]!;
}

describe('figures of a gap', () => {
  it('take the same quantile as sorting does (seed 5)', () => {
    const random = randomNumbers(5);
    for (let round = 0; round < 300; round++) {
      const count = 1 + Math.floor(40 * random());
      // Few values, so that runs of equal gaps occur; some without weight.
      const gaps = Float64Array.from({ length: count }, () => Math.floor(8 * random()) / 100);
      const weights = Float64Array.from(
        { length: count },
        () => Math.max(0, Math.floor(9 * random()) - 1) / 8,
      );
      const total = weights.reduce((sum, weight) => sum + weight, 0);
      if (total === 0) continue;
      for (const share of [0.05, 0.5, 0.95, 1]) {
        // Eighths add up without rounding; shares of them need not.
        const target = share === 1 ? total : share * total;
        expect(weightedQuantile(gaps, weights, count, target)).toBe(slowQuantile(gaps, weights, target));
      }
    }
  });

  it('weigh by length, and take extremes from places without length too', () => {
    const figures = gapFigures({
      count: 4,
      gaps: Float64Array.of(-0.03, -0.01, 0.2, -0.4),
      weights: Float64Array.of(3, 1, 0, 0),
      x: Float64Array.of(1, 2, 3, 4),
      y: Float64Array.of(5, 6, 7, 8),
    });
    expect(figures.mean).toBeCloseTo(-0.025, 12);
    expect(figures.p95).toBe(-0.01);
    expect([figures.worst, figures.worstAt]).toEqual([0.2, { x: 3, y: 7 }]);
    expect([figures.tightest, figures.tightestAt]).toEqual([-0.4, { x: 4, y: 8 }]);
  });

  it('average the chance of the grade over the length', () => {
    const half = gradeProbability(
      Float64Array.of(-0.03, 0.5),
      Float64Array.of(2, 2),
      2,
      { min: -0.05, max: -0.01 },
      0.00001,
    );
    expect(half).toBeCloseTo(0.5, 9);
  });

  it('keep the digits of small chances far out in the tail', () => {
    // P(8 <= Z <= 9), computed with mpmath (ncdf at 40 digits).
    const chance = gradeProbability(
      Float64Array.of(0),
      Float64Array.of(1),
      1,
      { min: 0.08, max: 0.09 },
      0.01,
    );
    expect(chance / 6.21983198586583e-16).toBeCloseTo(1, 9);
  });
});
