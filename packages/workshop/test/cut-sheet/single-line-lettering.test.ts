import { describe, expect, it } from 'vitest';
import { letteringStrokes, letteringWidth } from '../../src/parts/single-line-lettering.ts';

const ALPHABET = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ';

function extent(text: string, heightMm: number, angleDeg = 0) {
  const points = letteringStrokes(text, { at: { x: 0, y: 0 }, heightMm, angleDeg }).flatMap((s) => s.points);
  const xs = points.map((p) => p.x);
  const ys = points.map((p) => p.y);
  return { minX: Math.min(...xs), maxX: Math.max(...xs), minY: Math.min(...ys), maxY: Math.max(...ys) };
}

describe('single-line lettering', () => {
  it('draws every figure and capital exactly as high as asked, standing on the baseline', () => {
    for (const character of ALPHABET) {
      const box = extent(character, 3);
      expect([character, box.maxY]).toEqual([character, expect.closeTo(3, 9)]);
      const foot = character === 'Q' ? -0.2 : 0;
      expect([character, box.minY]).toEqual([character, expect.closeTo(foot, 9)]);
    }
  });

  it('reports the width that it draws', () => {
    for (const text of [...ALPHABET, '12R~', 'A-B', '3.5', '(X)']) {
      const box = extent(text, 2);
      expect(box.minX).toBeGreaterThanOrEqual(-1e-9);
      expect(box.maxX).toBeLessThanOrEqual(letteringWidth(text, 2) + 0.1);
      expect(box.maxX).toBeGreaterThan(letteringWidth(text, 2) * 0.75);
    }
    expect(letteringWidth('', 2)).toBe(0);
  });

  it('gives every character a drawing of its own', () => {
    const drawings = new Set(
      [...ALPHABET, '~', '-', '+', '=', '.', ',', ':', '/', '(', ')'].map((character) =>
        JSON.stringify(letteringStrokes(character, { at: { x: 0, y: 0 }, heightMm: 6 })),
      ),
    );
    expect(drawings.size).toBe(ALPHABET.length + 10);
  });

  it('draws lower case as capitals and an unknown character as a box instead of dropping it', () => {
    const at = { x: 0, y: 0 };
    expect(letteringStrokes('r', { at, heightMm: 2 })).toEqual(letteringStrokes('R', { at, heightMm: 2 }));
    expect(letteringStrokes('\u00e9', { at, heightMm: 6 })).toEqual([
      {
        points: [
          { x: 0, y: 0 },
          { x: 4, y: 0 },
          { x: 4, y: 6 },
          { x: 0, y: 6 },
          { x: 0, y: 0 },
        ],
      },
    ]);
  });

  it('turns about the start of the baseline', () => {
    const flat = extent('12', 3);
    const upright = extent('12', 3, 90);
    expect(upright.maxY).toBeCloseTo(flat.maxX, 9);
    expect(upright.minX).toBeCloseTo(-flat.maxY, 9);
  });
});
