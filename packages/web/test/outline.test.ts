import { outlineField } from '@inlaywright/formats';
import { expect, test } from 'vitest';
import {
  boardSize,
  cornersText,
  isRectangle,
  outlineFromCorners,
  rectangleOutline,
} from '../src/places/outline.ts';

test('corners go to an outline and back, in both decimal marks', () => {
  const reading = outlineFromCorners('0 0\n140,5 0; 140.5 60\n 0  60 ');
  expect(reading).toMatchObject({ ok: true });
  if (!reading.ok) return;
  expect(outlineField.safeParse(reading.outline).success).toBe(true);
  expect(cornersText(reading.outline)).toBe('0 0\n140.5 0\n140.5 60\n0 60');
  expect(boardSize(reading.outline)).toEqual({ widthMm: 140.5, heightMm: 60, minX: 0, minY: 0 });
  expect(isRectangle(reading.outline)).toBe(true);
});

test('what is no corner is told by its number', () => {
  for (const [text, message] of [
    ['0 0\n140 0\n60', 'Corner 3'],
    ['0 0\n140,0,5 1\n2 2', 'Corner 2'],
    ['0 0\n1 1', 'three corners'],
    ['', 'three corners'],
  ] as const) {
    expect(outlineFromCorners(text), text).toMatchObject({
      ok: false,
      message: expect.stringContaining(message),
    });
  }
});

test('arcs and holes are neither rectangles nor corners', () => {
  const bitten = 'M 0 0 L 140 0 L 140 60 L 90 60 A 20 20 0 0 0 50 60 L 0 60 Z';
  expect(isRectangle(bitten)).toBe(false);
  expect(cornersText(bitten)).toBe('');
  // An arc of radius 20 around (70, 60) reaches 20 below its chord; the board's own size stays.
  expect(boardSize(bitten)).toMatchObject({ widthMm: 140, heightMm: 60 });
  expect(isRectangle(`${rectangleOutline(300, 200)} M 10 10 L 20 10 L 20 20 L 10 20 Z`)).toBe(false);
  expect(isRectangle(rectangleOutline(300, 200))).toBe(true);
});
