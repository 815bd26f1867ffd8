import { openKernel } from '@inlaywright/geometry';
import { beforeAll, expect, test } from 'vitest';
import { dryFit } from '../../src/dry-fit/dry-fit.ts';
import type { FitByTone } from '../../src/fit/fit-record.ts';
import { defaultMakeOptions, make } from '../../src/make/make.ts';
import type { Piece } from '../../src/piece/piece.ts';

beforeAll(() => openKernel());

/** A disc with a bar set in and a second bar across the end of the first: all three parts meet one another. */
const piece: Piece = {
  name: 'three that meet',
  tones: ['ground', 'bar', 'cross'].map((id) => ({ id, name: id, colour: '#888888' })),
  areas: [
    { id: 'g', name: 'g', tone: 'ground', shape: { kind: 'disc', centre: { x: 0, y: 0 }, diameterMm: 40 } },
    {
      id: 'b',
      name: 'b',
      tone: 'bar',
      shape: { kind: 'rectangle', centre: { x: -4, y: 0 }, widthMm: 16, heightMm: 8 },
    },
    {
      id: 'c',
      name: 'c',
      tone: 'cross',
      shape: { kind: 'rectangle', centre: { x: 5, y: 0 }, widthMm: 5, heightMm: 20 },
    },
  ],
};

function fit(entryMm: number, exitMm: number, allowanceMm: number): FitByTone {
  const kerf = (mm: number) => ({ xMm: mm, yMm: mm });
  return { default: { kerfEntry: kerf(entryMm), kerfExit: kerf(exitMm), allowanceMm }, byTone: {} };
}

/** Means along a seam, which the corners where three parts meet move by up to this, mm. */
const NEAR_MM = 0.001;

test.each(['inserted', 'both'] as const)(
  'where both parts of a seam are turned it presses by the allowance at the show face (share: %s)',
  (share) => {
    const record = fit(0.24, 0.16, 0.03);
    const made = make(piece, record, { ...defaultMakeOptions, share });
    const turned = new Map(made.compensation.cuts.map((cut) => [cut.part, cut.turned]));
    const { seams } = dryFit(made.sheets, record);
    const both = seams.filter((seam) => turned.get(seam.a) && turned.get(seam.b));
    expect(both).toHaveLength(1);
    // The taper is 0.08 mm: two walls of a quarter each way from mid depth to a face, twice that from face to face.
    expect(Math.abs(both[0]!.gapShowMm.mean + 0.03)).toBeLessThan(NEAR_MM);
    expect(Math.abs(both[0]!.gapMiddleMm.mean - 0.01)).toBeLessThan(NEAR_MM);
    for (const seam of seams.filter((candidate) => candidate !== both[0])) {
      expect(Math.abs(seam.gapShowMm.mean + 0.03)).toBeLessThan(NEAR_MM);
      expect(Math.abs(seam.gapBackMm.mean + 0.03)).toBeLessThan(NEAR_MM);
    }
  },
);
