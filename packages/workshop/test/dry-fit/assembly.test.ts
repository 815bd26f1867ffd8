import {
  type Curve,
  emptyRegion,
  polygonCurve,
  reverseCurve,
  scaling,
  transformCurve,
} from '@inlaywright/geometry';
import { describe, expect, it } from 'vitest';
import { dryFit } from '../../src/dry-fit/dry-fit.ts';
import type { DryFit } from '../../src/dry-fit/model.ts';
import type { FitByTone } from '../../src/fit/fit-record.ts';
import type { Mosaic, Seam } from '../../src/mosaic/model.ts';
import { cutSheets } from '../../src/parts/cut-sheet.ts';
import type { CutSheet } from '../../src/parts/cut-sheet-model.ts';
import { circle, closedSeam, discInDisc, openSeam, record, sheetOf } from './hand-made.ts';

const plain = { ground: record(0.2, 0.2), accent: record(0.2, 0.2) };
const design = { r: 5, R: 10, kerf: 0.2, allowance: 0.03, turned: true, fit: plain };

const codes = (result: DryFit): string[] => result.findings.map((finding) => finding.code);

/** A flag: no mirror image of it can be turned into it. */
const flag: Curve = polygonCurve([
  { x: -4, y: -6 },
  { x: -1, y: -6 },
  { x: -1, y: 1 },
  { x: 5, y: 3 },
  { x: -4, y: 6 },
]);

/** A flag in a disc, both partners of a pair, through the real sheets. */
function pairOfFlags(): CutSheet[] {
  const fit: FitByTone = { default: record(0.2, 0.2), byTone: {} };
  const seams: Seam[] = [closedSeam('p2', 'p1', flag)];
  const mosaic: Mosaic = {
    outline: emptyRegion,
    piercings: emptyRegion,
    parts: [],
    seams,
    rims: [],
    findings: [],
  };
  const cut = { aim: emptyRegion };
  return cutSheets(
    {
      cuts: [
        {
          ...cut,
          part: 'p1',
          tone: 'ground',
          turned: false,
          contours: [
            { role: 'outside', curve: circle(10) },
            { role: 'inside', curve: reverseCurve(flag) },
          ],
        },
        { ...cut, part: 'p2', tone: 'accent', turned: true, contours: [{ role: 'outside', curve: flag }] },
      ],
      eased: [],
      findings: [],
    },
    mosaic,
    { piece: 'flag', fit, stockOfTone: {}, pair: true },
  );
}

describe('assembling sheets', () => {
  it('checks both partners of a pair, turned parts twice mirrored in the right one', () => {
    const sheets = pairOfFlags();
    expect(sheets).toHaveLength(2);
    const result = dryFit(sheets);
    expect(result.seams.map((seam) => seam.hand)).toEqual(['left', 'right']);
    // Both follow the same path with the beam on it: a kerf of air along the straight sides.
    for (const seam of result.seams) {
      expect(seam.gapShowMm.tightest).toBeCloseTo(0.2, 6);
      expect(seam.gapShowMm.p95).toBeCloseTo(0.2, 2);
    }
    const [left, right] = result.seams;
    expect(right!.gapShowMm.mean).toBeCloseTo(left!.gapShowMm.mean, 9);
    expect(right!.gapShowMm.worst).toBeCloseTo(left!.gapShowMm.worst, 6);
  });

  it('sees a part that was not mirrored although it is turned', () => {
    const wrong = pairOfFlags().map((sheet) => ({
      ...sheet,
      parts: sheet.parts.map((placed) =>
        placed.part === 'p2'
          ? {
              ...placed,
              contours: placed.contours.map(({ role, curve }) => ({
                role,
                curve: transformCurve(curve, {
                  ...scaling(-1, 1),
                  e: 2 * placed.placement.dxMm,
                }),
              })),
            }
          : placed,
      ),
    }));
    const result = dryFit(wrong);
    const badly = result.findings.filter((finding) => finding.severity === 'decision');
    expect(badly.length).toBeGreaterThan(0);
    expect(badly.every((finding) => finding.parts?.includes('p2'))).toBe(true);
  });

  it('takes the parts of a piece from several sheets', () => {
    const sheet = discInDisc(design);
    const split = [0, 1].map((i) => ({ ...sheet, stock: `stock ${i}`, parts: [sheet.parts[i]!] }));
    const result = dryFit(split);
    expect(codes(result)).toEqual([]);
    expect(result.seams[0]!.gapShowMm.mean).toBeCloseTo(-0.03, 9);
  });

  it('reports a part that is on no sheet', () => {
    const sheet = discInDisc(design);
    const result = dryFit([{ ...sheet, parts: [sheet.parts[0]!] }]);
    expect(result.seams).toEqual([]);
    expect(result.findings).toEqual([
      expect.objectContaining({ code: 'part-missing', severity: 'decision', parts: ['p2'] }),
    ]);
  });

  it('reports a part that is there twice, and checks the first', () => {
    const sheet = discInDisc(design);
    const result = dryFit([sheet, { ...sheet, stock: 'again', parts: [sheet.parts[1]!] }]);
    expect(codes(result)).toEqual(['part-doubled']);
    expect(result.seams[0]!.gapShowMm.mean).toBeCloseTo(-0.03, 9);
  });

  it('reports sheets of another piece instead of mixing them in', () => {
    const sheet = discInDisc(design);
    const result = dryFit([sheet, { ...discInDisc({ ...design, r: 4 }), piece: 'fern leaf' }]);
    expect(codes(result)).toEqual(['several-pieces']);
    expect(result.findings[0]!.message).toContain('fern leaf');
    expect(result.seams).toHaveLength(1);
  });

  it('reports a tone whose kerf nobody tells', () => {
    const sheet = discInDisc(design);
    const result = dryFit([{ ...sheet, fit: { ground: plain.ground } }]);
    expect(codes(result)).toEqual(['fit-record-missing', 'part-missing']);
  });

  it('says nothing and finds nothing on no sheets', () => {
    expect(dryFit([])).toEqual({ seams: [], findings: [] });
  });
});

describe('what a file can lack', () => {
  it('a pocket: the seam is not found, and the inlay would stand in solid wood', () => {
    const sheet = sheetOf(
      [
        { part: 'p1', outside: circle(10.1) },
        { part: 'p2', tone: 'accent', outside: circle(5.13) },
      ],
      plain,
      [closedSeam('p2', 'p1', circle(5))],
    );
    const result = dryFit([sheet]);
    expect(result.findings).toContainEqual(
      expect.objectContaining({ code: 'seam-not-found', severity: 'decision', parts: ['p1', 'p2'] }),
    );
  });

  it('a part in its place: another size is told by gaps and by length', () => {
    const sheet = sheetOf(
      [
        { part: 'p1', outside: circle(10.1), holes: [circle(4.9)] },
        { part: 'p2', tone: 'accent', outside: circle(4.5) },
      ],
      plain,
      [closedSeam('p2', 'p1', circle(5))],
    );
    const result = dryFit([sheet]);
    expect(codes(result)).toContain('seam-open');
    expect(codes(result)).toContain('seam-length-differs');
    expect(result.seams[0]!.gapShowMm.mean).toBeCloseTo(0.6, 9);
  });

  it('wood to stand on: a part that burns away is named instead of measured', () => {
    for (const [width, vanishing] of [
      [0.09, 'p2'],
      [0.11, null],
    ] as const) {
      const sheet = sheetOf(
        [
          { part: 'p1', outside: circle(10.1), holes: [circle(0.05)] },
          { part: 'p2', tone: 'accent', outside: circle(width) },
        ],
        plain,
        [closedSeam('p2', 'p1', circle(0.05))],
      );
      const result = dryFit([sheet]);
      if (vanishing) {
        expect(result.seams).toEqual([]);
        expect(result.findings).toEqual([
          expect.objectContaining({ code: 'part-burns-away', severity: 'decision', parts: [vanishing] }),
        ]);
      } else {
        // Pocket of radius 0.15, inlay of radius 0.01.
        expect(result.seams[0]!.gapShowMm.mean).toBeCloseTo(0.14, 9);
      }
    }
  });

  it('all lines of a part', () => {
    const sheet = discInDisc(design);
    const [ground, inlay] = sheet.parts;
    const result = dryFit([{ ...sheet, parts: [ground!, { ...inlay!, contours: [] }] }]);
    expect(result.seams).toEqual([]);
    expect(codes(result)).toEqual(['part-burns-away']);
  });

  it('contours that keep apart: crossing and doubled ones are reported', () => {
    const twice = sheetOf(
      [
        { part: 'p1', outside: circle(10.1), holes: [circle(4.9), circle(4.9)] },
        { part: 'p2', tone: 'accent', outside: circle(5.13) },
      ],
      plain,
      [closedSeam('p2', 'p1', circle(5))],
    );
    expect(codes(dryFit([twice]))).toContain('contours-cross');
    const outOfIt = sheetOf(
      [
        { part: 'p1', outside: circle(10.1), holes: [circle(4.9), circle(1, 10, 0)] },
        { part: 'p2', tone: 'accent', outside: circle(5.13) },
      ],
      plain,
      [closedSeam('p2', 'p1', circle(5))],
    );
    expect(codes(dryFit([outOfIt]))).toContain('contours-cross');
    // A needle whose sides cross 0.05 mm before they end.
    const needle = polygonCurve([
      { x: -6, y: -2 },
      { x: 6.05, y: 0.02 },
      { x: 6.05, y: -0.02 },
      { x: -6, y: 2 },
    ]);
    const tail = sheetOf(
      [
        { part: 'p1', outside: circle(10.1), holes: [needle] },
        { part: 'p2', tone: 'accent', outside: needle },
      ],
      plain,
      [closedSeam('p2', 'p1', needle)],
    );
    const crossing = dryFit([tail]).findings.filter((finding) => finding.code === 'contours-cross');
    expect(crossing.map((finding) => finding.parts)).toEqual([['p1'], ['p2']]);
    for (const { at } of crossing) expect(at!.x).toBeGreaterThan(5);
    expect(codes(dryFit([discInDisc(design)]))).toEqual([]);
  });
});

describe('three parts that meet in a T', () => {
  // A board of 20 by 10 mm in three: p1 on the left, p2 above p3 on the right; paths stand 0.1 mm outside, corners round.
  const box = (x0: number, y0: number, x1: number, y1: number): Curve => {
    const r = 0.1;
    const corner = (
      cx: number,
      cy: number,
      from: readonly [number, number],
      to: readonly [number, number],
    ) => ({
      kind: 'arc' as const,
      from: { x: cx + r * from[0], y: cy + r * from[1] },
      to: { x: cx + r * to[0], y: cy + r * to[1] },
      centre: { x: cx, y: cy },
      radius: r,
      sweep: Math.PI / 2,
    });
    const line = (ax: number, ay: number, bx: number, by: number) => ({
      kind: 'line' as const,
      from: { x: ax, y: ay },
      to: { x: bx, y: by },
    });
    return {
      segments: [
        line(x0, y0 - r, x1, y0 - r),
        corner(x1, y0, [0, -1], [1, 0]),
        line(x1 + r, y0, x1 + r, y1),
        corner(x1, y1, [1, 0], [0, 1]),
        line(x1, y1 + r, x0, y1 + r),
        corner(x0, y1, [0, 1], [-1, 0]),
        line(x0 - r, y1, x0 - r, y0),
        corner(x0, y0, [-1, 0], [0, -1]),
      ],
    };
  };
  const sheet = (entry: number, exit: number): CutSheet =>
    sheetOf(
      [
        { part: 'p1', outside: box(-10, -5, 0, 5) },
        { part: 'p2', outside: box(0, 0, 10, 5) },
        { part: 'p3', outside: box(0, -5, 10, 0) },
      ],
      { ground: record(entry, exit, { allowanceMm: 0 }) },
      [
        openSeam('p1', 'p2', [
          [0, 0],
          [0, 5],
        ]),
        openSeam('p1', 'p3', [
          [0, -5],
          [0, 0],
        ]),
        openSeam('p2', 'p3', [
          [0, 0],
          [10, 0],
        ]),
      ],
    );

  it('touch everywhere when cut with the kerf they were drawn for', () => {
    const result = dryFit([sheet(0.2, 0.2)]);
    expect(result.seams.map((seam) => seam.id)).toEqual(['p1-p2', 'p1-p3', 'p2-p3']);
    for (const seam of result.seams) {
      expect(seam.gapMiddleMm.worst).toBeCloseTo(0, 9);
      expect(seam.gapMiddleMm.tightest).toBeCloseTo(0, 9);
      expect(seam.pressShare).toBe(0);
      const found = seam.samples.reduce((sum, sample) => sum + sample.lengthMm, 0) / 2;
      expect(found).toBeCloseTo(seam.lengthMm, 1);
    }
    expect(codes(result)).toEqual([]);
  });

  it('open at the show face by half the taper, and at the T by the diagonal', () => {
    const result = dryFit([sheet(0.22, 0.18)]);
    const [upper, lower, right] = result.seams;
    // Every wall recedes by 0.01: seams open by 0.02; the wall of p1 sees the corners of p2 and p3 0.01 up and down.
    for (const seam of [upper!, lower!]) {
      expect(seam.gapShowMm.mean).toBeCloseTo(0.02, 4);
      expect(seam.gapShowMm.tightest).toBeCloseTo(0.02, 6);
      expect(seam.gapShowMm.worst).toBeCloseTo(Math.hypot(0.02, 0.01), 6);
      expect(seam.gapShowMm.worstAt.y).toBeCloseTo(0, 6);
      expect(seam.gapMiddleMm.mean).toBeCloseTo(0, 9);
      expect(seam.gapBackMm.tightest).toBeCloseTo(-0.02, 9);
    }
    expect(right!.gapShowMm.mean).toBeCloseTo(0.02, 4);
    expect(right!.gapShowMm.worst).toBeCloseTo(0.02, 6);
    expect(right!.gapBackMm.mean).toBeCloseTo(-0.02, 3);
  });
});
