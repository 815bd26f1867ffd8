import { cholesky, factorPositive, inverseFromCholesky } from '../statistics/matrix.ts';
import { gradeProbabilities, thin } from './grade-window.ts';
import { COUNT, cutsOf, type Drawn, meanOverlap } from './likelihood.ts';
import { estimate, type Posterior } from './posterior.ts';
import { GRADES } from './trial.ts';

/**
 * What to cut and try next. The information of a step is the mutual information between its grade and
 * everything unknown: entropy of the mean grade probabilities minus mean entropy (Lindley 1956, Ann. Math.
 * Stat. 27:986, from memory). A grade that is certain either way tells nothing.
 */

export interface NextStep {
  readonly allowanceMm: number;
  /** Expected information of trying it, in bits. */
  readonly bits: number;
}

/** Expected information of one more step at each allowance, best first. */
export function nextSteps(posterior: Posterior, drawn: Drawn, allowancesMm: readonly number[]): NextStep[] {
  const draws = thin(posterior, 800);
  return allowancesMm
    .map((allowanceMm) => ({ allowanceMm, bits: expectedBits(draws, drawn, allowanceMm) }))
    .sort((a, b) => b.bits - a.bits);
}

function expectedBits(posterior: Posterior, drawn: Drawn, allowanceMm: number): number {
  const mean = new Array<number>(GRADES.length).fill(0);
  let within = 0;
  for (let s = 0; s < posterior.size; s++) {
    const theta = posterior.draws.subarray(s * COUNT, (s + 1) * COUNT);
    const probabilities = gradeProbabilities(theta, allowanceMm, drawn);
    const weight = posterior.weights[s]!;
    probabilities.forEach((p, g) => {
      mean[g]! += weight * p;
    });
    within += weight * entropy(probabilities);
  }
  return Math.max(0, entropy(mean) - within);
}

function entropy(probabilities: readonly number[]): number {
  return -probabilities.reduce((sum, p) => (p > 0 ? sum + p * Math.log2(p) : sum), 0);
}

export interface SmallestCoupon {
  /** Allowances of its steps, loose to tight, mm a side. */
  readonly allowancesMm: readonly number[];
  /** Width of the present interval of the hand-press window's middle, mm. */
  readonly widthNowMm: number;
  /** Width expected after the coupon, mm. */
  readonly widthAfterMm: number;
  /** Fewer than the limit of steps reach half the width. */
  readonly halves: boolean;
}

/**
 * The fewest steps expected to halve the 90 % interval of the middle of the hand-press window, chosen one
 * by one: each time the allowance whose expected information (Fisher) narrows it most, around the
 * posterior's own covariance. An estimate: it linearises around the present best guess.
 */
export function smallestCoupon(
  posterior: Posterior,
  drawn: Drawn,
  allowancesMm: readonly number[],
  limit = 40,
): SmallestCoupon {
  const target = (theta: ArrayLike<number>): number => {
    const cuts = cutsOf(theta);
    return (cuts[1] + cuts[2]) / 2 - meanOverlap(theta, 0, drawn);
  };
  const present = estimate(posterior, target, 0.9);
  const widthNowMm = present.high - present.low;
  const { centre, covariance } = covarianceOf(posterior);
  let information = inverseFromCholesky(factorPositive(covariance, COUNT), COUNT);
  const gradient = gradientOf(target, centre);
  const variance0 = quadratic(covariance, gradient);
  const candidates = allowancesMm.map((a) => ({ a, information: fisher(centre, a, drawn) }));
  const chosen: number[] = [];
  let variance = variance0;
  while (chosen.length < limit && variance > variance0 / 4) {
    let best: { a: number; information: Float64Array; variance: number } | undefined;
    for (const candidate of candidates) {
      const sum = information.map((value, i) => value + candidate.information[i]!);
      const factor = cholesky(sum, COUNT);
      if (!factor) continue;
      const reached = quadratic(inverseFromCholesky(factor, COUNT), gradient);
      if (best === undefined || reached < best.variance)
        best = { a: candidate.a, information: sum, variance: reached };
    }
    if (best === undefined || best.variance >= variance * (1 - 1e-6)) break;
    chosen.push(best.a);
    information = best.information;
    variance = best.variance;
  }
  return {
    allowancesMm: chosen.sort((a, b) => a - b),
    widthNowMm,
    widthAfterMm: widthNowMm * Math.sqrt(variance / variance0),
    halves: variance <= variance0 / 4,
  };
}

function covarianceOf(posterior: Posterior): { centre: Float64Array; covariance: Float64Array } {
  const draws = thin(posterior, 2000);
  const centre = new Float64Array(COUNT);
  for (let s = 0; s < draws.size; s++) {
    for (let i = 0; i < COUNT; i++) centre[i]! += draws.draws[s * COUNT + i]! * draws.weights[s]!;
  }
  const covariance = new Float64Array(COUNT * COUNT);
  for (let s = 0; s < draws.size; s++) {
    for (let i = 0; i < COUNT; i++) {
      for (let j = 0; j < COUNT; j++) {
        covariance[i * COUNT + j]! +=
          draws.weights[s]! *
          (draws.draws[s * COUNT + i]! - centre[i]!) *
          (draws.draws[s * COUNT + j]! - centre[j]!);
      }
    }
  }
  return { centre, covariance };
}

const STEP = 1e-5;

function gradientOf(f: (theta: ArrayLike<number>) => number, at: Float64Array): Float64Array {
  return Float64Array.from({ length: COUNT }, (_, i) => {
    const plus = Float64Array.from(at);
    const minus = Float64Array.from(at);
    plus[i]! += STEP;
    minus[i]! -= STEP;
    return (f(plus) - f(minus)) / (2 * STEP);
  });
}

/** Expected information of one graded step: sum over grades of (dp/dtheta)(dp/dtheta)' / p. */
function fisher(at: Float64Array, allowanceMm: number, drawn: Drawn): Float64Array {
  const p = gradeProbabilities(at, allowanceMm, drawn);
  const slopes = GRADES.map((_, grade) =>
    gradientOf((theta) => gradeProbabilities(theta, allowanceMm, drawn)[grade]!, at),
  );
  const result = new Float64Array(COUNT * COUNT);
  for (let grade = 0; grade < GRADES.length; grade++) {
    if (p[grade]! < 1e-9) continue;
    for (let i = 0; i < COUNT; i++) {
      for (let j = 0; j < COUNT; j++) {
        result[i * COUNT + j]! += (slopes[grade]![i]! * slopes[grade]![j]!) / p[grade]!;
      }
    }
  }
  return result;
}

function quadratic(matrix: Float64Array, vector: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < COUNT; i++)
    for (let j = 0; j < COUNT; j++) sum += vector[i]! * matrix[i * COUNT + j]! * vector[j]!;
  return sum;
}
