import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  containsPoint,
  difference,
  emptyRegion,
  intersection,
  openKernel,
  type Region,
  type Ring,
  regionArea,
  regionFromRings,
  symmetricDifference,
  transformRegion,
  translation,
  union,
} from '../src/index.ts';
import { type BooleanOperation, kernelBoolean } from '../src/kernel.ts';
import {
  areaOf,
  boundaryDistance,
  either,
  join,
  meet,
  minus,
  openGeos,
  perimeterOf,
  type Shape,
  shapeOf,
  withGeos,
} from './geos.ts';
import { blobs, circle, nearCopies, regionOf, ringOf, SEED, shapeOfBlobs, wavy } from './random-regions.ts';

beforeAll(async () => {
  await openKernel();
  await openGeos();
});

const run = (numRuns: number) => ({ seed: SEED, numRuns, endOnFailure: true });

const operations: readonly {
  readonly name: BooleanOperation;
  readonly ours: (a: Region, b: Region) => Region;
  readonly theirs: (a: Shape, b: Shape) => Shape;
}[] = [
  { name: 'union', ours: (a, b) => union([a, b]), theirs: join },
  { name: 'intersection', ours: intersection, theirs: meet },
  { name: 'difference', ours: difference, theirs: minus },
  { name: 'xor', ours: symmetricDifference, theirs: either },
];

describe('against GEOS 3.13', () => {
  for (const { name, ours, theirs } of operations) {
    it(`${name} of random regions agrees in area and shape`, () => {
      fc.assert(
        fc.property(blobs, blobs, (drawingA, drawingB) => {
          withGeos(() => {
            const a = regionOf(drawingA);
            const b = regionOf(drawingB);
            const result = ours(a, b);
            const shape = theirs(shapeOfBlobs(drawingA), shapeOfBlobs(drawingB));
            const size = regionArea(a) + regionArea(b);
            expect(Math.abs(regionArea(result) - areaOf(shape)) / size).toBeLessThan(1e-6);
            const mine = shapeOf(result);
            // Rounding to the 1 nm grid: less than a grid step along all of the boundary.
            expect(areaOf(either(mine, shape))).toBeLessThan(1e-6 * perimeterOf(shape) + 1e-9);
            if (areaOf(shape) > 1e-4) expect(boundaryDistance(mine, shape)).toBeLessThan(5e-5);
          });
        }),
        run(40),
      );
    });

    it(`${name} of near copies agrees in area`, () => {
      fc.assert(
        fc.property(nearCopies, ([drawingA, drawingB]) => {
          withGeos(() => {
            const a = regionOf(drawingA);
            const b = regionOf(drawingB);
            const shape = theirs(shapeOfBlobs(drawingA), shapeOfBlobs(drawingB));
            const size = regionArea(a) + regionArea(b);
            expect(Math.abs(regionArea(ours(a, b)) - areaOf(shape)) / size).toBeLessThan(1e-6);
          });
        }),
        run(50),
      );
    });
  }
});

describe('area identities', () => {
  const check = (a: Region, b: Region) => {
    const [both, one, left, right, odd] = [
      union([a, b]),
      intersection(a, b),
      difference(a, b),
      difference(b, a),
      symmetricDifference(a, b),
    ].map(regionArea) as [number, number, number, number, number];
    const size = regionArea(a) + regionArea(b);
    expect(Math.abs(both + one - size) / size).toBeLessThan(1e-6);
    expect(Math.abs(left + one - regionArea(a)) / size).toBeLessThan(1e-6);
    expect(Math.abs(left + right - odd) / size).toBeLessThan(1e-6);
  };

  it('hold for random regions', () => {
    fc.assert(
      fc.property(blobs, blobs, (a, b) => check(regionOf(a), regionOf(b))),
      run(150),
    );
  });

  it('hold for near copies', () => {
    fc.assert(
      fc.property(nearCopies, ([a, b]) => check(regionOf(a), regionOf(b))),
      run(150),
    );
  });

  it('hold for many: union of parts is the whole, however they are grouped', () => {
    fc.assert(
      fc.property(blobs, blobs, blobs, (a, b, c) => {
        const [ra, rb, rc] = [regionOf(a), regionOf(b), regionOf(c)];
        const flat = union([ra, rb, rc]);
        const nested = union([ra, union([rb, rc])]);
        expect(regionArea(symmetricDifference(flat, nested))).toBeLessThan(1e-4);
        expect(Math.abs(regionArea(flat) / regionArea(nested) - 1)).toBeLessThan(1e-6);
      }),
      run(80),
    );
  });
});

describe('rings kept out of the kernel', () => {
  // The slow twin: every ring of both operands through the kernel.
  const slow = (name: BooleanOperation, a: Region, b: Region): Region => ({
    rings: kernelBoolean(name, a.rings, b.rings, 'nonzero'),
  });
  const rims = fc.constantFrom<readonly Ring[]>(
    [circle(0, 0, 12, 200)],
    [circle(0, 0, 12, 200), circle(0, 0, 9, 100)],
    [circle(0, 0, 12, 200), circle(0, 0, 5, 40), circle(8, 0, 1.5, 40), circle(8, 0, 0.7, 20)],
    [wavy(0, 0, 9, 3, 6, 300), circle(1, 1, 3, 30)],
    [
      ringOf([
        [-13, -2],
        [0, -13],
        [13, 2],
        [0, 13],
      ]),
      circle(0, 0, 4, 50),
    ],
    [circle(-7, 0, 4, 50), circle(7, 0, 4, 50), circle(7, 0, 2, 50)],
  );

  for (const { name, ours } of operations) {
    it(`${name} is the same with them as without`, () => {
      fc.assert(
        fc.property(
          rims,
          blobs,
          fc.double({ min: 0.05, max: 1, noNaN: true }),
          fc.boolean(),
          (rim, drawing, scale, swap) => {
            const big = regionFromRings(rim, 'evenodd');
            const small = transformRegion(regionOf(drawing), { a: scale, b: 0, c: 0, d: scale, e: 0, f: 0 });
            const [a, b] = swap ? [small, big] : [big, small];
            const fast = ours(a, b);
            const twin = slow(name, a, b);
            expect(Math.abs(regionArea(fast) - regionArea(twin))).toBeLessThan(1e-7);
            expect(regionArea(slow('xor', fast, twin))).toBeLessThan(1e-6);
            expect(fast.rings.length).toBe(twin.rings.length);
          },
        ),
        run(150),
      );
    });
  }

  const square = (x: number, y: number, size: number): Region =>
    regionFromRings(
      [
        ringOf([
          [x, y],
          [x + size, y],
          [x + size, y + size],
          [x, y + size],
        ]),
      ],
      'nonzero',
    );

  it('gives operands back as they are where nothing happens', () => {
    const a = square(0, 0, 10);
    const inside = square(2, 2, 1);
    const apart = square(20, 0, 3);
    expect(difference(a, apart)).toBe(a);
    expect(intersection(a, apart)).toBe(emptyRegion);
    expect(union([a, inside])).toBe(a);
    expect(union([inside, a])).toBe(a);
    expect(union([a])).toBe(a);
    expect(intersection(a, inside)).toBe(inside);
    expect(intersection(inside, a)).toBe(inside);
    expect(difference(inside, a)).toBe(emptyRegion);
    expect(union([a, apart]).rings).toEqual([...a.rings, ...apart.rings]);
    expect(symmetricDifference(a, apart).rings).toEqual([...a.rings, ...apart.rings]);
  });

  it('cuts a hole into a plate that surrounds it, and fills it again', () => {
    const plate = square(0, 0, 10);
    const inside = square(2, 2, 1);
    const pierced = difference(plate, inside);
    expect(pierced.rings).toHaveLength(2);
    expect(regionArea(pierced)).toBe(99);
    expect(containsPoint(pierced, { x: 2.5, y: 2.5 })).toBe(false);
    const filled = union([pierced, inside]);
    expect(filled.rings).toHaveLength(1);
    expect(regionArea(filled)).toBe(100);
  });

  it('joins neighbours that share only an edge or part of it', () => {
    const joined = union([square(0, 0, 10), square(10, 3, 2)]);
    expect(joined.rings).toHaveLength(1);
    expect(regionArea(joined)).toBe(104);
  });

  it('leaves nothing of two equal regions, however far from the origin', () => {
    const a = transformRegion(
      regionFromRings([wavy(0, 0, 5, 1, 7, 300)], 'nonzero'),
      translation(9000, -8000),
    );
    expect(difference(a, a).rings).toEqual([]);
    expect(symmetricDifference(a, a).rings).toEqual([]);
    expect(regionArea(union([a, a]))).toBeCloseTo(regionArea(a), 9);
  });
});
