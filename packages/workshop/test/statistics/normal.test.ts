import { expect, test } from 'vitest';
import { logNormalCdf, logNormalInterval, normalCdf, normalQuantile } from '../../src/statistics/normal.ts';

test('the distribution is right in the middle and far out', () => {
  // Abramowitz & Stegun, Table 26.1 (from memory): P(1) = 0.841344746068543, P(-3) = 0.001349898031630.
  expect(normalCdf(1)).toBeCloseTo(0.841344746068543, 14);
  expect(normalCdf(-3)).toBeCloseTo(0.00134989803163, 14);
  expect(normalQuantile(0.975)).toBeCloseTo(1.959963984540054, 12);
  // Asymptotic series of the tail: log Q(z) = -z^2/2 - log(z sqrt(2 pi)) + log(1 - 1/z^2 + 3/z^4 - 15/z^6 + ...).
  const z = 30;
  const series =
    -z * z * 0.5 - Math.log(z * Math.sqrt(2 * Math.PI)) + Math.log1p(-1 / z ** 2 + 3 / z ** 4 - 15 / z ** 6);
  expect(logNormalCdf(-z) / series).toBeCloseTo(1, 9);
});

test('interval probabilities keep their digits in both tails and add up', () => {
  for (const [low, high] of [
    [-0.5, 1.2],
    [2, 2.001],
    [-9, -8.5],
    [12, 13],
    [-40, -39],
  ] as const) {
    expect(logNormalInterval(low, high)).toBeCloseTo(logNormalInterval(-high, -low), 12);
    const middle = (low + high) / 2;
    const parts =
      Math.exp(logNormalInterval(low, middle) - logNormalInterval(low, high)) +
      Math.exp(logNormalInterval(middle, high) - logNormalInterval(low, high));
    expect(parts).toBeCloseTo(1, 9);
  }
  expect(Math.exp(logNormalInterval(-0.5, 1.2))).toBeCloseTo(normalCdf(1.2) - normalCdf(-0.5), 14);
  expect(logNormalInterval(1, 1)).toBe(Number.NEGATIVE_INFINITY);
  expect(logNormalInterval(Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY)).toBeCloseTo(0, 15);
});
