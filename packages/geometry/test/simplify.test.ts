import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  components,
  openKernel,
  type Region,
  type Ring,
  regionArea,
  regionFromRings,
  ringArea,
  simplifyRegion,
} from '../src/index.ts';
import { boundaryDistance, isValid, openGeos, shapeOf, withGeos } from './geos.ts';
import { blobs, circle, regionOf, ringOf, SEED, wavy } from './random-regions.ts';

beforeAll(async () => {
  await openKernel();
  await openGeos();
});

const run = (numRuns: number) => ({ seed: SEED, numRuns, endOnFailure: true });
const vertices = (region: Region) => region.rings.reduce((sum, ring) => sum + ring.length / 2, 0);

describe('simplifyRegion', () => {
  it('stays within the tolerance both ways and keeps every ring, by GEOS', () => {
    const tolerances = fc.double({ min: Math.log(1e-4), max: Math.log(3), noNaN: true }).map(Math.exp);
    fc.assert(
      fc.property(blobs, tolerances, (drawing, tolerance) => {
        withGeos(() => {
          const region = regionOf(drawing);
          const simple = simplifyRegion(region, tolerance);
          const [before, after] = [shapeOf(region), shapeOf(simple)];
          expect(boundaryDistance(before, after)).toBeLessThanOrEqual(tolerance * (1 + 1e-9) + 2e-6);
          expect(simple.rings).toHaveLength(region.rings.length);
          simple.rings.forEach((ring, r) => {
            expect(Math.sign(ringArea(ring))).toBe(Math.sign(ringArea(region.rings[r]!)));
          });
          expect(components(simple)).toHaveLength(components(region).length);
          if (isValid(shapeOf(region))) expect(isValid(shapeOf(simple))).toBe(true);
        });
      }),
      run(120),
    );
  });

  it('keeps vertices of the input only', () => {
    const region = regionFromRings([wavy(0, 0, 9, 2, 5, 800), circle(0, 0, 3, 300)], 'evenodd');
    const simple = simplifyRegion(region, 0.01);
    expect(vertices(simple)).toBeLessThan(vertices(region) / 4);
    simple.rings.forEach((ring, r) => {
      const places = new Set(pairs(region.rings[r]!));
      for (const place of pairs(ring)) expect(places.has(place)).toBe(true);
    });
  });

  it('drops what lies in a line and nothing else at tolerance 0', () => {
    const ring = ringOf([
      [0, 0],
      [1, 0],
      [2, 0],
      [3, 0],
      [3, 1],
      [3, 3],
      [1.5, 3],
      [0, 3],
    ]);
    expect(vertices(simplifyRegion({ rings: [ring] }, 0))).toBe(4);
    const disc = regionFromRings([circle(0, 0, 5, 100)], 'nonzero');
    expect(vertices(simplifyRegion(disc, 0))).toBe(100);
    expect(simplifyRegion(disc, 0).rings[0]).toBe(disc.rings[0]);
  });

  it('does not let a chord jump over a hole or a neighbour', () => {
    // A shallow bump of the rim, with a pin hole in it that the chord across would leave outside.
    const bump = ringOf([
      [0, 0],
      [10, 0],
      [10, 4],
      [7, 4],
      [5, 4.4],
      [3, 4],
      [0, 4],
    ]);
    const pin = circle(5, 4.2, 0.08, 8);
    const plate = regionFromRings([bump, pin], 'evenodd');
    expect(vertices(simplifyRegion({ rings: [plate.rings.find((r) => ringArea(r) > 0)!] }, 0.5))).toBe(4);
    const simple = simplifyRegion(plate, 0.5);
    withGeos(() => expect(isValid(shapeOf(simple))).toBe(true));
    expect(simple.rings).toHaveLength(2);
    // An islet in a bay.
    const bay = ringOf([
      [0, 0],
      [10, 0],
      [10, 4],
      [6, 4],
      [5, 3.6],
      [4, 4],
      [0, 4],
    ]);
    const islet = circle(5, 3.85, 0.08, 8);
    const two = simplifyRegion(regionFromRings([bay, islet], 'evenodd'), 0.5);
    expect(components(two)).toHaveLength(2);
    withGeos(() => expect(isValid(shapeOf(two))).toBe(true));
  });

  it('keeps a comb a comb, however coarse', () => {
    const teeth: [number, number][] = [
      [0, 0],
      [20, 0],
    ];
    for (let k = 19; k >= 0; k--) teeth.push([k + 0.6, 5], [k + 0.5, 0.3], [k + 0.4, 0.3], [k + 0.3, 5]);
    const comb = regionFromRings([ringOf(teeth)], 'nonzero');
    for (const tolerance of [0.1, 0.5, 1, 4, 50]) {
      const simple = simplifyRegion(comb, tolerance);
      withGeos(() => {
        expect(isValid(shapeOf(simple))).toBe(true);
        expect(boundaryDistance(shapeOf(comb), shapeOf(simple))).toBeLessThanOrEqual(tolerance);
      });
      expect(regionArea(simple)).toBeGreaterThan(0);
    }
  });

  it('refuses a tolerance that is not a number of 0 or more', () => {
    for (const bad of [-1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => simplifyRegion({ rings: [] }, bad)).toThrow(/tolerance/);
    }
    expect(simplifyRegion({ rings: [] }, 1).rings).toEqual([]);
  });
});

function pairs(ring: Ring): string[] {
  return Array.from({ length: ring.length / 2 }, (_, i) => `${ring[2 * i]},${ring[2 * i + 1]}`);
}
