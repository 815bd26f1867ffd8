import { expect, test } from 'vitest';
import {
  cutsOf,
  evidenceOf,
  kerfOf,
  meanOverlap,
  scatterOf,
  WEAK_PRIOR,
} from '../../src/fit-trial/likelihood.ts';
import { estimate, posteriorOf } from '../../src/fit-trial/posterior.ts';
import { COMMON_CALIPER, type FitTrial, GRADES } from '../../src/fit-trial/trial.ts';
import { type Random, seededRandom } from '../../src/statistics/random.ts';

/** A maker, machine and sheet drawn from the prior's ranges, and what the coupon shows of them. */
function simulate(random: Random): { truth: number[]; trial: FitTrial } {
  const truth = WEAK_PRIOR.mean.map((mean, i) => mean + WEAK_PRIOR.sd[i]! * random.normal());
  const sd = scatterOf(truth);
  const drawnKerfMm = 0.18;
  const cuts = cutsOf(truth);
  const steps = Array.from({ length: 10 }, (_, i) => {
    const allowanceMm = -0.06 + 0.02 * i;
    const overlap = meanOverlap(truth, allowanceMm, { drawnKerfMm, turned: true }) + sd * random.normal();
    const grade = cuts.filter((cut) => overlap > cut).length;
    return { step: i + 1, allowanceMm, grade: GRADES[grade]! };
  });
  const { largestErrorMm, resolutionMm } = COMMON_CALIPER;
  // One size read three times: the caliper's own error stays, the hand's changes.
  const read = (sizeMm: number): number[] => {
    const off = largestErrorMm * (2 * random.uniform() - 1);
    return [1, 2, 3].map(
      () => Math.round((sizeMm + off + 0.01 * random.normal()) / resolutionMm) * resolutionMm,
    );
  };
  const readings = (['entry', 'exit'] as const).flatMap((face) =>
    (['x', 'y'] as const).map((axis) => {
      const kerf = kerfOf(truth, face === 'entry' ? 1 : -1, axis === 'x' ? 1 : -1);
      // Two seams make up a difference of diameters; each wall pair carries the scatter of a seam.
      const local = kerf + (sd * random.normal()) / Math.SQRT2;
      return {
        kind: 'two-face' as const,
        axis,
        face,
        holeMm: read(20 + local),
        plugMm: read(20 - local),
      };
    }),
  );
  return { truth, trial: { drawnKerfMm, turned: true, steps, readings, caliper: COMMON_CALIPER } };
}

/** Figures a maker uses, and whether their 90 % interval holds the truth. */
const figures: Record<string, (theta: ArrayLike<number>) => number> = {
  kerf: (theta) => theta[0]!,
  taper: (theta) => theta[1]!,
  'kerf at entry across x': (theta) => kerfOf(theta, 1, 1),
  'first hand press, as drawn': (theta) => cutsOf(theta)[1] - 0.18 + theta[0]!,
  'last hand press, as drawn': (theta) => cutsOf(theta)[2] - 0.18 + theta[0]!,
  scatter: (theta) => scatterOf(theta),
};

test('90 % intervals hold the truth in 87 to 93 % of 2,000 simulated trials', () => {
  const seed = 20261125;
  const random = seededRandom(seed);
  const trials = 2000;
  const held: Record<string, number> = {};
  let poorest = Number.POSITIVE_INFINITY;
  for (let t = 0; t < trials; t++) {
    const { truth, trial } = simulate(random);
    const posterior = posteriorOf(evidenceOf(trial), { draws: 800, seed: t + 1 });
    poorest = Math.min(poorest, posterior.effectiveSize);
    for (const [name, figure] of Object.entries(figures)) {
      const { low, high } = estimate(posterior, figure, 0.9);
      const value = figure(truth);
      if (low <= value && value <= high) held[name] = (held[name] ?? 0) + 1;
    }
  }
  const shares = Object.fromEntries(Object.entries(held).map(([name, count]) => [name, count / trials]));
  console.log(`seed ${seed}, smallest effective sample ${poorest.toFixed(0)} of 800`, shares);
  for (const [name, share] of Object.entries(shares)) {
    expect(share, name).toBeGreaterThanOrEqual(0.87);
    expect(share, name).toBeLessThanOrEqual(0.93);
  }
}, 240_000);
