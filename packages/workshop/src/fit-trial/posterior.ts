import { factorPositive, inverseFromCholesky } from '../statistics/matrix.ts';
import { maximise } from '../statistics/maximise.ts';
import { type Random, seededRandom } from '../statistics/random.ts';
import { COUNT, type Evidence, logPosterior, type Prior, WEAK_PRIOR } from './likelihood.ts';

/**
 * What is known after a trial: weighted draws from the posterior of likelihood.ts, by importance sampling
 * from a multivariate t around the posterior mode, its spread adapted from its own draws until they are
 * good (adaptive importance sampling; Cappé et al. 2004, J. Comput. Graph. Stat. 13:907, from memory).
 * Intervals are equal-tailed quantiles of the weighted draws.
 */

export interface Posterior {
  /** Draws row by row, COUNT unknowns each. */
  readonly draws: Float64Array;
  /** Weights of the draws; they add up to 1. */
  readonly weights: Float64Array;
  readonly size: number;
  readonly mode: Float64Array;
  /** How many independent draws the weighted ones are worth. */
  readonly effectiveSize: number;
}

export interface PosteriorOptions {
  readonly prior?: Prior;
  readonly draws?: number;
  readonly seed?: number;
}

/** Degrees of freedom of the t proposal: heavy enough tails that no weight runs away. */
const DEGREES = 6;
const ROUNDS = 5;
/** Rounds end when this share of the draws counts. */
const GOOD_SHARE = 0.35;

export function posteriorOf(evidence: Evidence, options: PosteriorOptions = {}): Posterior {
  const prior = options.prior ?? WEAK_PRIOR;
  const size = options.draws ?? 4000;
  const random = seededRandom(options.seed ?? 1);
  const target = (theta: ArrayLike<number>): number => logPosterior(theta, evidence, prior);
  const mode = maximise(target, prior.mean, prior.sd, { rounds: 40, tolerance: 1e-8 });
  let centre = mode.at;
  let covariance = inverseFromCholesky(factorPositive(mode.information, COUNT), COUNT);
  let best: Posterior | undefined;
  for (let round = 0; round < ROUNDS; round++) {
    const sample = draw(target, centre, covariance, size, random);
    const posterior = { ...sample, size, mode: mode.at };
    if (best === undefined || posterior.effectiveSize > best.effectiveSize) best = posterior;
    if (best.effectiveSize >= GOOD_SHARE * size) break;
    ({ centre, covariance } = moments(posterior));
  }
  return best!;
}

function draw(
  target: (theta: ArrayLike<number>) => number,
  centre: Float64Array,
  covariance: Float64Array,
  size: number,
  random: Random,
): Pick<Posterior, 'draws' | 'weights' | 'effectiveSize'> {
  const factor = factorPositive(covariance, COUNT);
  const draws = new Float64Array(size * COUNT);
  const logWeights = new Float64Array(size);
  const z = new Float64Array(COUNT);
  let largest = Number.NEGATIVE_INFINITY;
  for (let s = 0; s < size; s++) {
    let chi = 0;
    for (let d = 0; d < DEGREES; d++) chi += random.normal() ** 2;
    const stretch = Math.sqrt(DEGREES / chi);
    let square = 0;
    for (let i = 0; i < COUNT; i++) {
      z[i] = random.normal() * stretch;
      square += z[i]! * z[i]!;
    }
    const theta = draws.subarray(s * COUNT, (s + 1) * COUNT);
    for (let i = 0; i < COUNT; i++) {
      let value = centre[i]!;
      for (let j = 0; j <= i; j++) value += factor[i * COUNT + j]! * z[j]!;
      theta[i] = value;
    }
    const logProposal = -0.5 * (DEGREES + COUNT) * Math.log1p(square / DEGREES);
    logWeights[s] = target(theta) - logProposal;
    largest = Math.max(largest, logWeights[s]!);
  }
  const weights = logWeights.map((value) => Math.exp(value - largest));
  const sum = weights.reduce((total, value) => total + value, 0);
  let squares = 0;
  for (let s = 0; s < size; s++) {
    weights[s]! /= sum;
    squares += weights[s]! ** 2;
  }
  return { draws, weights, effectiveSize: 1 / squares };
}

function moments(posterior: Posterior): { centre: Float64Array; covariance: Float64Array } {
  const { draws, weights, size } = posterior;
  const centre = new Float64Array(COUNT);
  for (let s = 0; s < size; s++) {
    for (let i = 0; i < COUNT; i++) centre[i]! += weights[s]! * draws[s * COUNT + i]!;
  }
  const covariance = new Float64Array(COUNT * COUNT);
  for (let s = 0; s < size; s++) {
    for (let i = 0; i < COUNT; i++) {
      const di = draws[s * COUNT + i]! - centre[i]!;
      for (let j = 0; j <= i; j++)
        covariance[i * COUNT + j]! += weights[s]! * di * (draws[s * COUNT + j]! - centre[j]!);
    }
  }
  for (let i = 0; i < COUNT; i++)
    for (let j = 0; j < i; j++) covariance[j * COUNT + i] = covariance[i * COUNT + j]!;
  return { centre, covariance };
}

/** A figure with its interval. */
export interface Estimate {
  readonly median: number;
  readonly low: number;
  readonly high: number;
}

/** Median and equal-tailed interval of a figure computed from each draw. */
export function estimate(
  posterior: Posterior,
  figure: (theta: Float64Array) => number,
  confidence = 0.9,
): Estimate {
  const { size, draws, weights } = posterior;
  const values = Float64Array.from({ length: size }, (_, s) =>
    figure(draws.subarray(s * COUNT, (s + 1) * COUNT)),
  );
  const order = Uint32Array.from({ length: size }, (_, s) => s).sort((a, b) => values[a]! - values[b]!);
  const at = (p: number): number => {
    let reached = 0;
    for (const s of order) {
      reached += weights[s]!;
      if (reached >= p) return values[s]!;
    }
    return values[order[size - 1]!]!;
  };
  const tail = (1 - confidence) / 2;
  return { median: at(0.5), low: at(tail), high: at(1 - tail) };
}

/** Mean of a figure over the draws. */
export function expectation(posterior: Posterior, figure: (theta: Float64Array) => number): number {
  let sum = 0;
  for (let s = 0; s < posterior.size; s++) {
    sum += posterior.weights[s]! * figure(posterior.draws.subarray(s * COUNT, (s + 1) * COUNT));
  }
  return sum;
}
