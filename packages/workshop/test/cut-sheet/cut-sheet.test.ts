import {
  buildLocator,
  type Curve,
  circleCurve,
  curveBounds,
  emptyRegion,
  invert,
  nearest,
  openKernel,
  polygonCurve,
  regionFromCurves,
  signedArea,
  transformCurve,
  windingNumber,
} from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import type { FitByTone } from '../../src/fit/fit-record.ts';
import type { Mosaic } from '../../src/mosaic/model.ts';
import { cutSheets, MIN_PART_SPACING_MM } from '../../src/parts/cut-sheet.ts';
import type { CutSheet, PlacedPart } from '../../src/parts/cut-sheet-model.ts';
import { placementTransform } from '../../src/parts/cut-sheet-placement.ts';
import type { Compensation, PartCut } from '../../src/parts/model.ts';
import { randomNumbers } from '../dry-fit/random-shapes.ts';

const KERF_MM = 0.2;
const fit: FitByTone = {
  default: {
    kerfEntry: { xMm: KERF_MM, yMm: KERF_MM },
    kerfExit: { xMm: KERF_MM, yMm: KERF_MM },
    allowanceMm: 0.03,
  },
  byTone: {},
};

/** A flag: no mirror image of it can be turned into it. */
const flag: Curve = polygonCurve([
  { x: -4, y: -6 },
  { x: -1, y: -6 },
  { x: -1, y: 1 },
  { x: 7, y: 3 },
  { x: -4, y: 8 },
]);

function part(id: string, outside: Curve, options: Partial<PartCut> & { holes?: Curve[] } = {}): PartCut {
  const { holes = [], ...rest } = options;
  return {
    part: id,
    tone: 'ground',
    turned: false,
    // Written outside first on purpose: the sheet has to bring the holes forward.
    contours: [
      { role: 'outside', curve: outside },
      ...holes.map((curve) => ({ role: 'inside' as const, curve })),
    ],
    aim: emptyRegion,
    ...rest,
  };
}

const mosaic: Mosaic = {
  outline: emptyRegion,
  piercings: emptyRegion,
  parts: [],
  seams: [],
  rims: [],
  findings: [],
};

function sheetsOf(cuts: PartCut[], pair = false): CutSheet[] {
  const compensation: Compensation = { cuts, eased: [], findings: [] };
  return cutSheets(compensation, mosaic, {
    piece: 'seed pod',
    fit,
    stockOfTone: { accent: 'holly-3mm' },
    pair,
  });
}

const clockwiseCircle = (x: number, y: number, r: number): Curve => ({
  segments: circleCurve({ x, y }, r).segments.map((s) => (s.kind === 'arc' ? { ...s, sweep: -s.sweep } : s)),
});

function curvesOf(placed: PlacedPart): Curve[] {
  return placed.contours.map((contour) => contour.curve);
}

/** Corners of all paths, in order. */
function corners(curves: readonly Curve[]): { x: number; y: number }[] {
  return curves.flatMap((curve) => curve.segments.map((segment) => segment.from));
}

function sorted(points: readonly { x: number; y: number }[]): string[] {
  return points
    .map((p) => `${(p.x + 0).toFixed(6)} ${(p.y + 0).toFixed(6)}`.replaceAll('-0.000000', '0.000000'))
    .sort();
}

describe('cut sheets', () => {
  beforeAll(() => openKernel());

  it('makes one sheet per stock and names a stock after its tone when none is given', () => {
    const sheets = sheetsOf([
      part('p1', flag),
      part('p2', circleCurve({ x: 0, y: 0 }, 5), { tone: 'accent' }),
      part('p3', circleCurve({ x: 20, y: 0 }, 5)),
    ]);
    expect(sheets.map((sheet) => [sheet.stock, sheet.parts.map((p) => p.part)])).toEqual([
      ['ground', ['p1', 'p3']],
      ['holly-3mm', ['p2']],
    ]);
    expect(sheets.map((sheet) => Object.keys(sheet.fit))).toEqual([['ground'], ['accent']]);
  });

  it('keeps every part inside the sheet and parts at least the spacing and the kerf apart', () => {
    const many = Array.from({ length: 23 }, (_, i) =>
      part(`p${i + 1}`, circleCurve({ x: 3 * i, y: i }, 1 + (i % 5))),
    );
    const [sheet] = sheetsOf([...many, part('p24', flag)]);
    const parts = sheet!.parts;
    expect(parts).toHaveLength(24);
    for (const placed of parts) {
      for (const curve of curvesOf(placed)) {
        const box = curveBounds(curve);
        expect(box.minX).toBeGreaterThanOrEqual(5);
        expect(box.minY).toBeGreaterThanOrEqual(5);
        expect(box.maxX).toBeLessThanOrEqual(sheet!.widthMm - 5);
        expect(box.maxY).toBeLessThanOrEqual(sheet!.heightMm - 5);
      }
    }
    let closest = Number.POSITIVE_INFINITY;
    for (let i = 0; i < parts.length; i++) {
      const locator = buildLocator(curvesOf(parts[i]!));
      for (let j = 0; j < parts.length; j++) {
        if (i === j) continue;
        for (const curve of curvesOf(parts[j]!)) {
          const area = signedArea(curve);
          expect(area).toBeGreaterThan(0);
          // A full circle has one corner only: walk it.
          for (const segment of curve.segments) {
            for (let t = 0; t < 64; t++) {
              const p =
                segment.kind === 'arc'
                  ? {
                      x: segment.centre.x + segment.radius * Math.cos((t / 64) * 2 * Math.PI),
                      y: segment.centre.y + segment.radius * Math.sin((t / 64) * 2 * Math.PI),
                    }
                  : {
                      x: segment.from.x + (t / 64) * (segment.to.x - segment.from.x),
                      y: segment.from.y + (t / 64) * (segment.to.y - segment.from.y),
                    };
              closest = Math.min(closest, nearest(locator, p).distance);
            }
          }
        }
      }
    }
    expect(closest).toBeGreaterThanOrEqual(MIN_PART_SPACING_MM + KERF_MM - 1e-9);
    // and no more than a row needs: neighbours in a row stand exactly at the spacing (to the micrometre it is rounded up to)
    expect(closest).toBeLessThan(MIN_PART_SPACING_MM + KERF_MM + 0.02);
  });

  it('cuts inside before outside', () => {
    const [sheet] = sheetsOf([
      part('p1', circleCurve({ x: 0, y: 0 }, 9), {
        holes: [clockwiseCircle(3, 0, 2), clockwiseCircle(-4, 0, 1)],
      }),
    ]);
    expect(sheet!.parts[0]!.contours.map((contour) => contour.role)).toEqual(['inside', 'inside', 'outside']);
  });

  it('mirrors a turned part, and a turned part of the right partner twice, that is not at all', () => {
    const [sheet] = sheetsOf([part('p1', flag), part('p2', flag, { turned: true })], true);
    const mirroredOf = Object.fromEntries(
      sheet!.parts.map((placed) => [`${placed.part} ${placed.hand}`, placed.placement.mirrored]),
    );
    expect(mirroredOf).toEqual({
      'p1 left': false,
      'p2 left': true,
      'p1 right': true,
      'p2 right': false,
    });
    // Seen on the sheet: the flag's one tip points right where it is not mirrored, left where it is, and its pole
    // (two corners and a foot) stands on the other side.
    for (const placed of sheet!.parts) {
      const box = curveBounds(curvesOf(placed)[0]!);
      const tipX = placed.placement.mirrored ? box.minX : box.maxX;
      expect(corners(curvesOf(placed)).filter((p) => Math.abs(p.x - tipX) < 1e-9)).toHaveLength(1);
      expect(signedArea(curvesOf(placed)[0]!)).toBeCloseTo(signedArea(flag), 9);
    }
  });

  it('can be undone: the inverse placement brings every path back to the drawing', () => {
    const [sheet] = sheetsOf([part('p1', flag), part('p2', flag, { turned: true })], true);
    for (const placed of sheet!.parts) {
      const back = invert(placementTransform(placed.placement));
      const restored = curvesOf(placed).map((curve) => transformCurve(curve, back));
      expect(sorted(corners(restored))).toEqual(sorted(corners([flag])));
    }
  });

  it('labels parts with number, hand and turn sign', () => {
    const [single] = sheetsOf([part('p1', flag), part('p12', flag, { turned: true })]);
    expect(single!.parts.map((placed) => placed.label)).toEqual(['1', '12~']);
    const [pair] = sheetsOf([part('p1', flag), part('p2', flag, { turned: true })], true);
    expect(pair!.parts.map((placed) => placed.label)).toEqual(['1L', '2L~', '1R', '2R~']);
  });

  it('marks inside the part and clear of its cuts, or on the waste beside a part that is too small', () => {
    const [sheet] = sheetsOf([
      part('p1', circleCurve({ x: 0, y: 0 }, 12), { holes: [clockwiseCircle(0, 0, 6)] }),
      part(
        'p2',
        polygonCurve([
          { x: 0, y: 0 },
          { x: 2.2, y: 0 },
          { x: 2.2, y: 20 },
          { x: 0, y: 20 },
        ]),
      ),
      part('p3', circleCurve({ x: 0, y: 0 }, 0.8), { turned: true }),
      part('p4', flag),
    ]);
    const all = buildLocator(sheet!.parts.flatMap(curvesOf));
    for (const placed of sheet!.parts) {
      const own = buildLocator(curvesOf(placed));
      expect(placed.marks.length).toBeGreaterThan(0);
      let least = Number.POSITIVE_INFINITY;
      const sides = new Set<boolean>();
      for (const stroke of placed.marks) {
        for (let i = 1; i < stroke.points.length; i++) {
          const a = stroke.points[i - 1]!;
          const b = stroke.points[i]!;
          for (let t = 0; t <= 20; t++) {
            const p = { x: a.x + (t / 20) * (b.x - a.x), y: a.y + (t / 20) * (b.y - a.y) };
            least = Math.min(least, nearest(all, p).distance);
            sides.add(windingNumber(own, p) !== 0);
          }
        }
      }
      expect(least).toBeGreaterThanOrEqual(KERF_MM / 2 + 0.3 - 1e-9);
      expect([placed.part, [...sides]]).toEqual([placed.part, [placed.part !== 'p3']]);
    }
  });

  it('keeps labels clear of many small openings (seed 31)', () => {
    const random = randomNumbers(31);
    let inside = 0;
    for (let round = 0; round < 40; round++) {
      const holes = Array.from({ length: 1 + Math.floor(12 * random()) }, () => {
        const angle = 2 * Math.PI * random();
        const r = 6 * Math.sqrt(random());
        return clockwiseCircle(r * Math.cos(angle), r * Math.sin(angle), 0.3 + 0.2 * random());
      });
      const [sheet] = sheetsOf([part('p128', circleCurve({ x: 0, y: 0 }, 7), { holes, turned: true })]);
      const placed = sheet!.parts[0]!;
      const paths = buildLocator(curvesOf(placed));
      const strokes = placed.marks.flatMap(({ points }) =>
        points.slice(1).map((to, i) => [points[i]!, to] as const),
      );
      if (windingNumber(paths, strokes[0]![0]) !== 0) inside++;
      for (const [from, to] of strokes) {
        for (let t = 0; t <= 1; t += 0.05) {
          const p = { x: from.x + t * (to.x - from.x), y: from.y + t * (to.y - from.y) };
          expect(nearest(paths, p).distance).toBeGreaterThanOrEqual(KERF_MM / 2 + 0.3 - 1e-9);
        }
      }
    }
    expect(inside).toBeGreaterThan(20);
  });

  it('draws labels no lower than 1.2 mm', () => {
    const [sheet] = sheetsOf([
      part('p1', circleCurve({ x: 0, y: 0 }, 1.4)),
      part('p2', circleCurve({ x: 0, y: 0 }, 9)),
    ]);
    const heights = sheet!.parts.map((placed) => {
      const ys = placed.marks.flatMap((stroke) => stroke.points.map((p) => p.y));
      return Math.max(...ys) - Math.min(...ys);
    });
    expect(heights[0]).toBeGreaterThanOrEqual(1.2);
    expect(heights[0]).toBeLessThan(2);
    expect(heights[1]).toBeCloseTo(3, 6);
  });

  it('leaves out a part whose path has vanished and keeps the seams for the reader', () => {
    const seam = { id: 'p1-p2', a: 'p1', b: 'p2', stretches: [], lengthMm: 0 };
    const vanished: PartCut = { ...part('p2', flag), contours: [] };
    const compensation: Compensation = { cuts: [part('p1', flag), vanished], eased: [], findings: [] };
    const sheets = cutSheets(
      compensation,
      { ...mosaic, seams: [seam] },
      { piece: 'x', fit, stockOfTone: {}, pair: false },
    );
    expect(sheets[0]!.parts.map((placed) => placed.part)).toEqual(['p1']);
    expect(sheets[0]!.seams).toEqual([seam]);
  });

  it('keeps the area of every part', () => {
    const holes = [clockwiseCircle(3, 0, 2)];
    const [sheet] = sheetsOf([part('p1', circleCurve({ x: 0, y: 0 }, 9), { holes, turned: true })]);
    const placed = sheet!.parts[0]!;
    const total = curvesOf(placed).reduce((sum, curve) => sum + signedArea(curve), 0);
    expect(total).toBeCloseTo(Math.PI * (81 - 4), 9);
    expect(regionFromCurves(curvesOf(placed), 'nonzero').rings).toHaveLength(2);
  });
});
