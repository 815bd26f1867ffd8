import fc from 'fast-check';
import { expect, it } from 'vitest';
import { buildEdgeGrid } from '../../src/mosaic/edge-grid.ts';
import { orient } from '../../src/mosaic/exact.ts';
import { SEED } from './random-pieces.ts';

it('orient has the sign of the exact determinant, also where doubles round to zero', () => {
  const far = fc.integer({ min: -2_000_000_000, max: 2_000_000_000 });
  const near = fc.integer({ min: -2, max: 2 });
  fc.assert(
    fc.property(
      far,
      far,
      far,
      far,
      fc.double({ min: 0, max: 1, noNaN: true }),
      near,
      near,
      (ax, ay, bx, by, t, dx, dy) => {
        const cx = Math.round(ax + t * (bx - ax)) + dx;
        const cy = Math.round(ay + t * (by - ay)) + dy;
        const exact =
          (BigInt(bx) - BigInt(ax)) * (BigInt(cy) - BigInt(ay)) -
          (BigInt(by) - BigInt(ay)) * (BigInt(cx) - BigInt(ax));
        expect(Math.sign(orient(ax, ay, bx, by, cx, cy)) + 0).toBe(exact > 0n ? 1 : exact < 0n ? -1 : 0);
      },
    ),
    { seed: SEED, numRuns: 3000 },
  );
  // A step off a line 4 m long: the products are 1.6e19 and agree in all digits that a double has.
  const far2 = 1_999_999_999;
  const products = [2 * far2 * (2 * far2 - 2), (2 * far2 - 1) * (2 * far2 - 1)] as const;
  expect(products[0] - products[1]).not.toBe(-1);
  expect(orient(-far2, -far2, far2, far2 - 1, far2 - 1, far2 - 2)).toBeLessThan(0);
});

it('every two edges within the margin share a cell (all pairs as the slow twin)', () => {
  const coordinate = fc.integer({ min: 0, max: 400 });
  const edge = fc
    .tuple(coordinate, coordinate, fc.integer({ min: -300, max: 300 }), fc.integer({ min: -300, max: 300 }))
    .map(([x, y, dx, dy]) => [x, y, x + dx, y + dy]);
  const long = fc.tuple(coordinate, coordinate, coordinate, coordinate).map((ends) => [...ends]);
  let close = 0;
  fc.assert(
    fc.property(
      fc.array(fc.oneof({ weight: 5, arbitrary: edge }, { weight: 1, arbitrary: long }), {
        minLength: 2,
        maxLength: 60,
      }),
      fc.integer({ min: 1, max: 20 }),
      (edges, margin) => {
        const coordinates = Float64Array.from(edges.flat());
        const { cellStart, cellEdges } = buildEdgeGrid(coordinates, edges.length, margin);
        const together = new Set<string>();
        for (let cell = 0; cell + 1 < cellStart.length; cell++) {
          const inside = [...cellEdges.subarray(cellStart[cell]!, cellStart[cell + 1]!)];
          for (const e of inside) for (const f of inside) together.add(`${e} ${f}`);
        }
        for (let e = 0; e < edges.length; e++) {
          for (let f = e + 1; f < edges.length; f++) {
            if (gap(edges[e]!, edges[f]!) > margin) continue;
            close++;
            expect(together.has(`${e} ${f}`)).toBe(true);
          }
        }
      },
    ),
    { seed: SEED, numRuns: 200 },
  );
  expect(close).toBeGreaterThan(500);
});

it('with some edges marked, every near pair that has a marked edge shares a cell', () => {
  const coordinates = new Float64Array(4 * 200);
  let state = SEED;
  const random = () => {
    state = (state * 16807) % 2147483647;
    return state / 2147483647;
  };
  const edges = Array.from({ length: 200 }, () => {
    const x = 400 * random();
    const y = 400 * random();
    return [x, y, x + 200 * random() - 100, y + 200 * random() - 100];
  });
  coordinates.set(edges.flat());
  const changed = Uint8Array.from(edges, () => (random() < 0.1 ? 1 : 0));
  const { cellStart, cellEdges } = buildEdgeGrid(coordinates, edges.length, 5, changed);
  const together = new Set<string>();
  for (let cell = 0; cell + 1 < cellStart.length; cell++) {
    const inside = [...cellEdges.subarray(cellStart[cell]!, cellStart[cell + 1]!)];
    for (const e of inside) for (const f of inside) together.add(`${e} ${f}`);
  }
  let pairs = 0;
  for (let e = 0; e < edges.length; e++) {
    for (let f = e + 1; f < edges.length; f++) {
      if (!(changed[e] || changed[f]) || gap(edges[e]!, edges[f]!) > 5) continue;
      pairs++;
      expect(together.has(`${e} ${f}`)).toBe(true);
    }
  }
  expect(pairs).toBeGreaterThan(20);
});

/** Distance between two edges: 0 where they cross, otherwise the least of the four ends' distances. */
function gap(e: readonly number[], f: readonly number[]): number {
  const [ax, ay, bx, by] = e as [number, number, number, number];
  const [cx, cy, dx, dy] = f as [number, number, number, number];
  const side = (px: number, py: number, qx: number, qy: number, rx: number, ry: number) =>
    Math.sign((qx - px) * (ry - py) - (qy - py) * (rx - px));
  if (
    side(ax, ay, bx, by, cx, cy) * side(ax, ay, bx, by, dx, dy) < 0 &&
    side(cx, cy, dx, dy, ax, ay) * side(cx, cy, dx, dy, bx, by) < 0
  ) {
    return 0;
  }
  return Math.min(toEdge(ax, ay, f), toEdge(bx, by, f), toEdge(cx, cy, e), toEdge(dx, dy, e));
}

function toEdge(px: number, py: number, edge: readonly number[]): number {
  const [ax, ay, bx, by] = edge as [number, number, number, number];
  const length2 = (bx - ax) ** 2 + (by - ay) ** 2;
  const t =
    length2 === 0 ? 0 : Math.min(1, Math.max(0, ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / length2));
  return Math.hypot(px - ax - t * (bx - ax), py - ay - t * (by - ay));
}
