import { openKernel, regionArea } from '@inlaywright/geometry';
import { checkPiece, mosaic, PIERCING } from '@inlaywright/workshop';
import { beforeAll, describe, expect, test } from 'vitest';
import { artworkToPiece, FormatError, readArtwork } from '../../src/index.ts';
import { drawing, fixture } from './fixture.ts';

beforeAll(() => openKernel());

const leaf = readArtwork(
  drawing(`<rect id="ground" x="10" y="10" width="80" height="60" fill="#8b5e3c"/>
    <circle id="moon" cx="40" cy="40" r="15" fill="#fff"/>
    <circle id="hole" cx="80" cy="20" r="2" fill="#FF0000"/>
    <circle id="side" cx="90" cy="60" r="10" fill="url(#g)"/>
    <linearGradient id="g"><stop stop-color="#000"/><stop offset="1" stop-color="#00f"/></linearGradient>`),
);

describe('a piece from artwork', () => {
  test('has a tone for every fill, and nothing is a piercing by its colour', () => {
    const piece = artworkToPiece(leaf, { name: 'Leaf' });
    expect(piece.name).toBe('Leaf');
    expect(piece.tones).toEqual([
      { id: 'brown', name: 'brown', colour: '#8b5e3c' },
      { id: 'white', name: 'white', colour: '#ffffff' },
      { id: 'red', name: 'red', colour: '#ff0000' },
      { id: 'gradient-g', name: 'gradient g', colour: '#000080' },
    ]);
    expect(piece.areas.map(({ id, tone, extendsOutline }) => [id, tone, extendsOutline])).toEqual([
      ['ground', 'brown', true],
      ['moon', 'white', true],
      ['hole', 'red', true],
      ['side', 'gradient-g', true],
    ]);
    expect(checkPiece(piece)).toEqual([]);
  });

  test('takes tones by fill in any spelling, merges fills of one tone, and pierces', () => {
    const piece = artworkToPiece(leaf, {
      name: 'Leaf',
      toneOf: { white: 'accent', '#8B5E3C': 'ground', 'gradient-g': 'accent' },
      pierce: ['#f00'],
    });
    expect(piece.tones.map(({ id, name }) => [id, name])).toEqual([
      ['ground', 'ground'],
      ['accent', 'accent'],
    ]);
    expect(piece.areas.map(({ tone }) => tone)).toEqual(['ground', 'accent', PIERCING, 'accent']);
    const { parts, piercings } = mosaic(piece);
    expect(regionArea(piercings)).toBeCloseTo(Math.PI * 4, 1);
    expect(parts.map(({ tone }) => tone).sort()).toEqual(['accent', 'accent', 'ground']);
  });

  test('areas that stand out add to the outline', () => {
    const { outline } = mosaic(artworkToPiece(leaf, { name: 'Leaf', pierce: ['red'] }));
    // The disc of radius 10 has its middle on the right edge of the rectangle, 10 mm above the lower corner.
    expect(regionArea(outline)).toBeCloseTo(4800 + (Math.PI * 100) / 2, 1);
  });

  const refusals: readonly (readonly [string, string, () => unknown])[] = [
    [
      'a fill that is not there',
      'unknown-fill',
      () => artworkToPiece(leaf, { name: 'x', pierce: ['#123456'] }),
    ],
    [
      'a fill that is no colour',
      'unknown-fill',
      () => artworkToPiece(leaf, { name: 'x', toneOf: { 'gradient-h': 'a' } }),
    ],
    [
      'a tone id with other letters',
      'bad-tone-id',
      () => artworkToPiece(leaf, { name: 'x', toneOf: { white: 'Bog Oak' } }),
    ],
    [
      'the reserved tone',
      'bad-tone-id',
      () => artworkToPiece(leaf, { name: 'x', toneOf: { white: PIERCING } }),
    ],
    [
      'a tone and a piercing at once',
      'tone-and-piercing',
      () => artworkToPiece(leaf, { name: 'x', toneOf: { white: 'a' }, pierce: ['#fff'] }),
    ],
    [
      'two tones for one fill in two spellings',
      'two-tones',
      () => artworkToPiece(leaf, { name: 'x', toneOf: { white: 'a', '#fff': 'b' } }),
    ],
    [
      'artwork without areas',
      'no-areas',
      () => artworkToPiece(readArtwork(drawing('<text>x</text>')), { name: 'x' }),
    ],
    [
      'artwork that is all piercings',
      'no-areas',
      () =>
        artworkToPiece(readArtwork(drawing('<rect width="9" height="9"/>')), {
          name: 'x',
          pierce: ['black'],
        }),
    ],
  ];

  test.each(refusals)('refuses %s', (_, code, make) => {
    try {
      make();
      expect.unreachable();
    } catch (error) {
      expect(error).toBeInstanceOf(FormatError);
      expect((error as FormatError).code).toBe(code);
      expect((error as FormatError).hint).not.toBe('');
    }
  });

  test('the message of an unknown fill lists the known ones', () => {
    expect(() => artworkToPiece(leaf, { name: 'x', pierce: ['#123456'] })).toThrow(
      'has the fill #123456. Its fills: #8b5e3c, #ffffff, #ff0000, gradient-g.',
    );
  });

  test('no fixture yields a piece with open, NaN or empty areas', () => {
    for (const name of [
      'torture',
      'shapes',
      'path-commands',
      'clips',
      'strokes',
      'viewports',
      'units',
      'transforms',
    ]) {
      const piece = artworkToPiece(readArtwork(fixture(name), { strokes: true }), { name });
      const broken = checkPiece(piece).filter(({ code }) => /open|nan|zero/i.test(code));
      expect(broken, name).toEqual([]);
    }
  });
});
