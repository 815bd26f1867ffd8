import fc from 'fast-check';
import { expect, test } from 'vitest';
import { placeBalloons } from '../src/sheet/balloon-places.ts';

const SEED = 20262;
const box = { minX: 100, minY: 100, maxX: 500, maxY: 400 };

test('balloons stand outside the outline, clear of each other, each once', () => {
  const place = fc.record({
    x: fc.double({ min: 100, max: 500, noNaN: true }),
    y: fc.double({ min: 100, max: 400, noNaN: true }),
  });
  fc.assert(
    fc.property(fc.array(place, { minLength: 1, maxLength: 18 }), (places) => {
      const placed = placeBalloons(
        places.map((at, i) => ({ number: i + 1, at })),
        box,
        36,
        30,
      );
      expect(new Set(placed.map(({ number }) => number)).size).toBe(places.length);
      for (const { centre } of placed) {
        expect(centre.x >= box.maxX + 35 || centre.y <= box.minY - 35).toBe(true);
      }
      const steps = placed.slice(1).map(({ centre }, i) => {
        const before = placed[i]!.centre;
        // Along the path, not across its corner.
        return Math.abs(centre.x - before.x) + Math.abs(centre.y - before.y);
      });
      for (const step of steps) expect(step).toBeGreaterThan(29.999);
    }),
    { seed: SEED, numRuns: 200 },
  );
});

test('more balloons than the path has room for share it evenly', () => {
  const many = Array.from({ length: 60 }, (_, i) => ({ number: i + 1, at: { x: 300, y: 101 } }));
  const placed = placeBalloons(many, box, 36, 30);
  expect(placed).toHaveLength(60);
  expect(placed.every(({ centre }) => Number.isFinite(centre.x) && Number.isFinite(centre.y))).toBe(true);
});
