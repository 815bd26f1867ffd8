import { logNormalInterval } from '../statistics/normal.ts';
import { COUNT, cutsOf, type Drawn, meanOverlap, scatterOf } from './likelihood.ts';
import { type Estimate, estimate, expectation, type Posterior } from './posterior.ts';
import { GRADES, type Grade } from './trial.ts';

/** Probability of each grade for a step drawn with an allowance, one set of unknowns. */
export function gradeProbabilities(theta: ArrayLike<number>, allowanceMm: number, drawn: Drawn): number[] {
  const mean = meanOverlap(theta, allowanceMm, drawn);
  const sd = scatterOf(theta);
  const bounds = [Number.NEGATIVE_INFINITY, ...cutsOf(theta), Number.POSITIVE_INFINITY];
  return GRADES.map((_, grade) =>
    Math.exp(logNormalInterval((bounds[grade]! - mean) / sd, (bounds[grade + 1]! - mean) / sd)),
  );
}

/** Probability, over all that is still unknown, that a seam drawn with an allowance lands in a grade. */
export function gradeProbability(
  posterior: Posterior,
  drawn: Drawn,
  grade: Grade,
  allowanceMm: number,
): number {
  const index = GRADES.indexOf(grade);
  return expectation(posterior, (theta) => gradeProbabilities(theta, allowanceMm, drawn)[index]!);
}

/** The allowances, as drawn, between which a grade is the usual outcome; open at the ends of the scale. */
export interface GradeWindow {
  readonly grade: Grade;
  readonly from?: Estimate;
  readonly to?: Estimate;
}

/** Window of each grade in the allowances that the same coupon's drawing uses, mm a side. */
export function gradeWindows(posterior: Posterior, drawn: Drawn, confidence = 0.9): GradeWindow[] {
  const boundary = (j: number): Estimate =>
    estimate(posterior, (theta) => cutsOf(theta)[j]! - meanOverlap(theta, 0, drawn), confidence);
  const boundaries = [0, 1, 2, 3].map(boundary);
  return GRADES.map((grade, i) => ({
    grade,
    ...(i === 0 ? {} : { from: boundaries[i - 1]! }),
    ...(i === 4 ? {} : { to: boundaries[i]! }),
  }));
}

export interface BestAllowance {
  readonly allowanceMm: number;
  /** Probability that a seam drawn with it lands in the grade. */
  readonly probability: number;
}

/** The allowance, to 1 um, that lands most often in a grade; found on a grid, then by golden section. */
export function bestAllowance(posterior: Posterior, drawn: Drawn, grade: Grade): BestAllowance {
  const index = GRADES.indexOf(grade);
  if (index === 0 || index === 4) {
    throw new RangeError(`${grade} is open-ended: there is no allowance that suits it best.`);
  }
  const thinned = thin(posterior, 1200);
  const probability = (a: number): number => gradeProbability(thinned, drawn, grade, a);
  const windows = gradeWindows(thinned, drawn);
  const low = windows[index]!.from!.low - 0.02;
  const high = windows[index]!.to!.high + 0.02;
  const steps = 24;
  let start = low;
  let reached = -1;
  for (let i = 0; i <= steps; i++) {
    const a = low + ((high - low) * i) / steps;
    const p = probability(a);
    if (p > reached) [start, reached] = [a, p];
  }
  const allowanceMm = goldenSection(
    probability,
    start - (high - low) / steps,
    start + (high - low) / steps,
    5e-4,
  );
  const rounded = Math.round(allowanceMm * 1000) / 1000;
  return { allowanceMm: rounded, probability: gradeProbability(posterior, drawn, grade, rounded) };
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;

function goldenSection(f: (x: number) => number, from: number, to: number, tolerance: number): number {
  let [a, b] = [from, to];
  let [c, d] = [b - GOLDEN * (b - a), a + GOLDEN * (b - a)];
  let [fc, fd] = [f(c), f(d)];
  while (b - a > tolerance) {
    if (fc > fd) {
      [b, d, fd] = [d, c, fc];
      c = b - GOLDEN * (b - a);
      fc = f(c);
    } else {
      [a, c, fc] = [c, d, fd];
      d = a + GOLDEN * (b - a);
      fd = f(d);
    }
  }
  return (a + b) / 2;
}

/**
 * Fewer, equally weighted draws for figures that are evaluated over and over: systematic resampling,
 * which keeps every draw whose weight is above one share.
 */
export function thin(posterior: Posterior, size: number): Posterior {
  if (posterior.size <= size) return posterior;
  const draws = new Float64Array(size * COUNT);
  let source = 0;
  let reached = posterior.weights[0]!;
  for (let s = 0; s < size; s++) {
    const wanted = (s + 0.5) / size;
    while (reached < wanted && source < posterior.size - 1) reached += posterior.weights[++source]!;
    draws.set(posterior.draws.subarray(source * COUNT, (source + 1) * COUNT), s * COUNT);
  }
  return {
    draws,
    weights: new Float64Array(size).fill(1 / size),
    size,
    mode: posterior.mode,
    effectiveSize: size,
  };
}
