import { expect, test } from 'vitest';
import {
  barLength,
  boxToPx,
  fitSheet,
  PX_PER_MM,
  ratioText,
  statedRatio,
  WHOLE,
} from '../src/sheet/sheet-scale.ts';
import { zoneAt, zonesFor } from '../src/sheet/zones.ts';

const insets = { left: 60, right: 60, top: 40, bottom: 60 };

test('the piece lies whole within the insets, at a scale that can be stated', () => {
  for (const [w, h] of [
    [24, 38],
    [300, 20],
    [2, 2],
    [900, 700],
  ] as const) {
    const box = { minX: -w / 2, minY: 5, maxX: w / 2, maxY: 5 + h };
    const scale = fitSheet(box, { width: 800, height: 600 }, insets, WHOLE);
    const px = boxToPx(scale, box);
    expect(px.minX).toBeGreaterThanOrEqual(insets.left - 1e-6);
    expect(px.maxX).toBeLessThanOrEqual(800 - insets.right + 1e-6);
    expect(px.minY).toBeGreaterThanOrEqual(insets.top - 1e-6);
    expect(px.maxY).toBeLessThanOrEqual(600 - insets.bottom + 1e-6);
    expect((px.maxX - px.minX) / w).toBeCloseTo(scale.k, 9);
    expect(scale.stated).toMatch(/^(\d+(\.\d)?:1|1:\d+(\.\d)?)$/);
  }
});

test('a scale of 1:1 draws an inch as 96 px (CSS reference pixel)', () => {
  expect(25.4 * PX_PER_MM).toBeCloseTo(96, 12);
});

test('stated ratios never enlarge beyond what fits', () => {
  for (let ratio = 0.05; ratio < 30; ratio *= 1.07) {
    expect(statedRatio(ratio)).toBeLessThanOrEqual(ratio * (1 + 1e-9));
    expect(statedRatio(ratio)).toBeGreaterThan(ratio * 0.6);
  }
  expect(ratioText(statedRatio(3.47))).toBe('3.4:1');
  expect(ratioText(statedRatio(0.19))).toBe('1:5.5');
});

test('the scale bar is a round length', () => {
  const scale = fitSheet(
    { minX: 0, minY: 0, maxX: 30, maxY: 30 },
    { width: 700, height: 500 },
    insets,
    WHOLE,
  );
  expect([1, 2, 5, 10, 20, 50]).toContain(barLength(scale, 120));
});

test('zones are even in number and skip the letters I and O (ISO 5457, from memory)', () => {
  const zones = zonesFor(2000, 3000, 150);
  expect(zones.columns % 2).toBe(0);
  expect(zones.rows % 2).toBe(0);
  const letters = Array.from(
    { length: zones.rows },
    (_, i) => zoneAt(zones, 0, (i + 0.5) / zones.rows)[0],
  ).join('');
  expect(letters).toBe('ABCDEFGHJKLMNPQRSTUV'.slice(0, zones.rows));
  expect(zoneAt({ columns: 8, rows: 4 }, 0.99, 0.01)).toBe('A8');
});
