import { expect, test } from 'vitest';
import { parseLength } from '../../src/index.ts';

function mm(text: string, unit?: 'mm' | 'in'): number {
  const reading = parseLength(text, unit);
  if (!reading.ok) throw new Error(reading.message);
  return reading.mm;
}

test('lengths are read with both decimal marks, units and fractions', () => {
  expect(mm('0.16')).toBe(0.16);
  expect(mm('0,16 mm')).toBe(0.16);
  expect(mm('1,500')).toBe(1.5);
  expect(mm('.2')).toBe(0.2);
  expect(mm(' 3 cm ')).toBe(30);
  expect(mm('1 1/2 in')).toBeCloseTo(38.1, 12); // 1 in = 25.4 mm exactly: international yard and pound agreement, 1959 (from memory)
  expect(mm('3/64"')).toBeCloseTo(1.190625, 12);
  expect(mm('5 thou')).toBeCloseTo(0.127, 12);
  expect(mm('1.5', 'in')).toBeCloseTo(38.1, 12);
  expect(mm('-0.02')).toBe(-0.02);
});

test('what could be meant in two ways is refused, never guessed', () => {
  for (const text of [
    '',
    '1.234,5',
    '1,234.5',
    'abc',
    '2 furlongs',
    '1/0',
    '0.1.2',
    '1e3',
    'NaN',
    'Infinity',
    '--1',
  ]) {
    expect(parseLength(text), text).toMatchObject({ ok: false });
  }
});
