import { expect, test } from 'vitest';
import { addressOf, readAddress } from '../src/state/place.ts';
import { fitOf, numbersOf } from '../src/worker/fit-of.ts';
import type { UsedRecord } from '../src/worker/messages.ts';

const typed = { kerfEntryMm: 0.18, kerfExitMm: 0.14, allowanceMm: 0.03 };
const record: UsedRecord = {
  id: 'cherry',
  name: 'Cherry 3 mm',
  day: '2026-11-20',
  grade: 'presses by hand',
  fit: {
    kerfEntryMm: { x: 0.2, y: 0.19 },
    kerfExitMm: 0.15,
    allowanceMm: 0.041,
    scatterMm: 0.006,
    gradeGapMm: { min: -0.06, max: -0.02 },
  },
};

test('without a record the typed numbers hold for every tone, in both axes', () => {
  const fit = fitOf({ fit: typed, records: { all: null, byTone: {} } });
  expect(fit.default).toEqual({
    kerfEntry: { xMm: 0.18, yMm: 0.18 },
    kerfExit: { xMm: 0.14, yMm: 0.14 },
    allowanceMm: 0.03,
  });
});

test('a record of a tone goes before one of all tones, and that before typed numbers; nothing of it is lost', () => {
  const settings = { fit: typed, records: { all: null, byTone: { accent: record } } };
  const fit = fitOf(settings);
  expect(fit.byTone.accent).toEqual({
    kerfEntry: { xMm: 0.2, yMm: 0.19 },
    kerfExit: { xMm: 0.15, yMm: 0.15 },
    allowanceMm: 0.041,
    scatterMm: 0.006,
    gradeGapMm: { min: -0.06, max: -0.02 },
  });
  expect(fit.default.allowanceMm).toBe(0.03);
  expect(numbersOf(settings, 'accent')).toEqual({ kerfEntryMm: 0.195, kerfExitMm: 0.15, allowanceMm: 0.041 });
  expect(numbersOf(settings, 'ground')).toEqual(typed);
  const all = { fit: typed, records: { all: record, byTone: {} } };
  expect(fitOf(all).default.scatterMm).toBe(0.006);
  expect(numbersOf(all, null).allowanceMm).toBe(0.041);
});

test('addresses go to places and back, whatever stands in them', () => {
  for (const [place, rest, query] of [
    ['pieces', ['star-seed'], {}],
    ['fit-book', ['trials', 'cherry', 'results'], { at: 'size:two-face:x:entry:hole' }],
    ['stock-room', ['stocks', 'a/b c?'], { board: 'new&old=1' }],
    ['devices', [], {}],
  ] as const) {
    expect(readAddress(addressOf(place, rest, query))).toEqual({ place, rest: [...rest], query });
  }
  expect(readAddress('').place).toBe('pieces');
  expect(readAddress('#/nowhere/else').place).toBe('pieces');
  expect(readAddress('#/fit-book/%E0%A4%A').place).toBe('fit-book');
});
