import { describe, expect, it } from 'vitest';
import { compensate, type FitByTone, plainFit, WorkshopError } from '../../src/index.ts';

function refusal(use: () => unknown): WorkshopError {
  try {
    use();
  } catch (error) {
    if (error instanceof WorkshopError) return error;
    throw error;
  }
  throw new Error('It was not refused.');
}

describe('plainFit', () => {
  it('is the same kerf in both axes and at both faces for every tone', () => {
    const kerf = { xMm: 0.16, yMm: 0.16 };
    expect(plainFit(0.16, 0.03)).toEqual({
      default: { kerfEntry: kerf, kerfExit: kerf, allowanceMm: 0.03 },
      byTone: {},
    });
  });

  for (const kerf of [-0.1, Number.NaN, Number.POSITIVE_INFINITY, 6]) {
    it(`refuses a kerf of ${kerf} and says which limits hold`, () => {
      const error = refusal(() => plainFit(kerf, 0.03));
      expect(error.code).toBe('bad-kerf');
      expect(error.message).toContain(`is ${kerf} mm`);
      expect(error.message).toContain('0 to 5');
      expect(error.hint).not.toBe('');
    });
  }

  for (const allowance of [Number.NaN, 1.5, -2]) {
    it(`refuses an allowance of ${allowance}`, () => {
      expect(refusal(() => plainFit(0.16, allowance)).code).toBe('bad-allowance');
    });
  }

  it('compensation refuses the same in any record, naming the tone and the face', () => {
    const good = plainFit(0.16, 0.03).default;
    const fit: FitByTone = {
      default: good,
      byTone: { holly: { ...good, kerfExit: { xMm: 0.1, yMm: -0.2 } } },
    };
    const nothing = { rings: [] };
    const mosaic = { outline: nothing, piercings: nothing, parts: [], seams: [], rims: [], findings: [] };
    const error = refusal(() => compensate(mosaic, fit, { share: 'inserted', turn: 'auto' }));
    expect(error.code).toBe('bad-kerf');
    expect(error.message).toContain('exit face');
    expect(error.message).toContain('"holly"');
    expect(error.message).toContain('in y');
  });
});
