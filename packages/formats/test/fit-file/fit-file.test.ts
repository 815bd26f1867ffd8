import { expect, test } from 'vitest';
import { FormatError, readFit, writeFit } from '../../src/index.ts';

const plain = {
  format: 'inlaywright-fit',
  version: 1,
  default: { kerfEntryMm: 0.18, kerfExitMm: { x: 0.13, y: 0.15 }, allowanceMm: 0.03, scatterMm: 0.012 },
  byTone: {
    accent: { kerfEntryMm: 0.2, kerfExitMm: 0.14, allowanceMm: 0.025, gradeGapMm: { min: -0.06, max: 0.01 } },
  },
};

test('a fit file comes back as it was written', () => {
  const fit = readFit(JSON.stringify(plain));
  expect(fit.default.kerfExit).toEqual({ xMm: 0.13, yMm: 0.15 });
  expect(fit.byTone.accent?.kerfEntry).toEqual({ xMm: 0.2, yMm: 0.2 });
  expect(readFit(writeFit(fit))).toEqual(fit);
  expect(writeFit(readFit(writeFit(fit)))).toBe(writeFit(fit));
});

function refusal(change: (file: typeof plain & Record<string, unknown>) => unknown): FormatError {
  const file = structuredClone(plain) as typeof plain & Record<string, unknown>;
  change(file);
  try {
    readFit(JSON.stringify(file));
  } catch (error) {
    if (error instanceof FormatError) return error;
    throw error;
  }
  throw new Error('the file was accepted');
}

test('bad fit files are refused with the field that is wrong', () => {
  expect(refusal((f) => (f.default.kerfEntryMm = -0.1)).where).toBe('default.kerfEntryMm');
  expect(refusal((f) => (f.default.allowanceMm = 30)).where).toBe('default.allowanceMm');
  expect(refusal((f) => (f.version = 2)).message).toContain('reads up to version 1');
  expect(refusal((f) => (f.kerf = 0.1)).message).toContain('kerf');
  expect(refusal((f) => (f.byTone.accent.gradeGapMm = { min: 0.1, max: 0 })).where).toBe(
    'byTone.accent.gradeGapMm',
  );
  expect(refusal((f) => (f.format = 'inlaywright-piece')).message).toMatch(
    /not a fit file: it names "inlaywright-piece"/,
  );
  expect(() => readFit('{')).toThrow(FormatError);
});
