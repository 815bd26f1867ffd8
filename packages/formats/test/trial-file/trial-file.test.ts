import { readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { FormatError, readTrial, trialResults, writeTrial } from '../../src/index.ts';

const page = readFileSync(new URL('../../../../docs/trial-file.md', import.meta.url), 'utf8');
const example = /```json\n([\s\S]*?)```/.exec(page)![1]!;

test('the documented example reads, and comes back as it was written', () => {
  const trial = readTrial(example);
  expect(readTrial(writeTrial(trial))).toEqual(trial);
  const results = trialResults(trial);
  expect(results.steps.length).toBeLessThan(trial.steps.length);
  expect(results.steps.every((step) => step.grade !== undefined)).toBe(true);
  expect(results.readings.map((reading) => reading.kind)).toContain('two-face');
});

function refusal(change: (file: Record<string, unknown>) => void): FormatError {
  const file = JSON.parse(example) as Record<string, unknown>;
  change(file);
  try {
    readTrial(JSON.stringify(file));
  } catch (error) {
    if (error instanceof FormatError) return error;
    throw error;
  }
  throw new Error('the file was accepted');
}

test('wrong grades, sizes and versions are refused by field', () => {
  const firstStep = (file: Record<string, unknown>) => (file.steps as Record<string, unknown>[])[0]!;
  expect(
    refusal((f) => {
      firstStep(f).grade = 'fits';
    }),
  ).toMatchObject({ where: 'steps.0.grade' });
  expect(
    refusal((f) => {
      firstStep(f).allowanceMm = 4;
    }),
  ).toMatchObject({ where: 'steps.0.allowanceMm' });
  expect(
    refusal((f) => {
      f.drawnKerfMm = -0.1;
    }),
  ).toMatchObject({ where: 'drawnKerfMm' });
  expect(
    refusal((f) => {
      f.version = 7;
    }).message,
  ).toContain('up to version 1');
  expect(
    refusal((f) => {
      f.readings = [{ kind: 'slats', axis: 'x', face: 'entry', cuts: 0, drawnMm: 40, measuredMm: [38] }];
    }),
  ).toMatchObject({ where: 'readings.0.cuts' });
  expect(() => readTrial('not json')).toThrow(FormatError);
});

test('readings still to be taken are kept, and told to nobody before both sizes are there', () => {
  const trial = readTrial(example);
  const open = readTrial(
    writeTrial({
      ...trial,
      readings: [
        { kind: 'two-face', axis: 'x', face: 'entry', holeMm: [20.1], plugMm: [] },
        { kind: 'two-face', axis: 'y', face: 'entry', holeMm: [20.1], plugMm: [19.7] },
        { kind: 'slats', axis: 'x', face: 'exit', cuts: 10, drawnMm: 40, measuredMm: [] },
        { kind: 'slats', axis: 'y', face: 'exit', cuts: 10, drawnMm: 40, measuredMm: [38.5] },
      ],
    }),
  );
  expect(open.readings).toHaveLength(4);
  expect(trialResults(open).readings).toEqual([open.readings[1], open.readings[3]]);
});
