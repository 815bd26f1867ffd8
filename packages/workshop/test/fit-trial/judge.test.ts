import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { expanded, sizeFromReadings } from '../../src/fit-trial/caliper.ts';
import { judge } from '../../src/fit-trial/judge.ts';
import { evidenceOf } from '../../src/fit-trial/likelihood.ts';
import { smallestCoupon } from '../../src/fit-trial/next-step.ts';
import { posteriorOf } from '../../src/fit-trial/posterior.ts';
import { COMMON_CALIPER, type FitTrial, type Grade, type StepResult } from '../../src/fit-trial/trial.ts';

const uncertainty = JSON.parse(
  readFileSync(new URL('../reference/measurement-uncertainty.json', import.meta.url), 'utf8'),
);

function steps(grades: Record<string, Grade>): StepResult[] {
  return Object.entries(grades).map(([allowance, grade], i) => ({
    step: i + 1,
    allowanceMm: Number(allowance),
    grade,
  }));
}

const ladder: FitTrial = {
  drawnKerfMm: 0.18,
  turned: true,
  steps: steps({
    '-0.04': 'falls through',
    '-0.02': 'falls through',
    '0.00': 'slides',
    '0.02': 'slides',
    '0.04': 'presses by hand',
    '0.06': 'presses by hand',
    '0.08': 'needs a mallet',
    '0.10': 'will not go',
  }),
  readings: [],
  caliper: COMMON_CALIPER,
};

const gauge: FitTrial['readings'] = (['x', 'y'] as const).flatMap((axis) => [
  { kind: 'two-face', axis, face: 'entry', holeMm: [20.11, 20.1, 20.1], plugMm: [19.7, 19.7, 19.71] },
  { kind: 'two-face', axis, face: 'exit', holeMm: [20.08, 20.07, 20.08], plugMm: [19.75, 19.76, 19.75] },
]);

test('repeat readings and the caliper combine as the GUM says', () => {
  // JCGM 100:2008, 4.2.3, 4.3.7, F.2.2.1, 5.1.2 (clauses from memory); worked example in the reference file.
  const example = uncertainty.examples.find((entry: { u_c?: number }) => entry.u_c !== undefined);
  const size = sizeFromReadings([2.98, 3.01, 3.0, 3.02, 2.99], COMMON_CALIPER);
  expect(size.meanMm).toBeCloseTo(3, 12);
  expect(size.uncertaintyMm).toBeCloseTo(example.u_c, 6);
  expect(expanded(size)).toBeCloseTo(2 * example.u_c, 5);
});

/** What an allowance of the coupon's drawing is worth in a drawing for the record's own mean kerf. */
function redrawn(allowanceMm: number, trial: FitTrial, result: ReturnType<typeof judge>): number {
  const { kerfEntry, kerfExit } = result.record;
  const meanKerf = (kerfEntry.xMm + kerfEntry.yMm + kerfExit.xMm + kerfExit.yMm) / 4;
  return allowanceMm + trial.drawnKerfMm - meanKerf;
}

test('a clear ladder puts the window between graded neighbours and the allowance inside it', () => {
  for (const trial of [
    ladder,
    { ...ladder, readings: gauge },
    { ...ladder, drawnKerfMm: 0.3, readings: gauge },
  ]) {
    const result = judge(trial);
    const window = result.windows[2]!;
    expect(window.from!.median).toBeGreaterThan(redrawn(0.015, trial, result));
    expect(window.from!.median).toBeLessThan(redrawn(0.045, trial, result));
    expect(window.to!.median).toBeGreaterThan(redrawn(0.055, trial, result));
    expect(window.to!.median).toBeLessThan(redrawn(0.085, trial, result));
    expect(result.record.allowanceMm).toBeGreaterThan(window.from!.median);
    expect(result.record.allowanceMm).toBeLessThan(window.to!.median);
    expect(result.probability).toBeGreaterThan(0.6);
    expect(result.words.join(' ')).toContain('presses by hand');
  }
});

test('a trial without caliper readings says that the kerf is not measured', () => {
  const codes = (trial: FitTrial): string[] => judge(trial).findings.map((finding) => finding.code);
  expect(codes(ladder)).toContain('kerf-not-measured');
  expect(codes({ ...ladder, readings: gauge })).not.toContain('kerf-not-measured');
});

test('the gauge gives the kerf at both faces: hole - plug is twice the kerf', () => {
  const { kerf } = judge({ ...ladder, readings: gauge });
  // Plain means of the readings: (20.1033 - 19.7033) / 2 = 0.2 and (20.0767 - 19.7533) / 2 = 0.1617.
  expect(kerf.entryX.median).toBeCloseTo(0.2, 2);
  expect(kerf.exitY.median).toBeCloseTo(0.1617, 2);
  expect(kerf.entryX.high - kerf.entryX.low).toBeLessThan(0.04);
});

test('few results give wide intervals, more give narrower ones', () => {
  const width = (trial: FitTrial): number => {
    const window = judge(trial).windows[2]!;
    return window.from!.high - window.from!.low;
  };
  const few = width({ ...ladder, steps: ladder.steps.slice(3, 5) });
  const one = width(ladder);
  const three = width({ ...ladder, steps: [...ladder.steps, ...ladder.steps, ...ladder.steps] });
  expect(few).toBeGreaterThan(one * 1.1);
  expect(three).toBeLessThan(one * 0.95);
});

test('the next step lies where the grade is in doubt, not where it is certain', () => {
  const { next, record } = judge(ladder);
  expect(next[0]!.bits).toBeGreaterThan(0.1);
  expect(Math.abs(next[0]!.allowanceMm - record.allowanceMm)).toBeLessThan(0.1);
});

test('the smallest coupon halves the interval when its steps are really cut and graded', () => {
  const evidence = evidenceOf({ ...ladder, readings: gauge });
  const candidates = Array.from({ length: 40 }, (_, i) => -0.05 + i * 0.005);
  const coupon = smallestCoupon(posteriorOf(evidence), ladder, candidates);
  expect(coupon.halves).toBe(true);
  expect(coupon.allowancesMm.length).toBeGreaterThan(0);
  expect(coupon.widthAfterMm).toBeLessThanOrEqual(coupon.widthNowMm / 2);
});

test('odd results are pointed at, an empty trial is refused', () => {
  const odd = judge({ ...ladder, steps: [...ladder.steps, { step: 9, allowanceMm: 0.12, grade: 'slides' }] });
  expect(odd.findings.map((finding) => finding.code)).toContain('grade-out-of-order');
  const open = judge({ ...ladder, steps: ladder.steps.slice(0, 6) });
  expect(open.findings.find((finding) => finding.code === 'window-open')?.message).toContain('tighter');
  expect(judge(ladder).findings.map((finding) => finding.code)).not.toContain('window-open');
  const unseen = judge({ ...ladder, steps: ladder.steps.filter((step) => step.grade !== 'presses by hand') });
  expect(unseen.findings.map((finding) => finding.code)).toContain('grade-not-seen');
  expect(() => judge({ ...ladder, steps: [], readings: [] })).toThrow(/no result/);
});

test('a trial without a graded step says that its windows are guesses', () => {
  const codes = (trial: FitTrial, older: FitTrial[] = []): string[] =>
    judge(trial, { older: older.map((one) => evidenceOf(one, 1)) }).findings.map((finding) => finding.code);
  expect(codes({ ...ladder, steps: [], readings: gauge })).toContain('nothing-graded');
  expect(codes({ ...ladder, readings: gauge })).not.toContain('nothing-graded');
  const ungraded = judge({ ...ladder, steps: [], readings: gauge });
  expect(ungraded.coupon.allowancesMm).toHaveLength(1);
  expect(ungraded.words.join(' ')).toContain('A coupon of 1 step would');
  expect(codes({ ...ladder, steps: [], readings: gauge }, [ladder])).not.toContain('nothing-graded');
});

test('a mistyped reading is pointed at, a true one is not', () => {
  const messages = (readings: FitTrial['readings']): string[] =>
    judge({ ...ladder, readings })
      .findings.filter((finding) => finding.code === 'reading-unlikely')
      .map((finding) => finding.message);
  const pair = (holeMm: number, plugMm: number): FitTrial['readings'] => [
    { kind: 'two-face', axis: 'x', face: 'exit', holeMm: [holeMm], plugMm: [plugMm] },
  ];
  expect(messages(gauge)).toEqual([]);
  // A slipped digit, inches for millimetres, hole and plug exchanged.
  expect(messages(pair(20.1, 2.97))[0]).toContain('across x at the exit face give a kerf of 8.565 mm');
  expect(messages(pair(0.791, 0.776))).toHaveLength(1);
  expect(messages(pair(19.7, 20.1))).toHaveLength(1);
  const slats = { kind: 'slats', axis: 'y', face: 'entry', cuts: 10, drawnMm: 40 } as const;
  expect(messages([{ ...slats, measuredMm: [3.81] }])).toHaveLength(1);
  expect(messages([{ ...slats, measuredMm: [38.1] }])).toEqual([]);
});

test('with a kerf guessed far off, the next step lies where the trial still leaves doubt, in its own drawing', () => {
  // Drawn for 0.16 mm where the beam takes 0.28: everything is 0.12 mm looser than drawn.
  const grades: Grade[] = [
    'falls through',
    'falls through',
    'slides',
    'slides',
    'presses by hand',
    'needs a mallet',
  ];
  const steps = grades.map((grade, i) => ({ step: i + 1, allowanceMm: 0.06 + 0.02 * i, grade }));
  const readings: FitTrial['readings'] = (['x', 'y'] as const).flatMap((axis) =>
    (['entry', 'exit'] as const).map((face) => ({
      kind: 'slats' as const,
      axis,
      face,
      cuts: 10,
      drawnMm: 40,
      measuredMm: [37.2, 37.2],
    })),
  );
  const { next, coupon, record } = judge({ ...ladder, drawnKerfMm: 0.16, steps, readings });
  expect(record.kerfEntry.xMm).toBeCloseTo(0.28, 2);
  for (const { allowanceMm } of next) {
    expect(allowanceMm).toBeGreaterThan(0.08);
    expect(allowanceMm).toBeLessThan(0.24);
  }
  expect(coupon.allowancesMm.every((allowance) => allowance > 0.06)).toBe(true);
});
