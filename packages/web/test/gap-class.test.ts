import { expect, test } from 'vitest';
import { GAP_CLASSES, gapClass, limitsOf, signedMm } from '../src/drawing/gap-class.ts';

test('every gap belongs to exactly one class, and the classes leave no room between them', () => {
  for (let i = 1; i < GAP_CLASSES.length; i++) expect(GAP_CLASSES[i]!.fromMm).toBe(GAP_CLASSES[i - 1]!.toMm);
  expect(GAP_CLASSES[0]!.fromMm).toBe(-Infinity);
  expect(GAP_CLASSES.at(-1)!.toMm).toBe(Infinity);
  for (let mm = -0.1; mm < 0.1; mm += 0.0007) {
    const one = gapClass(mm);
    expect(mm >= one.fromMm && mm < one.toMm, `${mm} in ${one.id}`).toBe(true);
  }
});

test('a press fit of 0.025 to 0.05 mm a side presses, more presses hard, air is told from touch', () => {
  // 0.025 to 0.05 mm a side: common practice, no published source.
  expect(gapClass(-0.025).id).toBe('presses');
  expect(gapClass(-0.0499).id).toBe('presses');
  expect(gapClass(-0.051).id).toBe('hard');
  expect(gapClass(0).id).toBe('meets');
  expect(gapClass(0.03).id).toBe('hairline');
  expect(gapClass(0.05).id).toBe('open');
});

test('no two classes are drawn with the same line, so that the legend reads without colour', () => {
  const lines = GAP_CLASSES.map((one) => `${one.widthPx} ${one.dash} ${one.round}`);
  expect(new Set(lines).size).toBe(GAP_CLASSES.length);
});

test('signs are true minus signs, and a rounded zero has none', () => {
  expect(signedMm(-0.0312)).toBe('\u22120.031');
  expect(signedMm(0.012)).toBe('+0.012');
  expect(signedMm(-0.0003)).toBe('0.000');
  expect(limitsOf(GAP_CLASSES[1]!)).toBe('\u22120.050 to \u22120.015');
});
