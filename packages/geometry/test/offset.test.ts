import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  closing,
  components,
  containsPoint,
  difference,
  FLATTEN_TOLERANCE,
  intersection,
  offset,
  offsetEllipse,
  opening,
  openKernel,
  type Region,
  regionArea,
  regionBounds,
  regionFromRings,
  ringArea,
  symmetricDifference,
  transformRegion,
} from '../src/index.ts';
import { kernelInflate } from '../src/kernel.ts';
import { innerPoint } from '../src/ring.ts';
import {
  areaOf,
  boundaryOf,
  chordDepth,
  distanceFrom,
  minus,
  offsetByEdges,
  openGeos,
  shapeOf,
  withGeos,
} from './geos.ts';
import { blobs, circle, nearCopies, regionOf, ringOf, SEED, shapeOfBlobs, wavy } from './random-regions.ts';

beforeAll(async () => {
  await openKernel();
  await openGeos();
});

const run = (numRuns: number) => ({ seed: SEED, numRuns, endOnFailure: true });
const distances = fc
  .tuple(fc.double({ min: Math.log(0.01), max: Math.log(2.5), noNaN: true }), fc.boolean())
  .map(([log, inward]) => (inward ? -Math.exp(log) : Math.exp(log)));

const QUARTER = 128;

describe('against GEOS 3.13', () => {
  it('lies between the exact offset and the one a tolerance farther', () => {
    fc.assert(
      fc.property(blobs, distances, (drawing, distance) => {
        withGeos(() => {
          const result = shapeOf(offset(regionOf(drawing), distance));
          const source = shapeOfBlobs(drawing);
          const reach = Math.abs(distance);
          const inward = distance < 0;
          const rounding = 3e-6;
          const depth = chordDepth(reach, QUARTER);
          // Tangents reach farther than the arc, outward when growing and inward when shrinking.
          const least = offsetByEdges(source, (inward ? -1 : 1) * (reach - rounding), QUARTER);
          const most = offsetByEdges(
            source,
            (inward ? -1 : 1) * (reach + FLATTEN_TOLERANCE + depth),
            QUARTER,
          );
          const [low, high] = inward ? [most, least] : [least, most];
          expect(areaOf(minus(low, result))).toBeLessThan(1e-8);
          expect(areaOf(minus(result, high))).toBeLessThan(1e-8);
        });
      }),
      run(16),
    );
  });

  it('has every boundary point at the distance, within the tolerance', () => {
    fc.assert(
      fc.property(blobs, distances, (drawing, distance) => {
        withGeos(() => {
          const boundary = boundaryOf(shapeOfBlobs(drawing));
          const result = offset(regionOf(drawing), distance);
          for (const ring of result.rings) {
            for (let i = 0; i < ring.length; i += 8) {
              const j = (i + 2) % ring.length;
              const middle = [(ring[i]! + ring[j]!) / 2, (ring[i + 1]! + ring[j + 1]!) / 2] as const;
              for (const [x, y] of [[ring[i]!, ring[i + 1]!], middle] as const) {
                const off = distanceFrom(boundary, x, y) - Math.abs(distance);
                expect(off).toBeGreaterThan(-5e-6);
                expect(off).toBeLessThan(FLATTEN_TOLERANCE);
              }
            }
          }
        });
      }),
      run(40),
    );
  });

  it('agrees in area to 1e-6 at a tolerance of 2 nm', () => {
    const kerfs = fc.double({ min: -0.4, max: 0.4, noNaN: true }).filter((d) => Math.abs(d) > 0.005);
    fc.assert(
      fc.property(blobs, kerfs, (drawing, distance) => {
        withGeos(() => {
          const source = shapeOfBlobs(drawing);
          const result = regionArea(offset(regionOf(drawing), distance, { tolerance: 2e-6 }));
          const exact = areaOf(offsetByEdges(source, distance, 2 * QUARTER));
          expect(Math.abs(result - exact) / areaOf(source)).toBeLessThan(1e-6);
        });
      }),
      run(16),
    );
  });
});

describe('closed forms', () => {
  // Steiner formula for convex bodies (textbook; e.g. Schneider, Convex Bodies, section 4.1, from memory):
  // area of the offset = A + P r + pi r^2, its perimeter = P + 2 pi r.
  it("Steiner's formula for random convex polygons", () => {
    const convex = fc
      .array(fc.double({ min: 0.2, max: 1, noNaN: true }), { minLength: 3, maxLength: 30 })
      .map((gaps) => {
        const sum = gaps.reduce((p, q) => p + q);
        let angle = 0;
        // Points of an ellipse in order of their angle are convex.
        return ringOf(
          gaps.map((gap) => {
            angle += (2 * Math.PI * gap) / sum;
            return [9 * Math.cos(angle), 4 * Math.sin(angle)];
          }),
        );
      });
    fc.assert(
      fc.property(convex, fc.double({ min: 0.02, max: 5, noNaN: true }), (ring, r) => {
        const grown = offset(regionFromRings([ring], 'nonzero'), r, { tolerance: 2e-6 });
        const steiner = ringArea(ring) + perimeter(ring) * r + Math.PI * r * r;
        expect(Math.abs(regionArea(grown) / steiner - 1)).toBeLessThan(1e-6);
        expect(perimeter(grown.rings[0]!) / (perimeter(ring) + 2 * Math.PI * r) - 1).toBeLessThan(1e-5);
      }),
      run(100),
    );
  });

  it('a square grows round corners and shrinks to a square', () => {
    const square = regionFromRings(
      [
        ringOf([
          [0, 0],
          [4, 0],
          [4, 4],
          [0, 4],
        ]),
      ],
      'nonzero',
    );
    expect(regionArea(offset(square, 1, { tolerance: 1e-6 }))).toBeCloseTo(16 + 16 + Math.PI, 4);
    const shrunk = offset(square, -1);
    expect([...shrunk.rings[0]!].sort()).toEqual([1, 1, 1, 1, 3, 3, 3, 3]);
  });

  it('an ellipse is the stretched disk', () => {
    const square = regionFromRings(
      [
        ringOf([
          [0, 0],
          [4, 0],
          [4, 4],
          [0, 4],
        ]),
      ],
      'nonzero',
    );
    // Minkowski sum of a square and an ellipse: A + 2 h rx + 2 w ry + pi rx ry.
    for (const [rx, ry] of [
      [0.1, 0.3],
      [0.3, 0.1],
    ] as const) {
      const grown = offsetEllipse(square, rx, ry, 1, { tolerance: 1e-6 });
      expect(regionArea(grown)).toBeCloseTo(16 + 8 * rx + 8 * ry + Math.PI * rx * ry, 4);
      const box = regionBounds(grown);
      expect(box.minX).toBeCloseTo(-rx, 5);
      expect(box.maxY).toBeCloseTo(4 + ry, 5);
      const shrunk = offsetEllipse(square, rx, ry, -1);
      expect(regionArea(shrunk)).toBeCloseTo((4 - 2 * rx) * (4 - 2 * ry), 5);
    }
  });

  it('an ellipse keeps the tolerance: the boundary lies between two ellipses about a point', () => {
    // A speck of a square stands for a point.
    const speck = regionFromRings(
      [
        ringOf([
          [-1e-6, -1e-6],
          [1e-6, -1e-6],
          [1e-6, 1e-6],
          [-1e-6, 1e-6],
        ]),
      ],
      'nonzero',
    );
    const [rx, ry] = [0.9, 0.2];
    const ring = offsetEllipse(speck, rx, ry, 1).rings[0]!;
    for (let i = 0; i < ring.length; i += 2) {
      const [x, y] = [ring[i]!, ring[i + 1]!];
      // Distance to the ellipse, to first order: f / |grad f|.
      const f = (x / rx) ** 2 + (y / ry) ** 2 - 1;
      const off = f / Math.hypot((2 * x) / rx ** 2, (2 * y) / ry ** 2);
      expect(off).toBeGreaterThan(-5e-6);
      expect(off).toBeLessThan(FLATTEN_TOLERANCE);
    }
  });
});

describe('what is left', () => {
  const disc = (x: number, y: number, radius: number) => circle(x, y, radius, 200);

  it('nothing, of what is narrower than the disk', () => {
    const bar = regionFromRings(
      [
        ringOf([
          [0, 0],
          [10, 0],
          [10, 1],
          [0, 1],
        ]),
      ],
      'nonzero',
    );
    expect(offset(bar, -0.6)).toEqual({ rings: [] });
    expect(offset(regionFromRings([disc(0, 0, 1)], 'nonzero'), -1.001).rings).toEqual([]);
    expect(offset({ rings: [] }, 3).rings).toEqual([]);
    expect(offset(bar, 0)).toBe(bar);
  });

  it('two of a dumb-bell, when its neck goes', () => {
    const bell = ringOf([
      [0, 0],
      [4, 0],
      [4, 1.8],
      [8, 1.8],
      [8, 0],
      [12, 0],
      [12, 4],
      [8, 4],
      [8, 2.2],
      [4, 2.2],
      [4, 4],
      [0, 4],
    ]); // prettier-ignore
    const shrunk = offset(regionFromRings([bell], 'nonzero'), -0.3, { tolerance: 1e-6 });
    expect(components(shrunk)).toHaveLength(2);
    // Where the neck was, each half keeps a cusp between the arcs about the two inner corners, 0.4 apart:
    // area 2 (0.2 r - integral of sqrt(r^2 - u^2) from 0 to 0.2), r = 0.3.
    const cusp = 2 * (0.06 - (0.2 * Math.sqrt(0.09 - 0.04) + 0.09 * Math.asin(0.2 / 0.3)) / 2);
    expect(regionArea(shrunk)).toBeCloseTo(2 * (3.4 * 3.4 + cusp), 5);
  });

  it('no hole that is smaller than the disk, and no island either', () => {
    const plate = regionFromRings(
      [disc(0, 0, 10), disc(0, 0, 0.5), disc(5, 0, 2), disc(5, 0, 0.4)],
      'evenodd',
    );
    expect(plate.rings).toHaveLength(4);
    const grown = offset(plate, 0.6);
    expect(grown.rings).toHaveLength(3);
    // Shrinking keeps both holes and loses the island.
    const shrunk = offset(plate, -0.6);
    expect(shrunk.rings).toHaveLength(3);
    expect(offset(plate, -10.5).rings).toEqual([]);
  });

  it('a whole disc, of a curved hole whose radius is between half the distance and all of it', () => {
    // All joints of such a hole are closed and every edge runs backward.
    for (const radius of [0.55, 0.7, 0.9, 0.99, 0.9999]) {
      const ring = regionFromRings([disc(0, 0, 5), disc(0, 0, radius)], 'evenodd');
      expect(offset(ring, 1).rings).toHaveLength(1);
      // An oblong one is too long to be seen from its box.
      const slot = offset(
        regionFromRings(
          [
            ringOf([
              [-2, 0.000004],
              [-2, 0],
              [2, 0],
              [2, 0.000004],
            ]),
          ],
          'nonzero',
        ),
        radius,
      );
      const plate = difference(regionFromRings([disc(0, 0, 9)], 'nonzero'), slot);
      expect(plate.rings).toHaveLength(2);
      const grown = offset(plate, 1);
      expect(grown.rings).toHaveLength(1);
      expect(regionArea(grown)).toBeCloseTo(
        regionArea({ rings: [offset({ rings: [plate.rings.find((r) => ringArea(r) > 0)!] }, 1).rings[0]!] }),
        9,
      );
    }
  });

  it('as many vertices as before, where the outline is smooth', () => {
    const outline = regionFromRings([wavy(0, 0, 20, 3, 7, 2000)], 'nonzero');
    expect(offset(outline, 0.1).rings[0]!.length / 2).toBe(2000);
    expect(offset(outline, -0.1).rings[0]!.length / 2).toBe(2000);
    expect(kernelInflate(outline.rings, 0.1, FLATTEN_TOLERANCE)[0]!.length / 2).toBeGreaterThan(3000);
  });
});

describe("against the kernel's own offset, the slow twin", () => {
  it('covers the same ground', () => {
    fc.assert(
      fc.property(blobs, distances, (drawing, distance) => {
        const region = regionOf(drawing);
        const ours = offset(region, distance);
        const twin: Region = { rings: kernelInflate(region.rings, distance, FLATTEN_TOLERANCE) };
        const length = region.rings.reduce((sum, ring) => sum + perimeter(ring), 0) + 8 * Math.abs(distance);
        const common = regionArea(intersection(ours, twin));
        const apart = regionArea(ours) + regionArea(twin) - 2 * common;
        // Ours is up to one tolerance out, the twin's chords up to one in.
        expect(apart).toBeLessThan(2 * FLATTEN_TOLERANCE * length);
      }),
      run(100),
    );
  });
});

describe('of what other operations leave', () => {
  const distanceTo = (region: Region, x: number, y: number): number => {
    let best = Number.POSITIVE_INFINITY;
    for (const ring of region.rings) {
      for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
        const [ax, ay] = [ring[j]!, ring[j + 1]!];
        const [dx, dy] = [ring[i]! - ax, ring[i + 1]! - ay];
        const t = Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / (dx * dx + dy * dy)));
        best = Math.min(best, Math.hypot(x - ax - t * dx, y - ay - t * dy));
      }
    }
    return best;
  };

  it('slivers a few grid steps thin included: where the twin differs, the distance says that ours is right', () => {
    let differing = 0;
    fc.assert(
      fc.property(
        fc.oneof(fc.tuple(blobs, blobs), nearCopies),
        distances,
        fc.constantFrom(
          symmetricDifference,
          difference,
          (a: Region) => closing(a, 1),
          (a: Region) => opening(a, 1),
        ),
        ([drawingA, drawingB], distance, operate) => {
          const region = operate(regionOf(drawingA), regionOf(drawingB));
          const ours = offset(region, distance);
          const twin: Region = { rings: kernelInflate(region.rings, distance, FLATTEN_TOLERANCE) };
          const rims = symmetricDifference(ours, twin);
          // What is thicker than the two tolerances together is no rim.
          for (const ring of kernelInflate(rims.rings, -2 * FLATTEN_TOLERANCE, 1e-4)) {
            if (ringArea(ring) < 1e-6) continue;
            differing++;
            const p = innerPoint(ring);
            const inside = containsPoint(region, p);
            const off = distanceTo(region, p.x, p.y);
            const expected = distance > 0 ? inside || off < distance : inside && off > -distance;
            expect(containsPoint(ours, p)).toBe(expected);
          }
        },
      ),
      run(400),
    );
    expect(differing).toBeLessThan(20);
  });

  it('the end of a needle whose edges reverse exactly', () => {
    // From the difference of two copies a few grid steps apart: without its 1 nm end edge it turns by just pi.
    const needle = Float64Array.from([
      1.397299, 8.822196, 1.102777, 9.317283, 0.783879, 9.960091, 0.420558, 10.703926, 0.000003, 11.492032,
      -0.481789, 12.262422, -1.019433, 12.953125, -0.481792, 12.262425, 0, 11.492035, 0.420558, 10.703926,
      0.783876, 9.960094, 1.102774, 9.317286, 1.397299, 8.822196, 1.692258, 8.507558, 1.692258, 8.507557,
    ]);
    const grown = offset({ rings: [needle] }, 1);
    // Two straight-ish sides and a cap at either end.
    const along = perimeter(needle) / 2;
    expect(regionArea(grown)).toBeGreaterThan(2 * along + Math.PI - 0.02);
    expect(regionArea(grown)).toBeLessThan(2 * along + Math.PI + 0.02);
  });

  it('a loop of 20 nm that turns an edge back before a slight turn, as rounding leaves them', () => {
    const plain = regionFromRings(
      [
        ringOf([
          [0, 0],
          [4, 0],
          [4, 4],
          [2, 4],
          [0, 3.6473],
        ]),
      ],
      'nonzero',
    );
    const looped: Region = {
      rings: [Float64Array.of(0, 0, 4, 0, 4, 4, 1.99998, 4, 2, 4.000001, 0, 3.6473)],
    };
    expect(Math.abs(regionArea(offset(looped, 1.5)) / regionArea(offset(plain, 1.5)) - 1)).toBeLessThan(1e-4);
  });
});

describe('in any position', () => {
  it('turned, mirrored or moved, the same offset', () => {
    fc.assert(
      fc.property(
        blobs,
        distances,
        fc.double({ min: 0, max: 6.28, noNaN: true }),
        (drawing, distance, angle) => {
          const region = regionOf(drawing);
          const [c, s] = [Math.cos(angle), Math.sin(angle)];
          const mirrored = transformRegion(region, { a: c, b: s, c: s, d: -c, e: 3000, f: -2000 });
          const here = regionArea(offset(region, distance, { tolerance: 1e-5 }));
          const there = regionArea(offset(mirrored, distance, { tolerance: 1e-5 }));
          expect(Math.abs(there - here) / regionArea(region)).toBeLessThan(1e-6);
        },
      ),
      run(60),
    );
  });
});

describe('bad arguments', () => {
  it('are named', () => {
    const square = regionFromRings(
      [
        ringOf([
          [0, 0],
          [4, 0],
          [4, 4],
          [0, 4],
        ]),
      ],
      'nonzero',
    );
    const code = (act: () => unknown) => {
      try {
        act();
      } catch (error) {
        return (error as { code?: string }).code;
      }
      return 'no error';
    };
    expect(code(() => offset(square, Number.NaN))).toBe('bad-distance');
    expect(code(() => offset(square, Number.POSITIVE_INFINITY))).toBe('bad-distance');
    expect(code(() => offset(square, 1, { tolerance: 0 }))).toBe('bad-tolerance');
    expect(code(() => offset(square, 1, { tolerance: Number.NaN }))).toBe('bad-tolerance');
    expect(code(() => offsetEllipse(square, -1, 1, 1))).toBe('bad-distance');
    expect(code(() => offsetEllipse(square, 0, 1, 1))).toBe('bad-distance');
    expect(offsetEllipse(square, 0, 0, 1)).toBe(square);
    expect(code(() => offset({ rings: [Float64Array.of(0, 0, 1, Number.NaN, 1, 1)] }, 1))).toBe(
      'bad-coordinate',
    );
    expect(() =>
      offset({ rings: [square.rings[0]!, Float64Array.of(0, 0, 1, 0, 1, Number.NaN)] }, 1),
    ).toThrow(/Ring 1, vertex 2 is \(1, NaN\)/);
  });
});

function perimeter(ring: Float64Array): number {
  let sum = 0;
  for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
    sum += Math.hypot(ring[i]! - ring[j]!, ring[i + 1]! - ring[j + 1]!);
  }
  return sum;
}
