import fc from 'fast-check';
import { type Region, type Ring, regionFromRings, union } from '../src/index.ts';
import { joinAll, polygon, type Shape } from './geos.ts';

/** Every property runs with this seed, so that a failure can be run again; fast-check prints path and case. */
export const SEED = 20261125;

/** A drawing as rings, before any kernel has touched it: each entry is an outer ring and its holes. */
export type Blobs = readonly (readonly Ring[])[];

const grid = (value: number): number => Math.round(value * 1e6) / 1e6;

export function ringOf(points: readonly (readonly [number, number])[]): Ring {
  return Float64Array.from(points.flat().map(grid));
}

/** A polygon that sees its whole boundary from (x, y): radii at rising angles. Counterclockwise. */
function starShaped(x: number, y: number, radii: readonly number[], turn: number, scale = 1): Ring {
  return ringOf(
    radii.map((radius, i) => {
      const angle = turn + (2 * Math.PI * i) / radii.length;
      return [x + scale * radius * Math.cos(angle), y + scale * radius * Math.sin(angle)];
    }),
  );
}

export function circle(x: number, y: number, radius: number, sides: number): Ring {
  return starShaped(x, y, new Array(sides).fill(radius), 0);
}

/** A wavy outline: radius + wave cos(k angle). */
export function wavy(x: number, y: number, radius: number, wave: number, k: number, sides: number): Ring {
  const radii = Array.from(
    { length: sides },
    (_, i) => radius + wave * Math.cos((2 * Math.PI * k * i) / sides),
  );
  return starShaped(x, y, radii, 0);
}

const place = fc.record({
  x: fc.double({ min: -15, max: 15, noNaN: true }),
  y: fc.double({ min: -15, max: 15, noNaN: true }),
  turn: fc.double({ min: 0, max: 6.28, noNaN: true }),
  hole: fc.option(fc.double({ min: 0.2, max: 0.8, noNaN: true })),
});

const spiky = fc
  .tuple(place, fc.array(fc.double({ min: 3, max: 12, noNaN: true }), { minLength: 5, maxLength: 24 }))
  .map(([{ x, y, turn, hole }, radii]) => [
    starShaped(x, y, radii, turn),
    ...(hole ? [starShaped(x, y, radii, turn, hole)] : []),
  ]);

const round = fc
  .tuple(place, fc.double({ min: 1, max: 12, noNaN: true }), fc.integer({ min: 12, max: 96 }))
  .map(([{ x, y, hole }, radius, sides]) => [
    circle(x, y, radius, sides),
    ...(hole ? [circle(x, y, radius * hole, sides)] : []),
  ]);

const waves = fc
  .tuple(place, fc.double({ min: 3, max: 12, noNaN: true }), fc.integer({ min: 2, max: 9 }))
  .map(([{ x, y, hole }, radius, k]) => [
    wavy(x, y, radius, radius / 4, k, 160),
    ...(hole ? [wavy(x, y, radius * hole, (radius * hole) / 4, k, 120)] : []),
  ]);

const blob = fc.oneof(spiky, round, waves);

/** One to four blobs, with holes or without, apart or overlapping. */
export const blobs: fc.Arbitrary<Blobs> = fc.array(blob, { minLength: 1, maxLength: 4 });

/** A blob and a copy turned by up to 1e-4 rad and moved by up to 5 um: edges that nearly coincide. */
export const nearCopies: fc.Arbitrary<readonly [Blobs, Blobs]> = fc
  .tuple(
    blob,
    fc.double({ min: -1e-4, max: 1e-4, noNaN: true }),
    fc.double({ min: -5e-3, max: 5e-3, noNaN: true }),
    fc.boolean(),
  )
  .map(([rings, turn, move, keepSome]) => {
    const copy = rings.map((ring) => {
      const moved = Float64Array.from(ring);
      for (let i = 0; i < ring.length; i += 2) {
        // Shared vertices between moved ones are the hardest case.
        if (keepSome && i % 3 === 0) continue;
        moved[i] = grid(ring[i]! * Math.cos(turn) - ring[i + 1]! * Math.sin(turn) + move);
        moved[i + 1] = grid(ring[i]! * Math.sin(turn) + ring[i + 1]! * Math.cos(turn) - move);
      }
      return moved;
    });
    return [[rings], [copy]] as const;
  });

export function regionOf(drawing: Blobs): Region {
  return union(drawing.map((rings) => regionFromRings(rings, 'evenodd')));
}

/** The same drawing made by GEOS from the same rings. */
export function shapeOfBlobs(drawing: Blobs): Shape {
  return joinAll(drawing.map(polygon));
}
