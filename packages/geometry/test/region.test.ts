import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  circleCurve,
  components,
  containsPoint,
  emptyRegion,
  GeometryError,
  offset,
  openKernel,
  type Region,
  type Ring,
  regionArea,
  regionBounds,
  regionFromCurves,
  regionFromRings,
  ringArea,
  rotation,
  symmetricDifference,
  transformRegion,
  union,
} from '../src/index.ts';
import { boundaryOf, distanceFrom, openGeos, polygonCount, withGeos } from './geos.ts';
import { blobs, circle, nearCopies, regionOf, ringOf, SEED, shapeOfBlobs } from './random-regions.ts';

beforeAll(async () => {
  await openKernel();
  await openGeos();
});

const run = (numRuns: number) => ({ seed: SEED, numRuns, endOnFailure: true });
const square = (x: number, y: number, size: number): Ring =>
  ringOf([
    [x, y],
    [x + size, y],
    [x + size, y + size],
    [x, y + size],
  ]);
const from = (...rings: Ring[]): Region => regionFromRings(rings, 'evenodd');

/** Throws unless the rings keep what Region promises. */
function checkRegion(region: Region): void {
  for (const ring of region.rings) {
    expect(ring.length % 2).toBe(0);
    expect(ring.length).toBeGreaterThanOrEqual(6);
    expect(ringArea(ring)).not.toBe(0);
    for (let i = 0; i < ring.length; i += 2) {
      const j = (i + 2) % ring.length;
      expect(ring[i] === ring[j] && ring[i + 1] === ring[j + 1]).toBe(false);
      expect(ring[i]).toBe(Math.round(ring[i]! * 1e6) / 1e6);
      expect(ring[i + 1]).toBe(Math.round(ring[i + 1]! * 1e6) / 1e6);
    }
  }
}

describe('what every region keeps', () => {
  it('on the grid, no repeated vertex, no ring without area; holes only inside outers', () => {
    fc.assert(
      fc.property(
        fc.oneof(
          blobs.map((b) => [b, b] as const),
          nearCopies,
        ),
        ([a, b]) => {
          for (const region of [
            regionOf(a),
            symmetricDifference(regionOf(a), regionOf(b)),
            union([regionOf(a), regionOf(b)]),
            offset(regionOf(a), 0.3),
            offset(regionOf(b), -0.3),
            transformRegion(regionOf(a), { a: 0.01, b: 0.02, c: -0.03, d: 0.001, e: 5, f: 6 }),
          ]) {
            checkRegion(region);
            for (const part of components(region)) {
              expect(ringArea(part.rings[0]!)).toBeGreaterThan(0);
              for (const hole of part.rings.slice(1)) expect(ringArea(hole)).toBeLessThan(0);
              expect(regionArea(part)).toBeGreaterThan(0);
            }
          }
        },
      ),
      run(30),
    );
  });
});

describe('regionFromRings', () => {
  it('reads rings of either sense, by either rule', () => {
    const clockwise = ringOf([
      [0, 0],
      [0, 4],
      [4, 4],
      [4, 0],
    ]);
    expect(regionArea(regionFromRings([clockwise], 'nonzero'))).toBe(16);
    const [a, b] = [square(0, 0, 4), square(1, 1, 2)];
    expect(regionArea(regionFromRings([a, b], 'nonzero'))).toBe(16);
    expect(regionArea(regionFromRings([a, b], 'evenodd'))).toBe(12);
    expect(regionArea(regionFromRings([a, square(2, 2, 4)], 'evenodd'))).toBe(24);
    expect(regionArea(regionFromRings([a, square(2, 2, 4)], 'nonzero'))).toBe(28);
  });

  it('splits a figure of eight, drops what has no area', () => {
    const eight = regionFromRings(
      [
        ringOf([
          [0, 0],
          [2, 2],
          [2, 0],
          [0, 2],
        ]),
      ],
      'nonzero',
    );
    expect(regionArea(eight)).toBe(2);
    expect(components(eight)).toHaveLength(2);
    const flat = ringOf([
      [0, 0],
      [5, 5],
      [9, 9],
    ]);
    expect(regionFromRings([flat, square(0, 0, 1)], 'nonzero').rings).toHaveLength(1);
    expect(regionFromRings([new Float64Array(0), ringOf([[1, 1]])], 'nonzero').rings).toEqual([]);
    const doubled = ringOf([
      [0, 0],
      [0, 0],
      [3, 0],
      [3, 0.0000001],
      [3, 3],
      [0, 3],
      [0, 0],
    ]);
    expect(regionFromRings([doubled], 'nonzero').rings[0]).toHaveLength(8);
  });

  it('names the ring and the vertex of a bad number', () => {
    for (const bad of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 1e7]) {
      const ring = square(0, 0, 4);
      ring[5] = bad;
      const act = () => regionFromRings([square(9, 9, 1), ring], 'nonzero');
      expect(act).toThrow(GeometryError);
      expect(act).toThrow(/^Ring 1, vertex 2 is \(4, /);
      try {
        act();
      } catch (error) {
        expect(error).toMatchObject({
          code: 'bad-coordinate',
          details: { ring: 1, vertex: 2, x: 4, y: bad },
        });
      }
    }
    expect(() => regionFromRings([Float64Array.of(0, 0, 1, 0, 1)], 'nonzero')).toThrow(
      /Ring 0 has 5 numbers/,
    );
    const nan = { rings: [square(50, 50, 1), Float64Array.of(0, 0, 1, 0, Number.NaN, 1)] };
    expect(() => union([from(square(0, 0, 1)), nan])).toThrow(/Ring 1, vertex 2/);
  });
});

describe('regionFromCurves', () => {
  it('flattens within the tolerance', () => {
    const curves = [circleCurve({ x: 1, y: 2 }, 10), circleCurve({ x: 1, y: 2 }, 4)];
    for (const tolerance of [1e-2, 5e-4, 1e-5]) {
      const region = regionFromCurves(curves, 'evenodd', tolerance);
      expect(region.rings).toHaveLength(2);
      expect(Math.abs(regionArea(region) - 84 * Math.PI)).toBeLessThan(tolerance * 28 * Math.PI);
    }
    expect(regionFromCurves([], 'nonzero')).toEqual(emptyRegion);
  });
});

describe('components', () => {
  it('an island in a hole, and one in its hole, are parts of their own', () => {
    const nested = from(
      circle(0, 0, 9, 90),
      circle(0, 0, 7, 80),
      circle(1, 0, 5, 70),
      circle(1, 0, 3, 60),
      circle(2, 0, 1, 50),
    );
    const parts = components(nested).map((part) => part.rings.length);
    expect(parts.sort()).toEqual([1, 2, 2]);
    const sizes = components(nested)
      .map(regionArea)
      .sort((a, b) => a - b);
    const disc = (r: number, n: number) => (n / 2) * r * r * Math.sin((2 * Math.PI) / n);
    expect(sizes[0]).toBeCloseTo(disc(1, 50), 4);
    expect(sizes[1]).toBeCloseTo(disc(5, 70) - disc(3, 60), 4);
    expect(sizes[2]).toBeCloseTo(disc(9, 90) - disc(7, 80), 4);
  });

  it('gives each of many holes to the outer around it', () => {
    const rings: Ring[] = [];
    for (let k = 0; k < 6; k++) {
      rings.push(circle(10 * k, 0, 4, 40));
      for (let h = 0; h <= k; h++) rings.push(circle(10 * k - 2.5 + h, 0.1 * k, 0.3, 12));
    }
    const parts = components(from(...rings));
    expect(parts.map((part) => part.rings.length).sort()).toEqual([2, 3, 4, 5, 6, 7]);
    for (const part of parts) {
      const box = regionBounds(part);
      expect(box.maxX - box.minX).toBeCloseTo(8, 6);
    }
  });

  it('holes whose every vertex touches the outer', () => {
    const outer = ringOf([
      [0, 0],
      [2, 0],
      [4, 0],
      [4, 2],
      [4, 4],
      [2, 4],
      [0, 4],
      [0, 2],
    ]);
    const diamond = ringOf([
      [2, 0],
      [4, 2],
      [2, 4],
      [0, 2],
    ]);
    const corners = from(outer, diamond);
    expect(components(corners).reduce((sum, part) => sum + regionArea(part), 0)).toBe(8);
    const apart = components({ rings: [square(20, 0, 30), outer, diamond.slice().reverse() as Ring] });
    expect(apart.map(regionArea).reduce((p, q) => p + q)).toBeCloseTo(
      regionArea({ rings: [square(20, 0, 30), outer] }) + ringArea(diamond.slice().reverse() as Ring),
      9,
    );
  });

  it('add up to the region, and are as many as GEOS finds', () => {
    fc.assert(
      fc.property(blobs, (drawing) => {
        withGeos(() => {
          const region = regionOf(drawing);
          const parts = components(region);
          const sum = parts.reduce((total, part) => total + regionArea(part), 0);
          expect(sum).toBeCloseTo(regionArea(region), 9);
          expect(parts.reduce((total, part) => total + part.rings.length, 0)).toBe(region.rings.length);
          expect(parts).toHaveLength(polygonCount(shapeOfBlobs(drawing)));
        });
      }),
      run(60),
    );
  });
});

describe('containsPoint', () => {
  it('counts the boundary in, exactly', () => {
    const plate = from(square(0, 0, 3), square(1, 1, 1));
    for (const [x, y, inside] of [
      [0.5, 0.5, true],
      [1.5, 1.5, false],
      [1, 1.5, true],
      [0, 0, true],
      [3, 3, true],
      [1, 1, true],
      [2, 2, true],
      [3.000001, 1, false],
      [-0.000001, 1, false],
      [1.000001, 1.5, false],
      [0.999999, 1.5, true],
      [1.5, 0, true],
      [0, 4, false],
      [4, 0, false],
    ] as const) {
      expect([x, y, containsPoint(plate, { x, y })]).toEqual([x, y, inside]);
    }
    expect(containsPoint(emptyRegion, { x: 0, y: 0 })).toBe(false);
    // On a slanted edge only points that doubles can hold exactly are on it.
    const slanted = from(
      ringOf([
        [0, 0],
        [3, 1],
        [0, 1],
      ]),
    );
    expect(containsPoint(slanted, { x: 1.5, y: 0.5 })).toBe(true);
    expect(containsPoint(slanted, { x: 1.5, y: 0.5 - 1e-16 })).toBe(false);
  });

  it('agrees with GEOS away from the boundary', () => {
    fc.assert(
      fc.property(
        blobs,
        fc.array(
          fc.tuple(
            fc.double({ min: -20, max: 20, noNaN: true }),
            fc.double({ min: -20, max: 20, noNaN: true }),
          ),
          { minLength: 20, maxLength: 20 },
        ),
        (drawing, points) => {
          withGeos(() => {
            const region = regionOf(drawing);
            const shape = shapeOfBlobs(drawing);
            const boundary = boundaryOf(shape);
            for (const [x, y] of points) {
              if (distanceFrom(boundary, x, y) < 1e-5) continue;
              expect(containsPoint(region, { x, y })).toBe(distanceFrom(shape, x, y) === 0);
            }
          });
        },
      ),
      run(40),
    );
  });
});

describe('bounds and transforms', () => {
  it('bounds hold all vertices; those of nothing hold nothing', () => {
    expect(regionBounds(from(square(-3, 2, 5)))).toEqual({ minX: -3, minY: 2, maxX: 2, maxY: 7 });
    const nothing = regionBounds(emptyRegion);
    expect(nothing.minX).toBeGreaterThan(nothing.maxX);
  });

  it('an affine map multiplies areas by its determinant; mirrored outers stay counterclockwise', () => {
    const plate = from(square(0, 0, 3), square(1, 1, 1));
    const m = { a: -2, b: 0.5, c: 0.25, d: 1.5, e: 7, f: -1 };
    const mapped = transformRegion(plate, m);
    expect(regionArea(mapped)).toBeCloseTo(8 * Math.abs(m.a * m.d - m.b * m.c), 5);
    expect(mapped.rings.map((ring) => Math.sign(ringArea(ring))).sort()).toEqual([-1, 1]);
    expect(transformRegion(emptyRegion, m)).toEqual(emptyRegion);
    expect(() => transformRegion(plate, { ...m, e: Number.NaN })).toThrow(/vertex 0/);
  });

  it('there and back is the same within the grid', () => {
    fc.assert(
      fc.property(blobs, fc.double({ min: 0, max: 6.28, noNaN: true }), (drawing, angle) => {
        const region = regionOf(drawing);
        const back = transformRegion(transformRegion(region, rotation(angle)), rotation(-angle));
        expect(Math.abs(regionArea(back) / regionArea(region) - 1)).toBeLessThan(1e-6);
      }),
      run(50),
    );
  });
});
