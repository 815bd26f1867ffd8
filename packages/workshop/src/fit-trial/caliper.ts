import type { Caliper, Readings } from './trial.ts';

/**
 * Uncertainty of a size read with a caliper, after JCGM 100:2008 (GUM): repeat readings are a type A
 * evaluation (4.2), the caliper's stated error and its resolution are rectangular type B ones (4.3.7,
 * F.2.2.1); they combine as the root of their squares (5.1.2). Clause numbers from memory.
 */

export interface Size {
  readonly meanMm: number;
  /** Standard uncertainty of the mean, mm. */
  readonly uncertaintyMm: number;
}

/**
 * With a single reading there is no spread to see; the repeat part is then taken as `repeatMm`,
 * the spread that a careful hand has.
 */
export function sizeFromReadings(readings: Readings, caliper: Caliper, repeatMm = 0.01): Size {
  const n = readings.length;
  const mean = readings.reduce((sum, value) => sum + value, 0) / n;
  const squares = readings.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  const typeA = n > 1 ? Math.sqrt(squares / (n - 1) / n) : repeatMm;
  const typeB = Math.hypot(caliper.largestErrorMm / Math.sqrt(3), caliper.resolutionMm / Math.sqrt(12));
  return { meanMm: mean, uncertaintyMm: Math.hypot(typeA, typeB) };
}

/** Expanded uncertainty, k = 2: about 95 % (GUM 6.2). */
export function expanded(size: Size): number {
  return 2 * size.uncertaintyMm;
}
