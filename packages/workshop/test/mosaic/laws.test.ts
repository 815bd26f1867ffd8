import {
  type Affine,
  buildRingLocator,
  compose,
  containsPoint,
  flattenCurve,
  nearest,
  polygonCurve,
  type Region,
  regionArea,
  rotation,
  scaling,
  translation,
} from '@inlaywright/geometry';
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { type FlatArea, type GeosPartition, openGeosPartition } from '../../../../bench/src/mosaic-geos.ts';
import { type Area, areaCurves, type Mosaic, mosaic, type Piece, type Stretch } from '../../src/index.ts';
import { WELD_MM } from '../../src/mosaic/mosaic.ts';
import { flatAreas, mappedPiece, randomPiece, SEED, scribbles, tones } from './random-pieces.ts';

let geos: GeosPartition;
beforeAll(async () => {
  geos = await openGeosPartition();
});

const runs = (numRuns: number) => ({ seed: SEED, numRuns });
/** Nothing merged: the laws are about the partition as drawn. */
const asDrawn = { sliverMm2: 0, sliverWidthMm: 0 };
/** Welding moves boundaries by up to 0.55 um, here and there; law of the design: 1e-6 of the outline. */
const COVER = 1e-6;
/** GEOS on the same grid: its floating-point union now and then loses a polygon that fits a hole to the last bit. */
const GRID = 1e-6;

function perimeterOf(region: Region): number {
  return region.rings.reduce((sum, ring) => sum + lengthOf({ points: ring, closed: true }), 0);
}

function lengthOf({ points, closed }: Stretch): number {
  let sum = 0;
  const n = points.length;
  for (let i = 2; i < n; i += 2)
    sum += Math.hypot(points[i]! - points[i - 2]!, points[i + 1]! - points[i - 1]!);
  return closed ? sum + Math.hypot(points[0]! - points[n - 2]!, points[1]! - points[n - 1]!) : sum;
}

/** Directed edges as text: exact, since neighbours must share vertices to the last bit. */
function edgesOf({ points, closed }: Stretch): string[] {
  const n = points.length / 2;
  const at = (i: number) => `${points[2 * (i % n)]},${points[2 * (i % n) + 1]}`;
  return Array.from({ length: closed ? n : n - 1 }, (_, i) => `${at(i)} ${at(i + 1)}`);
}

const reversed = (edge: string) => edge.split(' ').reverse().join(' ');

const byTone = (m: Mosaic, tone: string) => m.parts.filter((part) => part.tone === tone);

/** Sorted areas of the parts worth the name, by tone. */
function sizes(m: Mosaic): [string, number][] {
  return m.parts
    .filter((part) => part.areaMm2 > 1e-3)
    .map((part): [string, number] => [part.tone, part.areaMm2])
    .sort((p, q) => (p[0] < q[0] ? -1 : p[0] > q[0] ? 1 : p[1] - q[1]));
}

function expectSameSizes(a: Mosaic, b: Mosaic, tolerance: number): void {
  const p = sizes(a);
  const q = sizes(b);
  expect(q.map(([tone]) => tone)).toEqual(p.map(([tone]) => tone));
  for (let i = 0; i < p.length; i++) expect(Math.abs(p[i]![1] - q[i]![1])).toBeLessThan(tolerance);
}

/** Length of all seams between two tones, mm. */
function seamLengths(m: Mosaic): Map<string, number> {
  const tone = new Map(m.parts.map((part) => [part.id, part.tone]));
  const lengths = new Map<string, number>();
  for (const seam of m.seams) {
    const key = [tone.get(seam.a)!, tone.get(seam.b)!].sort().join('-');
    lengths.set(key, (lengths.get(key) ?? 0) + seam.lengthMm);
  }
  return lengths;
}

describe('laws of the partition', () => {
  it('parts do not overlap (GEOS intersection of every two)', () => {
    let pairs = 0;
    fc.assert(
      fc.property(randomPiece, (piece) => {
        const m = mosaic(piece, asDrawn);
        const whole = regionArea(m.outline);
        for (let i = 0; i < m.parts.length; i++) {
          for (let j = i + 1; j < m.parts.length; j++) {
            pairs++;
            const common = geos.commonArea([m.parts[i]!.region.rings], [m.parts[j]!.region.rings]);
            expect(common).toBeLessThan(1e-9 * whole);
          }
        }
      }),
      runs(300),
    );
    expect(pairs).toBeGreaterThan(1000);
  });

  it('together the parts are outline minus piercings (GEOS union and difference)', () => {
    let welded = 0;
    fc.assert(
      fc.property(randomPiece, (piece) => {
        const m = mosaic(piece, asDrawn);
        const whole = regionArea(m.outline);
        const united = geos.union(
          m.parts.map((part) => part.region.rings),
          GRID,
        );
        const off = geos.differenceArea(united, geos.cover(flatAreas(piece), GRID));
        // Two flattenings of one curve that weld take each other's vertices: both come nearer to the curve.
        expect(off).toBeLessThan(WELD_MM * perimeterOf(m.outline) + WELD_MM * perimeterOf(m.piercings));
        if (off > COVER * whole) welded++;
        const covered = m.parts.reduce((sum, part) => sum + part.areaMm2, 0);
        expect(Math.abs(covered - (whole - regionArea(m.piercings)))).toBeLessThan(1e-9 * whole);
      }),
      runs(200),
    );
    expect(welded).toBeLessThan(3);
  });

  it('every tone has the shape that GEOS gives it from the same rings', () => {
    fc.assert(
      fc.property(randomPiece, (piece) => {
        const m = mosaic(piece, asDrawn);
        const theirs = geos.partition(flatAreas(piece), GRID);
        const length = m.parts.reduce((sum, part) => sum + perimeterOf(part.region), 0);
        for (const { id } of tones) {
          const ours = byTone(m, id).map((part) => part.region.rings);
          const other = theirs.filter((part) => part.tone === id).map((part) => part.rings);
          // Where boundaries run together within the weld distance they become one; nothing moves farther than that.
          expect(geos.differenceArea(ours, other)).toBeLessThan(WELD_MM * length);
        }
      }),
      runs(200),
    );
  });

  it('shows at every place what a plain count of windings says', () => {
    const place = fc.tuple(
      fc.double({ min: -16, max: 16, noNaN: true }),
      fc.double({ min: -20, max: 20, noNaN: true }),
    );
    let seen = 0;
    fc.assert(
      fc.property(
        fc.oneof(randomPiece, scribbles),
        fc.array(place, { minLength: 40, maxLength: 40 }),
        (piece, places) => {
          const m = mosaic(piece, asDrawn);
          const areas = flatAreas(piece);
          const boundaries = buildRingLocator(areas.flatMap((area) => area.rings));
          for (const [x, y] of places) {
            if (nearest(boundaries, { x, y }).distance < 0.002) continue;
            const expected = plainlyVisible(areas, x, y);
            const found = m.parts
              .filter((part) => containsPoint(part.region, { x, y }))
              .map((part) => part.tone);
            expect(found).toEqual(expected === undefined ? [] : [expected]);
            if (expected !== undefined) seen++;
          }
        },
      ),
      runs(600),
    );
    expect(seen).toBeGreaterThan(5000);
  });

  it('every edge of a part is in one rim, or in one seam and in the other part reversed', () => {
    fc.assert(
      fc.property(fc.oneof(randomPiece, scribbles), (piece) => {
        const m = mosaic(piece, asDrawn);
        const edges = new Map(
          m.parts.map((part) => [
            part.id,
            new Set(part.region.rings.flatMap((ring) => edgesOf({ points: ring, closed: true }))),
          ]),
        );
        const count = [...edges.values()].reduce((sum, set) => sum + set.size, 0);
        const take = (part: string, edge: string): void => {
          if (!edges.get(part)!.delete(edge))
            throw new Error(`${edge} is not an edge of ${part}, or it is used twice`);
        };
        for (const seam of m.seams) {
          expect(seam.a).not.toBe(seam.b);
          expect(Number(seam.a.slice(1))).toBeLessThan(Number(seam.b.slice(1)));
          for (const edge of seam.stretches.flatMap(edgesOf)) {
            take(seam.a, edge);
            take(seam.b, reversed(edge));
          }
        }
        for (const rim of m.rims) for (const edge of rim.stretches.flatMap(edgesOf)) take(rim.part, edge);
        expect(count).toBeGreaterThan(0);
        expect([...edges.values()].every((set) => set.size === 0)).toBe(true);
      }),
      runs(300),
    );
  });

  it('seams and rims add up to the perimeter of every part', () => {
    fc.assert(
      fc.property(fc.oneof(randomPiece, scribbles), (piece) => {
        const m = mosaic(piece, asDrawn);
        for (const part of m.parts) {
          const seams = m.seams.filter((seam) => seam.a === part.id || seam.b === part.id);
          const rims = m.rims.filter((rim) => rim.part === part.id);
          const sum = [...seams, ...rims].reduce((total, { lengthMm }) => total + lengthMm, 0);
          expect(Math.abs(sum - perimeterOf(part.region))).toBeLessThan(1e-9 * sum);
          expect(Math.abs(part.areaMm2 - regionArea(part.region))).toBeLessThan(1e-9);
        }
      }),
      runs(300),
    );
  });

  it('is the same after moving, turning and mirroring', () => {
    const motion: fc.Arbitrary<Affine> = fc
      .tuple(
        fc.double({ min: -3.1, max: 3.1, noNaN: true }),
        fc.double({ min: -200, max: 200, noNaN: true }),
        fc.double({ min: -200, max: 200, noNaN: true }),
        fc.boolean(),
      )
      .map(([angle, dx, dy, mirrored]) =>
        compose(translation(dx, dy), compose(rotation(angle), mirrored ? scaling(-1, 1) : scaling(1))),
      );
    fc.assert(
      fc.property(randomPiece, motion, (piece, m) => {
        const before = mosaic(piece, asDrawn);
        const after = mosaic(mappedPiece(piece, m), asDrawn);
        const whole = regionArea(before.outline);
        expectSameSizes(before, after, COVER * whole);
      }),
      runs(300),
    );
  });

  it('does not depend on how an area is split', () => {
    fc.assert(
      fc.property(randomPiece, fc.nat(), fc.double({ min: -8, max: 8, noNaN: true }), (piece, pick, x) => {
        const before = mosaic(piece, asDrawn);
        const after = mosaic(splitArea(piece, 1 + (pick % (piece.areas.length - 1)), x), asDrawn);
        const whole = regionArea(before.outline);
        expectSameSizes(before, after, COVER * whole);
        const lengths = seamLengths(after);
        for (const [pair, length] of seamLengths(before)) {
          expect(Math.abs((lengths.get(pair) ?? 0) - length)).toBeLessThan(0.01);
        }
      }),
      runs(300),
    );
  });

  it('does not depend on the sense in which a curve runs, and repeats itself exactly', () => {
    fc.assert(
      fc.property(randomPiece, (piece) => {
        const before = mosaic(piece, asDrawn);
        expect(mosaic(piece, asDrawn)).toEqual(before);
        expectSameSizes(before, mosaic(mappedPiece(piece, scaling(1)), asDrawn), 1e-9);
      }),
      runs(50),
    );
  });
});

/** The tone on top at a point by the fill rules and nothing else: the slow twin. */
function plainlyVisible(areas: readonly FlatArea[], x: number, y: number): string | undefined {
  const ground = areas.findIndex((area) => !area.piercing);
  const covers = areas.map((area) => {
    const winding = area.rings.reduce((sum, ring) => sum + windingAt(ring, x, y), 0);
    return area.fillRule === 'evenodd' ? winding % 2 !== 0 : winding !== 0;
  });
  if (!areas.some((area, i) => covers[i] && !area.piercing && (i === ground || area.extendsOutline)))
    return undefined;
  if (areas.some((area, i) => covers[i] && area.piercing)) return undefined;
  return areas.findLast((_, i) => covers[i])!.tone;
}

function windingAt(ring: Float64Array, x: number, y: number): number {
  let winding = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const ay = ring[i + 1]!;
    const by = ring[j + 1]!;
    if (ay <= y === by <= y) continue;
    const crossing = ring[i]! + ((y - ay) / (by - ay)) * (ring[j]! - ring[i]!);
    if (crossing < x) winding += by < ay ? 1 : -1;
  }
  return winding;
}

/** The piece with one area cut along a vertical line into two areas of the same tone. */
function splitArea(piece: Piece, index: number, x: number): Piece {
  const area = piece.areas[index]!;
  const { curves, fillRule } = areaCurves(area);
  const rings = curves.map((curve) => flattenCurve(curve));
  const half = (side: 1 | -1, id: string): Area => ({
    ...area,
    id,
    shape: {
      kind: 'path',
      fillRule,
      curves: rings
        .map((ring) => polygonCurve(clipped(ring, x, side)))
        .filter((curve) => curve.segments.length > 1),
    },
  });
  const halves = [half(1, 'right'), half(-1, 'left')].filter(
    (part) => part.shape.kind === 'path' && part.shape.curves.length > 0,
  );
  return { ...piece, areas: piece.areas.flatMap((other, i) => (i === index ? halves : [other])) };
}

/** The part of a ring on one side of a vertical line (Sutherland and Hodgman, from memory). */
function clipped(ring: Float64Array, x: number, side: 1 | -1): { x: number; y: number }[] {
  const out: { x: number; y: number }[] = [];
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    const a = { x: ring[i]!, y: ring[i + 1]! };
    const b = { x: ring[j]!, y: ring[j + 1]! };
    const aIn = side * (a.x - x) >= 0;
    const bIn = side * (b.x - x) >= 0;
    if (aIn) out.push(a);
    if (aIn !== bIn) out.push({ x, y: a.y + ((x - a.x) / (b.x - a.x)) * (b.y - a.y) });
  }
  return out;
}
