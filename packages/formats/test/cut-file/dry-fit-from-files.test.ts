import { openKernel } from '@inlaywright/geometry';
import { type CutSheet, type DryFit, dryFit, type FitByTone, make, type Piece } from '@inlaywright/workshop';
import { beforeAll, describe, expect, test } from 'vitest';
import { readCutDxf, readCutSvg, writeCutDxf, writeCutSvg } from '../../src/index.ts';

/** A drop with a star, a moon and a ring hole, as the garden's shop might order it. */
const drop: Piece = {
  name: 'Moon over the pond',
  tones: [
    { id: 'ground', name: 'Cherry', colour: '#8a4b2a' },
    { id: 'accent', name: 'Holly', colour: '#f2ecd8' },
  ],
  areas: [
    {
      id: 'drop',
      name: 'Drop',
      shape: { kind: 'drop', centre: { x: 0, y: 0 }, widthMm: 25, lengthMm: 40 },
      tone: 'ground',
    },
    {
      id: 'star',
      name: 'Star',
      shape: { kind: 'star', centre: { x: 1, y: -6 }, points: 5, outerDiameterMm: 13, innerDiameterMm: 6 },
      tone: 'accent',
    },
    {
      id: 'moon',
      name: 'Moon',
      shape: {
        kind: 'crescent',
        centre: { x: -1, y: 7 },
        diameterMm: 7,
        biteDiameterMm: 6,
        biteOffsetMm: 1.5,
      },
      tone: 'accent',
    },
    {
      id: 'hole',
      name: 'Ring hole',
      shape: { kind: 'disc', centre: { x: 0, y: 15 }, diameterMm: 1.5 },
      tone: 'piercing',
    },
  ],
};
const fit: FitByTone = {
  default: { kerfEntry: { xMm: 0.18, yMm: 0.17 }, kerfExit: { xMm: 0.14, yMm: 0.13 }, allowanceMm: 0.03 },
  byTone: {},
};

function figures(result: DryFit): Record<string, number[]> {
  return Object.fromEntries(
    result.seams.map((seam) => [
      `${seam.id} ${seam.hand}`,
      [seam.gapShowMm, seam.gapMiddleMm, seam.gapBackMm].flatMap((gap) => [
        gap.mean,
        gap.worst,
        gap.tightest,
      ]),
    ]),
  );
}

describe('the dry fit of a pair from its files alone', () => {
  let sheets: readonly CutSheet[] = [];
  let wanted: Record<string, number[]> = {};
  beforeAll(async () => {
    await openKernel();
    sheets = make(drop, fit, { share: 'inserted', turn: 'auto', stocks: {}, pair: true }).sheets;
    wanted = figures(dryFit(sheets, fit));
  });

  test.each([
    ['SVG', (sheet: CutSheet) => readCutSvg(writeCutSvg(sheet))],
    ['DXF', (sheet: CutSheet) => readCutDxf(writeCutDxf(sheet))],
  ] as const)('%s gives the gaps of the sheets themselves within 10 nm', (_, through) => {
    const back = sheets.map(through);
    expect(back.flatMap((sheet) => sheet.warnings)).toEqual([]);
    const got = figures(dryFit(back, fit));
    // Two inlays in one ground, left and right.
    expect(Object.keys(got).sort()).toEqual(['p1-p2 left', 'p1-p2 right', 'p1-p3 left', 'p1-p3 right']);
    for (const [seam, values] of Object.entries(wanted)) {
      for (const [i, value] of values.entries()) expect(Math.abs(got[seam]![i]! - value)).toBeLessThan(1e-5);
    }
  });

  test('a moved inlay path shows as a gap', () => {
    const accent = sheets.find((sheet) => sheet.parts.some((part) => part.tone === 'accent'))!;
    const text = writeCutSvg(accent).replace(
      '<g id="cut-outside"',
      '<g transform="translate(0.05 0)" id="cut-outside"',
    );
    const moved = readCutSvg(text);
    expect(moved.warnings.length).toBe(moved.parts.length);
    const others = sheets.filter((sheet) => sheet !== accent);
    const got = figures(dryFit([...others, moved], fit));
    for (const [seam, values] of Object.entries(wanted)) {
      // Index 1 is the widest gap at the show face: 0.05 mm opens it by that where the wall faces along x.
      expect(got[seam]![1]! - values[1]!).toBeGreaterThan(0.04);
      expect(got[seam]![1]! - values[1]!).toBeLessThan(0.0501);
    }
  });
});
