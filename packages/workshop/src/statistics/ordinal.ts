import { factorPositive, inverseFromCholesky } from './matrix.ts';
import { type Maximum, maximise } from './maximise.ts';
import { logNormalInterval } from './normal.ts';

/**
 * Ordinal regression by maximum likelihood (McCullagh 1980): the probability of a grade not above j is
 * F(cut_j - x·b), F the standard normal (probit) or logistic (logit) distribution. With two grades it is
 * ordinary probit or logit regression. Used on its own to check the likelihood against published fits;
 * a fit trial uses the same interval likelihood with a prior.
 */

export type Link = 'probit' | 'logit';

export interface OrdinalData {
  /** One row of predictors for each observation. */
  readonly x: readonly (readonly number[])[];
  /** Grade of each observation, 0 to levels - 1. */
  readonly grade: readonly number[];
  /** How often each observation was seen; 1 where absent. */
  readonly weight?: readonly number[];
  readonly levels: number;
}

export interface OrdinalFit {
  readonly coefficients: readonly number[];
  readonly cuts: readonly number[];
  readonly coefficientSe: readonly number[];
  readonly cutSe: readonly number[];
  readonly logLikelihood: number;
  readonly converged: boolean;
}

/** Logarithm of the probability that a latent value with the given mean lies between two cuts. */
export function logIntervalProbability(link: Link, low: number, high: number): number {
  return link === 'probit' ? logNormalInterval(low, high) : logLogisticInterval(low, high);
}

/** Fits cuts and coefficients; standard errors from the observed information, as the published fits give them. */
export function fitOrdinal(data: OrdinalData, link: Link): OrdinalFit {
  const predictors = data.x[0]?.length ?? 0;
  const cutCount = data.levels - 1;
  const logLikelihood = (theta: Float64Array): number => {
    for (let j = 1; j < cutCount; j++) if (!(theta[j]! > theta[j - 1]!)) return Number.NEGATIVE_INFINITY;
    let sum = 0;
    for (let i = 0; i < data.grade.length; i++) {
      const weight = data.weight?.[i] ?? 1;
      if (weight === 0) continue;
      let mean = 0;
      for (let p = 0; p < predictors; p++) mean += data.x[i]![p]! * theta[cutCount + p]!;
      const grade = data.grade[i]!;
      const low = grade === 0 ? Number.NEGATIVE_INFINITY : theta[grade - 1]! - mean;
      const high = grade === cutCount ? Number.POSITIVE_INFINITY : theta[grade]! - mean;
      sum += weight * logIntervalProbability(link, low, high);
    }
    return sum;
  };
  const start = [...evenCuts(cutCount), ...new Array<number>(predictors).fill(0)];
  const scale = new Array<number>(start.length).fill(1);
  const best: Maximum = maximise(logLikelihood, start, scale, { tolerance: 1e-12 });
  const n = start.length;
  const covariance = inverseFromCholesky(factorPositive(best.information, n), n);
  const se = Array.from({ length: n }, (_, i) => Math.sqrt(covariance[i * n + i]!));
  const all = Array.from(best.at);
  return {
    coefficients: all.slice(cutCount),
    cuts: all.slice(0, cutCount),
    coefficientSe: se.slice(cutCount),
    cutSe: se.slice(0, cutCount),
    logLikelihood: best.value,
    converged: best.converged,
  };
}

function evenCuts(count: number): number[] {
  return Array.from({ length: count }, (_, j) => j - (count - 1) / 2);
}

function logLogisticInterval(low: number, high: number): number {
  if (!(low < high)) return Number.NEGATIVE_INFINITY;
  if (low === Number.NEGATIVE_INFINITY) return -softplus(-high);
  if (high === Number.POSITIVE_INFINITY) return -softplus(low);
  // F(high) - F(low) = (1 - exp(low - high)) F(high) (1 - F(low))
  return Math.log(-Math.expm1(low - high)) - softplus(-high) - softplus(low);
}

function softplus(x: number): number {
  return x > 0 ? x + Math.log1p(Math.exp(-x)) : Math.log1p(Math.exp(x));
}
