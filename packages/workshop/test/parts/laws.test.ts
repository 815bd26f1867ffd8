import {
  type Bounds,
  closing,
  components,
  difference,
  offset,
  openKernel,
  type Region,
  regionArea,
  regionBounds,
  regionFromRings,
  scaling,
  symmetricDifference,
  transformCurve,
  transformRegion,
  union,
} from '@inlaywright/geometry';
import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import {
  areaCurves,
  type Compensation,
  compensate,
  type Mosaic,
  mosaic,
  type Piece,
  plainFit,
  WorkshopError,
} from '../../src/index.ts';
import { byRegions } from '../../src/parts/compensate.ts';
import { planOf } from '../../src/parts/compensate-plan.ts';
import { randomPiece, SEED } from '../mosaic/random-pieces.ts';
import { pathRegion } from './pieces.ts';

/** Fitted stretches lie within 0.9 um of the true curve, flattened ones within 0.5 um; both on either side. */
const THIN_MM = 0.0016;

const work = fc.record({
  piece: randomPiece,
  kerfMm: fc.constantFrom(0.2, 0.12, 0.16),
  allowanceMm: fc.constantFrom(0.03, -0.02, 0.05, 0),
  share: fc.constantFrom('inserted' as const, 'both' as const),
});

interface Case {
  readonly parts: Mosaic;
  readonly result: Compensation;
  /** Parts that some finding puts up for decision: there the aim cannot be what was drawn. */
  readonly decided: ReadonlySet<string>;
}

function solve(piece: Piece, kerfMm: number, allowanceMm: number, share: 'inserted' | 'both'): Case | null {
  const parts = mosaicOf(piece);
  if (!parts) return null;
  const result = compensate(parts, plainFit(kerfMm, allowanceMm), { share, turn: 'auto' });
  const decisions = result.findings.filter(({ severity }) => severity === 'decision');
  return { parts, result, decided: new Set(decisions.flatMap((finding) => finding.parts ?? [])) };
}

/** Some random pieces have nothing left beside their piercings. */
function mosaicOf(piece: Piece): Mosaic | null {
  try {
    return mosaic(piece);
  } catch (error) {
    if (error instanceof WorkshopError && error.code === 'piece-invalid') return null;
    throw error;
  }
}

/** What of a difference is thicker than twice the tolerance: real differences, not two fits of one curve. */
function thick(region: Region, tolerance = THIN_MM): Bounds[] {
  return components(offset(region, -tolerance, { tolerance: 1e-4 })).map(regionBounds);
}

function aimOf(result: Compensation, part: number): Region {
  return regionFromRings(result.cuts[part]!.aim.rings, 'nonzero');
}

/** Whether a place is at least that far from every end of a seam or rim. */
function farFromNodes({ seams, rims }: Mosaic, { minX, minY, maxX, maxY }: Bounds, reachMm: number): boolean {
  const x = (minX + maxX) / 2;
  const y = (minY + maxY) / 2;
  const reach = reachMm + Math.max(maxX - minX, maxY - minY) / 2;
  return [...seams, ...rims].every(({ stretches }) =>
    stretches.every(({ points, closed }) => {
      const n = points.length;
      return (
        closed ||
        (Math.hypot(points[0]! - x, points[1]! - y) > reach &&
          Math.hypot(points[n - 2]! - x, points[n - 1]! - y) > reach)
      );
    }),
  );
}

describe(`laws of compensation on random pieces (seed ${SEED})`, () => {
  beforeAll(() => openKernel());

  it('loses and doubles no part: one cut each, in order, one outside each', () => {
    let seen = 0;
    fc.assert(
      fc.property(work, ({ piece, kerfMm, allowanceMm, share }) => {
        const solved = solve(piece, kerfMm, allowanceMm, share);
        if (!solved) return;
        const { parts, result, decided } = solved;
        expect(result.cuts.map(({ part }) => part)).toEqual(parts.parts.map(({ id }) => id));
        for (const { part, contours } of result.cuts) {
          seen++;
          const outsides = contours.filter(({ role }) => role === 'outside').length;
          if (outsides !== 1) expect(decided).toContain(part);
        }
      }),
      { seed: SEED, numRuns: 60, endOnFailure: true },
    );
    expect(seen).toBeGreaterThan(150);
  });

  it('keeps rims true: the aims together are outline less piercings', () => {
    fc.assert(
      fc.property(work, ({ piece, kerfMm, allowanceMm, share }) => {
        const solved = solve(piece, kerfMm, Math.abs(allowanceMm), share);
        if (!solved) return;
        const { parts, result } = solved;
        const all = union(result.cuts.map((_, p) => aimOf(result, p)));
        expect(thick(symmetricDifference(all, difference(parts.outline, parts.piercings)), 0.0011)).toEqual(
          [],
        );
      }),
      { seed: SEED, numRuns: 40, endOnFailure: true },
    );
  });

  it('frees along every path what the beam can leave of the aim, so no pocket is compensated the wrong way', () => {
    fc.assert(
      fc.property(work, ({ piece, kerfMm, allowanceMm, share }) => {
        const solved = solve(piece, kerfMm, allowanceMm, share);
        if (!solved) return;
        const { result } = solved;
        result.cuts.forEach((cut, p) => {
          const aim = aimOf(result, p);
          const freed = offset(pathRegion(cut), -kerfMm / 2, { tolerance: 1e-4 });
          // Eased pockets are as narrow as the beam exactly, so closing a polygon of them is asked 1 um to either side.
          const most = closing(aim, kerfMm / 2 + 0.001, { tolerance: 1e-4 });
          const least = closing(aim, Math.max(0, kerfMm / 2 - 0.001), { tolerance: 1e-4 });
          // A path refitted from a polygon adds that polygon's chords to its own fit.
          expect(thick(difference(freed, most), 0.002)).toEqual([]);
          expect(thick(difference(least, freed), 0.002)).toEqual([]);
        });
      }),
      { seed: SEED, numRuns: 40, endOnFailure: true },
    );
  });

  it('comes to the same by chains and by whole regions, but within 0.25 mm of the ends of seams', () => {
    let compared = 0;
    fc.assert(
      fc.property(work, ({ piece, kerfMm, allowanceMm, share }) => {
        const solved = solve(piece, kerfMm, allowanceMm, share);
        if (!solved) return;
        const { parts, result, decided } = solved;
        const slow = byRegions(
          parts,
          planOf(
            parts,
            plainFit(kerfMm, allowanceMm),
            share,
            parts.parts.map(() => false),
          ),
        );
        result.cuts.forEach(({ part }, p) => {
          if (decided.has(part)) return;
          compared++;
          const apart = thick(symmetricDifference(aimOf(result, p), slow.parts[p]!.aim));
          expect(apart.filter((place) => farFromNodes(parts, place, 0.25))).toEqual([]);
        });
      }),
      { seed: SEED, numRuns: 40, endOnFailure: true },
    );
    expect(compared).toBeGreaterThan(100);
  });

  it('changes nothing for no kerf and no allowance', () => {
    fc.assert(
      fc.property(randomPiece, (piece) => {
        const solved = solve(piece, 0, 0, 'inserted');
        if (!solved) return;
        const { parts, result } = solved;
        expect(result.eased).toEqual([]);
        result.cuts.forEach((cut, p) => {
          expect(thick(symmetricDifference(parts.parts[p]!.region, aimOf(result, p)), 0.001)).toEqual([]);
          expect(thick(symmetricDifference(parts.parts[p]!.region, pathRegion(cut)), 0.001)).toEqual([]);
        });
      }),
      { seed: SEED, numRuns: 40, endOnFailure: true },
    );
  });

  it('grows outsides and shrinks openings: a path lies between the part and the part grown by half the kerf', () => {
    fc.assert(
      fc.property(randomPiece, fc.constantFrom(0.12, 0.2), (piece, kerfMm) => {
        const solved = solve(piece, kerfMm, 0, 'inserted');
        if (!solved) return;
        const { result } = solved;
        result.cuts.forEach((cut, p) => {
          const aim = aimOf(result, p);
          const path = pathRegion(cut);
          expect(thick(difference(aim, path))).toEqual([]);
          expect(thick(difference(path, offset(aim, kerfMm / 2)))).toEqual([]);
          expect(regionArea(path)).toBeGreaterThan(regionArea(aim));
        });
      }),
      { seed: SEED, numRuns: 40, endOnFailure: true },
    );
  });

  it('does to a mirrored piece what it does to the piece, mirrored', () => {
    const mirror = scaling(-1, 1);
    let compared = 0;
    fc.assert(
      fc.property(work, ({ piece, kerfMm, allowanceMm, share }) => {
        const there: Piece = {
          ...piece,
          areas: piece.areas.map((area) => {
            const { curves, fillRule } = areaCurves(area);
            const { cornerRadiiMm: _, ...rest } = area;
            const mirrored = curves.map((curve) => transformCurve(curve, mirror));
            return { ...rest, shape: { kind: 'path', curves: mirrored, fillRule } };
          }),
        };
        const solved = solve(piece, kerfMm, allowanceMm, share);
        const other = solve(there, kerfMm, allowanceMm, share);
        if (!solved || !other) return;
        solved.parts.parts.forEach(({ id, region }, p) => {
          const image = transformRegion(region, mirror);
          const q = other.parts.parts.findIndex(
            (part) =>
              Math.abs(regionArea(symmetricDifference(part.region, image))) < 0.001 * regionArea(image),
          );
          // Slivers may go to another neighbour where two are equally long.
          if (q < 0 || solved.decided.has(id) || other.decided.has(other.parts.parts[q]!.id)) return;
          compared++;
          const apart = symmetricDifference(
            aimOf(other.result, q),
            transformRegion(aimOf(solved.result, p), mirror),
          );
          expect(thick(apart, 0.002)).toEqual([]);
        });
      }),
      { seed: SEED, numRuns: 40, endOnFailure: true },
    );
    expect(compared).toBeGreaterThan(100);
  });
});
