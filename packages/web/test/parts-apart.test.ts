import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Box, Place } from '../src/drawing/model.ts';
import { type ApartPart, partsApart } from '../src/drawing/parts-apart.ts';

const SEED = 20261;

function boxOf(x: number, y: number, w: number, h: number): Box {
  return { minX: x, minY: y, maxX: x + w, maxY: y + h };
}

function moved(part: ApartPart, moves: ReadonlyMap<string, Place>): Box {
  const by = moves.get(part.id)!;
  return {
    minX: part.box.minX + by.x,
    minY: part.box.minY + by.y,
    maxX: part.box.maxX + by.x,
    maxY: part.box.maxY + by.y,
  };
}

function overlap(a: Box, b: Box): boolean {
  return a.minX < b.maxX && b.minX < a.maxX && a.minY < b.maxY && b.minY < a.maxY;
}

test('inlays of a ground leave it and each other, the ground stays', () => {
  const piece = boxOf(0, 0, 30, 40);
  const inlay = fc.tuple(
    fc.double({ min: 2, max: 24, noNaN: true }),
    fc.double({ min: 2, max: 34, noNaN: true }),
    fc.double({ min: 0.5, max: 4, noNaN: true }),
    fc.double({ min: 0.5, max: 4, noNaN: true }),
  );
  fc.assert(
    fc.property(fc.array(inlay, { minLength: 1, maxLength: 14 }), (inlays) => {
      const parts: ApartPart[] = [
        { id: 'p1', level: 0, box: piece },
        ...inlays.map(([x, y, w, h], i) => ({ id: `p${i + 2}`, level: 1 + (i % 3), box: boxOf(x, y, w, h) })),
      ];
      const moves = partsApart(parts, piece);
      expect(moves.get('p1')).toEqual({ x: 0, y: 0 });
      const boxes = parts.map((part) => moved(part, moves));
      for (let i = 0; i < boxes.length; i++) {
        for (let j = i + 1; j < boxes.length; j++) {
          expect(overlap(boxes[i]!, boxes[j]!), `${parts[i]!.id} over ${parts[j]!.id}`).toBe(false);
        }
      }
    }),
    { seed: SEED, numRuns: 100 },
  );
});

test('parts of a piece without a ground move apart too', () => {
  const parts: ApartPart[] = [
    { id: 'p1', level: 0, box: boxOf(0, 0, 10, 10) },
    { id: 'p2', level: 0, box: boxOf(10, 0, 10, 10) },
  ];
  const moves = partsApart(parts, boxOf(0, 0, 20, 10));
  expect(overlap(moved(parts[0]!, moves), moved(parts[1]!, moves))).toBe(false);
  expect(moves.get('p1')!.x).toBeLessThan(0);
  expect(moves.get('p2')!.x).toBeGreaterThan(0);
});

test('a small part of the lowest level beside the ground moves, the ground stays', () => {
  const piece = boxOf(0, 0, 50, 32);
  const parts: ApartPart[] = [
    { id: 'p1', level: 0, box: piece },
    { id: 'p2', level: 0, box: boxOf(20, 18, 1, 2) },
    { id: 'p3', level: 1, box: boxOf(5, 10, 40, 9) },
  ];
  const moves = partsApart(parts, piece);
  expect(moves.get('p1')).toEqual({ x: 0, y: 0 });
  expect(overlap(moved(parts[0]!, moves), moved(parts[1]!, moves))).toBe(false);
  expect(overlap(moved(parts[0]!, moves), moved(parts[2]!, moves))).toBe(false);
});
