import fc from 'fast-check';
import { expect, test } from 'vitest';
import { digitsOf, roundMarks, scaleBetween } from '../src/places/fit-book/views/axis.ts';

test('marks are round, inside, evenly spaced and about as many as wanted', () => {
  fc.assert(
    fc.property(
      fc.integer({ min: -1000, max: 1000 }),
      fc.integer({ min: 1, max: 100_000 }),
      fc.integer({ min: 3, max: 10 }),
      (a, span, wanted) => {
        const [from, to] = [a / 1000, a / 1000 + span / 10_000];
        const marks = roundMarks(from, to, wanted);
        expect(marks.length).toBeGreaterThanOrEqual(Math.floor(wanted / 2.5));
        expect(marks.length).toBeLessThanOrEqual(wanted + 1);
        const step = marks[1]! - marks[0]!;
        const mantissa = step / 10 ** Math.floor(Math.log10(step) + 1e-9);
        expect([1, 2, 5, 10].some((round) => Math.abs(mantissa - round) < 1e-6)).toBe(true);
        marks.forEach((mark, i) => {
          expect(mark).toBeGreaterThanOrEqual(from - 1e-9);
          expect(mark).toBeLessThanOrEqual(to + 1e-9);
          expect(mark).toBeCloseTo(marks[0]! + i * step, 9);
          // Told apart by the digits that are shown.
          if (i > 0) expect(mark.toFixed(digitsOf(marks))).not.toBe(marks[i - 1]!.toFixed(digitsOf(marks)));
        });
      },
    ),
    { seed: 20261125 },
  );
});

test('a scale puts the ends of its range on the ends of its line', () => {
  const x = scaleBetween(-0.05, 0.15, 100, 500);
  expect(x(-0.05)).toBeCloseTo(100, 9);
  expect(x(0.15)).toBeCloseTo(500, 9);
  expect(x(0.05)).toBeCloseTo(300, 9);
});
