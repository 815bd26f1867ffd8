import type { FitRecord } from '../fit/fit-record.ts';
import type { Evidence } from './likelihood.ts';
import { GRADES, type Grade } from './trial.ts';

/**
 * What came out of a real batch, as evidence for the fit record it was made with. A seam that was graded
 * counts like a step of a coupon; "good" means that it was pressed home and held, "loose" that it did not hold,
 * "too tight" that it would not go or broke. Seams of one batch share a board and a day, so that they say less
 * than as many separate trials: their weights add up to at most SEAMS_OF_A_BATCH.
 */

export interface SeamOutcome {
  /** A grade, or the short word for several of them. */
  readonly outcome: Grade | 'good' | 'loose' | 'too tight';
  readonly count: number;
}

/** How many independent seams a batch counts for at most; a guess on the careful side, no published source. */
export const SEAMS_OF_A_BATCH = 12;

/** Lowest and highest grade that each short word stands for. */
const WORDS = {
  good: ['presses by hand', 'needs a mallet'],
  loose: ['falls through', 'slides'],
  'too tight': ['will not go', 'will not go'],
} as const satisfies Record<string, readonly [Grade, Grade]>;

export function outcomeEvidence(
  outcomes: readonly SeamOutcome[],
  madeWith: FitRecord,
  turned: boolean,
  weight = 1,
): Evidence {
  const total = outcomes.reduce((sum, outcome) => sum + outcome.count, 0);
  const share = total === 0 ? 0 : Math.min(1, SEAMS_OF_A_BATCH / total) * weight;
  const { kerfEntry, kerfExit } = madeWith;
  const drawnKerfMm = (kerfEntry.xMm + kerfEntry.yMm + kerfExit.xMm + kerfExit.yMm) / 4;
  return {
    steps: outcomes
      .filter((outcome) => outcome.count > 0)
      .map((outcome) => {
        const [low, high] =
          outcome.outcome in WORDS
            ? WORDS[outcome.outcome as keyof typeof WORDS]
            : [outcome.outcome, outcome.outcome];
        return {
          allowanceMm: madeWith.allowanceMm,
          drawnKerfMm,
          turned,
          lowGrade: GRADES.indexOf(low as Grade),
          highGrade: GRADES.indexOf(high as Grade),
          weight: outcome.count * share,
        };
      }),
    kerfs: [],
  };
}

/** Weight of evidence that is some days old: half after a half-life. Lasers, lenses and boards drift. */
export function weightOfAge(ageDays: number, halfLifeDays = 90): number {
  return 2 ** (-Math.max(0, ageDays) / halfLifeDays);
}
