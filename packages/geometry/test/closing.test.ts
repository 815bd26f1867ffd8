import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  closing,
  closingEllipse,
  containsPoint,
  difference,
  FLATTEN_TOLERANCE,
  offset,
  opening,
  openingEllipse,
  openKernel,
  type Region,
  type Ring,
  regionArea,
  regionFromRings,
  ringArea,
  symmetricDifference,
} from '../src/index.ts';
import { kernelInflate } from '../src/kernel.ts';
import { areaOf, either, offsetByEdges, openGeos, perimeterOf, shapeOf, withGeos } from './geos.ts';
import { blobs, circle, regionOf, ringOf, SEED, shapeOfBlobs, wavy } from './random-regions.ts';

beforeAll(async () => {
  await openKernel();
  await openGeos();
});

const run = (numRuns: number) => ({ seed: SEED, numRuns, endOnFailure: true });
const radii = fc.double({ min: 0.02, max: 1.5, noNaN: true });

function perimeter(region: Region): number {
  let sum = 0;
  for (const ring of region.rings) {
    for (let i = 0, j = ring.length - 2; i < ring.length; j = i, i += 2) {
      sum += Math.hypot(ring[i]! - ring[j]!, ring[i + 1]! - ring[j + 1]!);
    }
  }
  return sum;
}

const lost = (from: Region, to: Region) => regionArea(difference(from, to));
const changed = (a: Region, b: Region) => regionArea(symmetricDifference(a, b));
/** Area that rounding to the grid may give or take along a boundary: one grid step. */
const rounding = (region: Region) => 1e-6 * perimeter(region);

/** The vertices, as a sorted list to compare. */
function places(region: Region): string[] {
  return region.rings
    .flatMap((ring) => Array.from({ length: ring.length / 2 }, (_, i) => `${ring[2 * i]},${ring[2 * i + 1]}`))
    .sort();
}

describe('laws', () => {
  it('opening is in the region, the region in its closing', () => {
    fc.assert(
      fc.property(blobs, radii, (drawing, radius) => {
        const region = regionOf(drawing);
        expect(lost(region, closing(region, radius))).toBeLessThan(rounding(region));
        expect(lost(opening(region, radius), region)).toBeLessThan(rounding(region));
      }),
      run(150),
    );
  });

  it('twice is once, within the tolerance', () => {
    fc.assert(
      fc.property(blobs, radii, (drawing, radius) => {
        const region = regionOf(drawing);
        const closed = closing(region, radius);
        expect(changed(closing(closed, radius), closed)).toBeLessThan(FLATTEN_TOLERANCE * perimeter(closed));
        const opened = opening(region, radius);
        expect(changed(opening(opened, radius), opened)).toBeLessThan(FLATTEN_TOLERANCE * perimeter(region));
      }),
      run(100),
    );
  });

  it('closing a region opens what surrounds it', () => {
    const plate = regionFromRings(
      [
        ringOf([
          [-60, -60],
          [60, -60],
          [60, 60],
          [-60, 60],
        ]),
      ],
      'nonzero',
    );
    fc.assert(
      fc.property(blobs, radii, (drawing, radius) => {
        const region = regionOf(drawing);
        const around = opening(difference(plate, region), radius);
        const corners = (4 - Math.PI) * radius ** 2;
        const sum = regionArea(around) + regionArea(closing(region, radius)) + corners;
        expect(Math.abs(sum - regionArea(plate))).toBeLessThan(FLATTEN_TOLERANCE * (perimeter(region) + 10));
      }),
      run(60),
    );
  });
});

describe('closed forms', () => {
  // A right angle filled or cut by a disk of radius r touching both sides: r^2 (1 - pi/4).
  const spandrel = 1 - Math.PI / 4;
  const square = () =>
    regionFromRings(
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
  const angle = () =>
    regionFromRings(
      [
        ringOf([
          [0, 0],
          [4, 0],
          [4, 2],
          [2, 2],
          [2, 4],
          [0, 4],
        ]),
      ],
      'nonzero',
    );

  it('one inner corner filled, five outer ones cut', () => {
    const fine = { tolerance: 1e-6 };
    expect(regionArea(closing(angle(), 0.5, fine))).toBeCloseTo(12 + spandrel * 0.25, 5);
    expect(regionArea(opening(angle(), 0.5, fine))).toBeCloseTo(12 - 5 * spandrel * 0.25, 5);
    expect(regionArea(opening(square(), 1, fine))).toBeCloseTo(16 - 4 * spandrel, 5);
    expect(places(closing(square(), 1))).toEqual(places(square()));
  });

  it('the same by ellipses', () => {
    const fine = { tolerance: 1e-6 };
    for (const [rx, ry] of [
      [0.5, 0.2],
      [0.2, 0.5],
    ] as const) {
      expect(regionArea(closingEllipse(angle(), rx, ry, fine))).toBeCloseTo(12 + spandrel * rx * ry, 5);
      expect(regionArea(openingEllipse(angle(), rx, ry, fine))).toBeCloseTo(12 - 5 * spandrel * rx * ry, 5);
    }
  });

  it('a slot as wide as the disk stays, a narrower one is filled', () => {
    const slotted = (width: number) =>
      difference(
        regionFromRings(
          [
            ringOf([
              [0, 0],
              [10, 0],
              [10, 6],
              [0, 6],
            ]),
          ],
          'nonzero',
        ),
        regionFromRings(
          [
            ringOf([
              [2, 2],
              [8, 2],
              [8, 2 + width],
              [2, 2 + width],
            ]),
          ],
          'nonzero',
        ),
      );
    expect(closing(slotted(0.999), 0.5).rings).toHaveLength(1);
    expect(regionArea(closing(slotted(0.999), 0.5))).toBeCloseTo(60, 9);
    expect(closing(slotted(1.001), 0.5).rings).toHaveLength(2);
  });

  it('nothing comes of nothing, or of what is too small', () => {
    expect(opening(square(), 2.1).rings).toEqual([]);
    expect(closing({ rings: [] }, 1).rings).toEqual([]);
    const s = square();
    expect(closing(s, 0)).toBe(s);
  });
});

describe('vertices that only went there and back', () => {
  it('return to the very place on smooth outlines, convex ones and outer corners', () => {
    const spikes = Array.from({ length: 24 }, (_, i) => {
      const [a, r] = [(Math.PI * i) / 12, i % 2 ? 4.5 : 7];
      return [r * Math.cos(a), r * Math.sin(a)] as const;
    });
    for (const rings of [
      [wavy(0, 0, 20, 3, 7, 2000)],
      [circle(3, 4, 2, 64)],
      [
        ringOf([
          [0, 0],
          [7, 1],
          [3, 5],
        ]),
      ],
      [wavy(0, 0, 20, 1, 3, 900), circle(2, 2, 5, 300)],
    ]) {
      const region = regionFromRings(rings, 'evenodd');
      expect(places(closing(region, 0.1))).toEqual(places(region));
      expect(places(closingEllipse(region, 0.1, 0.07))).toEqual(places(region));
      expect(places(closingEllipse(region, 0.03, 0.1))).toEqual(places(region));
    }
    const star = regionFromRings([ringOf(spikes)], 'nonzero');
    const kept = new Set(places(closing(star, 0.1)));
    const tips = spikes
      .filter((_, i) => i % 2 === 0)
      .map(([x, y]) => places({ rings: [ringOf([[x, y]])] })[0]!);
    expect(tips.filter((tip) => kept.has(tip))).toHaveLength(12);
  });

  it('are there, but for those in what was filled and a few between micrometre-long edges', () => {
    let gone = 0;
    let all = 0;
    fc.assert(
      fc.property(blobs, fc.double({ min: 0.02, max: 0.3, noNaN: true }), (drawing, radius) => {
        const region = regionOf(drawing);
        const closed = closing(region, radius);
        const kept = new Set(places(closed));
        const filled = difference(closed, region).rings.filter((ring) => Math.abs(ringArea(ring)) > 1e-7);
        const near = offset({ rings: filled }, 1e-3);
        for (const ring of region.rings) {
          for (let i = 0; i < ring.length; i += 2) {
            if (containsPoint(near, { x: ring[i]!, y: ring[i + 1]! })) continue;
            all++;
            if (!kept.has(`${ring[i]},${ring[i + 1]}`)) gone++;
          }
        }
      }),
      run(80),
    );
    expect(all).toBeGreaterThan(10_000);
    expect(gone / all).toBeLessThan(0.005);
  });
});

describe('against other ways', () => {
  it("two offsets by the kernel's own, the slow twin", () => {
    fc.assert(
      fc.property(blobs, radii, (drawing, radius) => {
        const region = regionOf(drawing);
        const there = (rings: readonly Ring[], d: number) => kernelInflate(rings, d, FLATTEN_TOLERANCE);
        const limit = 2 * FLATTEN_TOLERANCE * (perimeter(region) + 10);
        const closed: Region = { rings: there(there(region.rings, radius), -radius) };
        expect(changed(closing(region, radius), closed)).toBeLessThan(limit);
        const opened: Region = { rings: there(there(region.rings, -radius), radius) };
        expect(changed(opening(region, radius), opened)).toBeLessThan(limit);
      }),
      run(100),
    );
  });

  it('two offsets by GEOS, edge by edge', () => {
    fc.assert(
      fc.property(blobs, fc.double({ min: 0.05, max: 0.4, noNaN: true }), (drawing, radius) => {
        withGeos(() => {
          const source = shapeOfBlobs(drawing);
          const limit = FLATTEN_TOLERANCE * perimeterOf(source);
          const closed = offsetByEdges(offsetByEdges(source, radius, 32), -radius, 32);
          expect(areaOf(either(shapeOf(closing(regionOf(drawing), radius)), closed))).toBeLessThan(limit);
        });
      }),
      run(5),
    );
  });
});
