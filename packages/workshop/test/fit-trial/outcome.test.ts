import { expect, test } from 'vitest';
import { judge } from '../../src/fit-trial/judge.ts';
import { evidenceOf } from '../../src/fit-trial/likelihood.ts';
import { outcomeEvidence, SEAMS_OF_A_BATCH, weightOfAge } from '../../src/fit-trial/outcome.ts';
import { COMMON_CALIPER, type FitTrial, type Grade } from '../../src/fit-trial/trial.ts';

const grades: Grade[] = [
  'falls through',
  'slides',
  'slides',
  'presses by hand',
  'presses by hand',
  'needs a mallet',
];
const trial: FitTrial = {
  drawnKerfMm: 0.18,
  turned: true,
  steps: grades.map((grade, i) => ({ step: i + 1, allowanceMm: -0.02 + 0.02 * i, grade })),
  readings: [],
  caliper: COMMON_CALIPER,
};

test('loose seams in a batch raise the allowance, tight ones lower it, good ones narrow the interval', () => {
  const before = judge(trial);
  const after = (outcome: 'good' | 'loose' | 'too tight') =>
    judge(trial, { older: [outcomeEvidence([{ outcome, count: 10 }], before.record, true)] });
  // Compared in one drawing: allowance plus the kerf it is drawn for.
  const drawn = ({ record: r }: typeof before): number =>
    r.allowanceMm + (r.kerfEntry.xMm + r.kerfEntry.yMm + r.kerfExit.xMm + r.kerfExit.yMm) / 4;
  expect(drawn(after('loose'))).toBeGreaterThan(drawn(before) + 0.003);
  expect(drawn(after('too tight'))).toBeLessThan(drawn(before) - 0.003);
  const width = ({ windows }: typeof before): number => windows[2]!.from!.high - windows[2]!.from!.low;
  expect(width(after('good'))).toBeLessThan(width(before));
});

test('a batch of many seams counts for no more than a dozen separate ones', () => {
  const record = judge(trial).record;
  const weights = outcomeEvidence(
    [
      { outcome: 'good', count: 90 },
      { outcome: 'slides', count: 30 },
      { outcome: 'loose', count: 0 },
    ],
    record,
    true,
  ).steps.map((step) => step.weight);
  expect(weights).toHaveLength(2);
  expect(weights[0]! + weights[1]!).toBeCloseTo(SEAMS_OF_A_BATCH, 9);
  expect(weights[0]! / weights[1]!).toBeCloseTo(3, 9);
});

test('old evidence counts half after its half-life', () => {
  expect(weightOfAge(0)).toBe(1);
  expect(weightOfAge(90)).toBeCloseTo(0.5, 12);
  expect(weightOfAge(60, 30)).toBeCloseTo(0.25, 12);
  const contradicting: FitTrial = {
    ...trial,
    steps: trial.steps.map((s) => ({ ...s, allowanceMm: s.allowanceMm + 0.04 })),
  };
  const fresh = judge(trial, { older: [evidenceOf(contradicting, 1)] });
  const old = judge(trial, { older: [evidenceOf(contradicting, weightOfAge(360))] });
  const alone = judge(trial);
  const middle = (j: typeof fresh): number =>
    j.windows[2]!.from!.median + (j.kerf.entryX.median + j.kerf.exitX.median) / 2;
  expect(Math.abs(middle(old) - middle(alone))).toBeLessThan(Math.abs(middle(fresh) - middle(alone)));
});
