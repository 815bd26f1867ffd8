import { openKernel } from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import type { CompensationOptions, Piece } from '../../src/index.ts';
import { fitOf, type Laid, make, origin, pieceOf, record } from './pieces.ts';

const leaning = fitOf(record(0.24, 0.16, 0.03));
const straight = fitOf(record(0.2, 0.2, 0.03));
const disc = (diameterMm: number, tone: string, x = 0): Laid => ({
  shape: { kind: 'disc', centre: { x, y: 0 }, diameterMm },
  tone,
});

function turnedParts(piece: Piece, turn: CompensationOptions['turn'] = 'auto', fit = leaning) {
  const { compensation } = make(piece, fit, { turn });
  return {
    turned: compensation.cuts.filter(({ turned }) => turned).map(({ part }) => part),
    apart: compensation.findings.filter(({ code }) => code === 'walls-lean-apart'),
  };
}

describe('turning', () => {
  beforeAll(() => openKernel());

  it('alternates inlay in inlay in inlay, the ground as drawn', () => {
    const piece = pieceOf(disc(20, 'ground'), disc(15, 'a'), disc(10, 'b'), disc(5, 'c'));
    expect(turnedParts(piece)).toEqual({ turned: ['p2', 'p4'], apart: [] });
  });

  it('turns every inlay of one ground, and not the island of ground inside a band', () => {
    const piece = pieceOf(
      disc(30, 'ground'),
      {
        shape: { kind: 'ring', centre: { x: -6, y: 0 }, outerDiameterMm: 10, innerDiameterMm: 6 },
        tone: 'band',
      },
      disc(6, 'leaf', 8),
    );
    const { turned, apart } = turnedParts(piece);
    expect(turned).toEqual(['p3', 'p4']);
    expect(apart).toEqual([]);
  });

  it('gives way at the shortest seam where three parts all meet, and reports it', () => {
    const piece = pieceOf(
      disc(20, 'ground'),
      { shape: { kind: 'rectangle', centre: { x: -2, y: 0 }, widthMm: 4, heightMm: 6 }, tone: 'a' },
      { shape: { kind: 'rectangle', centre: { x: 2, y: 0 }, widthMm: 4, heightMm: 5 }, tone: 'b' },
    );
    const { turned, apart } = turnedParts(piece);
    // Both inlays meet the ground along more than they meet one another along.
    expect(turned).toEqual(['p2', 'p3']);
    expect(apart).toHaveLength(1);
    expect(apart[0]!.parts).toEqual(['p2', 'p3']);
    // Each wall slants by half of 0.24 - 0.16; both slant away from one another.
    expect(apart[0]!.figureMm).toBeCloseTo(0.08, 9);
    expect(apart[0]!.message).toContain('5.0 mm');
  });

  it('turns nothing, or the tones asked for, and reports the seams that then lean apart', () => {
    const piece = pieceOf(disc(20, 'ground'), disc(12, 'a'), disc(6, 'b'));
    expect(turnedParts(piece, 'none').turned).toEqual([]);
    expect(turnedParts(piece, 'none').apart.map(({ parts }) => parts)).toEqual([
      ['p1', 'p2'],
      ['p2', 'p3'],
    ]);
    expect(turnedParts(piece, ['b']).turned).toEqual(['p3']);
    expect(turnedParts(piece, ['b']).apart.map(({ parts }) => parts)).toEqual([['p1', 'p2']]);
  });

  it('has nothing to report where walls stand upright', () => {
    expect(turnedParts(pieceOf(disc(20, 'ground'), disc(12, 'a')), 'none', straight).apart).toEqual([]);
  });

  it('says the same for the same piece every time', () => {
    const piece = pieceOf(
      disc(20, 'ground'),
      { shape: { kind: 'rectangle', centre: origin, widthMm: 6, heightMm: 6 }, tone: 'a' },
      { shape: { kind: 'rectangle', centre: { x: 3, y: 3 }, widthMm: 6, heightMm: 6 }, tone: 'b' },
    );
    expect(turnedParts(piece)).toEqual(turnedParts(piece));
  });
});
