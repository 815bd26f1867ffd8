import { logNormalDensity, logNormalInterval } from '../statistics/normal.ts';
import { sizeFromReadings } from './caliper.ts';
import { type FitTrial, GRADES } from './trial.ts';

/**
 * One likelihood for grades and caliper readings (docs/fit-trials.md).
 *
 * Unknowns, in this order:
 *   kerf      mean kerf over faces and axes, mm
 *   taper     entry kerf minus exit kerf, mm
 *   axes      kerf across x minus kerf across y, mm
 *   cut0      overlap a side at which `falls through` becomes `slides`, mm
 *   gap1..3   logarithms of the widths (mm) of the three grades between
 *   scatter   logarithm of the standard deviation (mm) of a seam's gap from cut to cut
 *
 * A step drawn with allowance a for a kerf k0 has the true overlap u = a + (k0 - kerf) + e, e ~ N(0, scatter):
 * both walls stand half the kerf error away from where they were drawn. The grade is the interval between cuts that u
 * falls into: ordinal probit. A plug that was not turned meets its socket with opposite tapers and is
 * graded by its tightest depth, half the taper tighter.
 * A hole - plug difference is twice the kerf at its face and axis; it averages two seams, and so carries
 * twice the scatter's variance and the two caliper uncertainties. Slats lose one kerf a cut.
 */

export const UNKNOWNS = ['kerf', 'taper', 'axes', 'cut0', 'gap1', 'gap2', 'gap3', 'scatter'] as const;
export const COUNT = UNKNOWNS.length;
const [KERF, TAPER, AXES, CUT0, GAP1, GAP2, GAP3, SCATTER] = [0, 1, 2, 3, 4, 5, 6, 7] as const;

/**
 * The weak prior: normal on each unknown. Means are trade values (trade-facts: a press fit overlaps 0.025
 * to 0.05 mm a side, test pieces step by about 0.04 mm; kerf 0.1 to 0.3 mm: bureau tables), the spreads
 * several times what those sources differ by. Common practice, no published source.
 */
export interface Prior {
  readonly mean: readonly number[];
  readonly sd: readonly number[];
}

export const WEAK_PRIOR: Prior = {
  mean: [0.18, 0.03, 0, -0.01, Math.log(0.025), Math.log(0.045), Math.log(0.04), Math.log(0.012)],
  sd: [0.1, 0.05, 0.03, 0.05, 0.8, 0.8, 0.8, 0.7],
};

/** What a grade stands for in the drawing of its coupon or batch. */
export interface Drawn {
  readonly drawnKerfMm: number;
  readonly turned: boolean;
}

/** Trials and outcomes boiled down to what the likelihood needs. */
export interface Evidence {
  readonly steps: readonly (Drawn & {
    readonly allowanceMm: number;
    /** The grade was at least this one and at most that one; equal for a step that was graded. */
    readonly lowGrade: number;
    readonly highGrade: number;
    /** How often it was seen, less where it is old. */
    readonly weight: number;
  })[];
  readonly kerfs: readonly {
    readonly faceSign: number;
    readonly axisSign: number;
    readonly meanMm: number;
    /** Variance of the reading itself, mm^2. */
    readonly readingVariance: number;
    /** How many times the scatter's variance the reading carries. */
    readonly scatterShare: number;
    readonly weight: number;
  }[];
}

/** A trial's evidence; `weight` below 1 lets an old trial count less (power prior, Ibrahim & Chen 2000, from memory). */
export function evidenceOf(trial: FitTrial, weight = 1): Evidence {
  const { drawnKerfMm, turned } = trial;
  return {
    steps: trial.steps.map((step) => {
      const grade = GRADES.indexOf(step.grade);
      return {
        allowanceMm: step.allowanceMm,
        drawnKerfMm,
        turned,
        lowGrade: grade,
        highGrade: grade,
        weight,
      };
    }),
    kerfs: trial.readings.map((reading) => ({ ...kerfReading(reading, trial), weight })),
  };
}

/** Several pieces of evidence as one. */
export function joinEvidence(all: readonly Evidence[]): Evidence {
  return { steps: all.flatMap((one) => one.steps), kerfs: all.flatMap((one) => one.kerfs) };
}

function kerfReading(
  reading: FitTrial['readings'][number],
  trial: FitTrial,
): Omit<Evidence['kerfs'][number], 'weight'> {
  const signs = { faceSign: reading.face === 'entry' ? 1 : -1, axisSign: reading.axis === 'x' ? 1 : -1 };
  if (reading.kind === 'slats') {
    const size = sizeFromReadings(reading.measuredMm, trial.caliper);
    return {
      ...signs,
      meanMm: (reading.drawnMm - size.meanMm) / reading.cuts,
      readingVariance: (size.uncertaintyMm / reading.cuts) ** 2,
      scatterShare: 1 / reading.cuts,
    };
  }
  const hole = sizeFromReadings(reading.holeMm, trial.caliper);
  const plug = sizeFromReadings(reading.plugMm, trial.caliper);
  return {
    ...signs,
    meanMm: (hole.meanMm - plug.meanMm) / 2,
    readingVariance: (hole.uncertaintyMm ** 2 + plug.uncertaintyMm ** 2) / 4,
    scatterShare: 1 / 2,
  };
}

/** Mean of the true overlap a side of a step drawn with an allowance, mm. */
export function meanOverlap(theta: ArrayLike<number>, allowanceMm: number, drawn: Drawn): number {
  const lean = drawn.turned ? 0 : Math.abs(theta[TAPER]!) / 2;
  return allowanceMm + drawn.drawnKerfMm - theta[KERF]! + lean;
}

/** The four overlaps (mm a side) at which one grade becomes the next. */
export function cutsOf(theta: ArrayLike<number>): [number, number, number, number] {
  const first = theta[CUT0]!;
  const second = first + Math.exp(theta[GAP1]!);
  const third = second + Math.exp(theta[GAP2]!);
  return [first, second, third, third + Math.exp(theta[GAP3]!)];
}

export function scatterOf(theta: ArrayLike<number>): number {
  return Math.exp(theta[SCATTER]!);
}

/** Kerf at a face (sign +1 entry, -1 exit) and across an axis (+1 x, -1 y), mm. */
export function kerfOf(theta: ArrayLike<number>, faceSign: number, axisSign: number): number {
  return theta[KERF]! + (faceSign * theta[TAPER]!) / 2 + (axisSign * theta[AXES]!) / 2;
}

export function logLikelihood(theta: ArrayLike<number>, evidence: Evidence): number {
  const cuts = cutsOf(theta);
  const sd = scatterOf(theta);
  let sum = 0;
  for (const step of evidence.steps) {
    const mean = meanOverlap(theta, step.allowanceMm, step);
    const low = step.lowGrade === 0 ? Number.NEGATIVE_INFINITY : (cuts[step.lowGrade - 1]! - mean) / sd;
    const high = step.highGrade === 4 ? Number.POSITIVE_INFINITY : (cuts[step.highGrade]! - mean) / sd;
    sum += step.weight * logNormalInterval(low, high);
  }
  for (const kerf of evidence.kerfs) {
    const spread = Math.sqrt(kerf.readingVariance + kerf.scatterShare * sd * sd);
    const z = (kerf.meanMm - kerfOf(theta, kerf.faceSign, kerf.axisSign)) / spread;
    sum += kerf.weight * (logNormalDensity(z) - Math.log(spread));
  }
  return sum;
}

export function logPosterior(theta: ArrayLike<number>, evidence: Evidence, prior: Prior): number {
  let sum = logLikelihood(theta, evidence);
  for (let i = 0; i < COUNT; i++) sum += logNormalDensity((theta[i]! - prior.mean[i]!) / prior.sd[i]!);
  return sum;
}
