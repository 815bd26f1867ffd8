import type { Finding } from '@inlaywright/workshop';
import { expect, test } from 'vitest';
import { numberNotes } from '../src/drawing/notes.ts';

const finding = (over: Partial<Finding>): Finding => ({
  code: 'eased',
  severity: 'note',
  message: 'Seam p1-p12 yields 0.04 mm.',
  hint: '',
  ...over,
});

test('findings of one kind share a number and stand under the worst of them', () => {
  const notes = numberNotes([
    finding({ figureMm: 0.02, at: { x: 1, y: 2 } }),
    finding({ figureMm: -0.3, at: { x: 3, y: 4 }, message: 'Seam p2-p3 yields 0.3 mm.' }),
    finding({ code: 'lost', severity: 'decision', message: 'Part p7 is lost.' }),
  ]);
  expect(notes.map(({ number, code }) => [number, code])).toEqual([
    [1, 'lost'],
    [2, 'eased'],
  ]);
  expect(notes[1]!.message).toBe('Seam 2\u20133 yields 0.3 mm.');
  expect(notes[1]!.places).toEqual([
    { x: 3, y: -4 },
    { x: 1, y: -2 },
  ]);
  expect(notes[0]!.message).toBe('Part 7 is lost.');
  expect(notes[0]!.places).toEqual([]);
});
