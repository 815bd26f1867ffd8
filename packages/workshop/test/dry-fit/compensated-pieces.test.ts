import { openKernel } from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { dryFit } from '../../src/dry-fit/dry-fit.ts';
import type { DryFit } from '../../src/dry-fit/model.ts';
import type { FitByTone } from '../../src/fit/fit-record.ts';
import { mosaic } from '../../src/mosaic/mosaic.ts';
import { compensate } from '../../src/parts/compensate.ts';
import { cutSheets } from '../../src/parts/cut-sheet.ts';
import type { CompensationOptions } from '../../src/parts/model.ts';
import type { Piece, Shape } from '../../src/piece/piece.ts';
import { record } from './hand-made.ts';

const centre = { x: 0, y: 0 };

function inlayInDisc(shape: Shape): Piece {
  return {
    name: 'seed pod',
    tones: ['cherry', 'holly'].map((id) => ({ id, name: id, colour: '#886644' })),
    areas: [
      { id: 'ground', name: 'Ground', shape: { kind: 'disc', centre, diameterMm: 24 }, tone: 'cherry' },
      { id: 'inlay', name: 'Inlay', shape, tone: 'holly' },
    ],
  };
}

function fitOf(piece: Piece, fit: FitByTone, turn: CompensationOptions['turn'], pair = false): DryFit {
  const parts = mosaic(piece);
  const compensation = compensate(parts, fit, { share: 'inserted', turn });
  return dryFit(cutSheets(compensation, parts, { piece: piece.name, fit, stockOfTone: {}, pair }));
}

/** Written curves may be off by 2 um on each side of a seam. */
const WRITTEN_MM = 0.004;

const shapes: Readonly<Record<string, Shape>> = {
  'a square of 10 mm': { kind: 'rectangle', centre, widthMm: 10, heightMm: 10 },
  'a sharp star of five points': { kind: 'star', centre, points: 5, outerDiameterMm: 14, innerDiameterMm: 6 },
  'a sharp star of twelve points': {
    kind: 'star',
    centre,
    points: 12,
    outerDiameterMm: 14,
    innerDiameterMm: 9,
  },
  'a leaf': { kind: 'leaf', centre, lengthMm: 14, widthMm: 6 },
};

describe('compensated inlays overlap by the allowance everywhere, without air', () => {
  beforeAll(() => openKernel());

  for (const [name, shape] of Object.entries(shapes)) {
    it(`${name}, straight kerf`, () => {
      const result = fitOf(inlayInDisc(shape), { default: record(0.2, 0.2), byTone: {} }, 'none');
      expect(result.findings).toEqual([]);
      expect(result.seams).toHaveLength(1);
      const { gapMiddleMm, pressShare } = result.seams[0]!;
      expect(gapMiddleMm.worst).toBeLessThan(-0.03 + WRITTEN_MM);
      expect(gapMiddleMm.tightest).toBeGreaterThan(-0.03 - WRITTEN_MM);
      expect(gapMiddleMm.mean).toBeCloseTo(-0.03, 3);
      expect(pressShare).toBe(1);
    });

    it(`${name}, slanted kerf and turned, both partners of a pair`, () => {
      const fit = { default: record(0.22, 0.18), byTone: {} };
      const result = fitOf(inlayInDisc(shape), fit, 'auto', true);
      expect(result.findings).toEqual([]);
      expect(result.seams.map((seam) => seam.hand)).toEqual(['left', 'right']);
      for (const { gapShowMm, gapMiddleMm, gapBackMm } of result.seams) {
        for (const { mean, worst, tightest } of [gapShowMm, gapMiddleMm, gapBackMm]) {
          expect(mean).toBeCloseTo(-0.03, 3);
          expect(worst).toBeLessThan(-0.03 + WRITTEN_MM);
          expect(tightest).toBeGreaterThan(-0.03 - WRITTEN_MM);
        }
      }
    });
  }

  it('not turned, they open at the show face by half the taper', () => {
    const fit = { default: record(0.22, 0.18), byTone: {} };
    const result = fitOf(inlayInDisc(shapes['a leaf']!), fit, 'none');
    const { gapShowMm, gapMiddleMm, gapBackMm } = result.seams[0]!;
    expect(gapShowMm.mean).toBeCloseTo(-0.01, 3);
    expect(gapMiddleMm.mean).toBeCloseTo(-0.03, 3);
    expect(gapBackMm.mean).toBeCloseTo(-0.05, 3);
  });
});
