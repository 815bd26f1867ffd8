import { isCircle, openKernel, regionArea, regionFromCurves } from '@inlaywright/geometry';
import { beforeAll, describe, expect, test } from 'vitest';
import { type Artwork, readArtwork } from '../../src/index.ts';
import { drawing } from './fixture.ts';

beforeAll(() => openKernel());

function totalArea(artwork: Artwork): number {
  return artwork.areas.reduce(
    (sum, { curves, fillRule }) => sum + regionArea(regionFromCurves(curves, fillRule)),
    0,
  );
}

function codes(artwork: Artwork): string[] {
  return artwork.warnings.map(({ code }) => code);
}

describe('clip paths', () => {
  test('cut shapes: a square by a disc', () => {
    const artwork = readArtwork(
      drawing(
        '<clipPath id="c"><circle cx="50" cy="50" r="10"/></clipPath><rect x="50" y="0" width="50" height="100" clip-path="url(#c)"/>',
      ),
    );
    expect(totalArea(artwork)).toBeCloseTo(Math.PI * 50, 1);
    expect(codes(artwork)).toEqual([]);
  });

  test('a shape wholly inside keeps its curves', () => {
    const artwork = readArtwork(
      drawing(`<clipPath id="c"><path d="M0 0h100v100H0z"/></clipPath><clipPath id="d"><circle cx="50" cy="50" r="30"/></clipPath>
        <g clip-path="url(#c)"><g clip-path="url(#d)"><circle id="x" cx="50" cy="50" r="30"/><circle cx="50" cy="50" r="5"/></g></g>`),
    );
    expect(artwork.areas.map(({ curves }) => isCircle(curves[0]!, 1e-9)?.radius)).toEqual([
      expect.closeTo(30, 10),
      expect.closeTo(5, 10),
    ]);
  });

  test('use the box of what they clip when asked to: a group, strokes not counted', () => {
    const artwork = readArtwork(
      drawing(`<clipPath id="c" clipPathUnits="objectBoundingBox"><rect width=".5" height="1"/></clipPath>
        <g clip-path="url(#c)" stroke="red" stroke-width="8"><rect x="20" y="20" width="20" height="10"/><rect x="40" y="30" width="20" height="10"/></g>`),
    );
    // The group's box is 20..60, so what lies left of 40 stays.
    expect(totalArea(artwork)).toBeCloseTo(200, 4);
    expect(artwork.warnings.find(({ code }) => code === 'clipped-away')?.elements).toHaveLength(1);
  });

  test('that leave nothing, or hold only text, say so', () => {
    const artwork = readArtwork(
      drawing(`<clipPath id="empty"/><clipPath id="text"><text>leaf</text></clipPath>
        <rect id="a" width="9" height="9" clip-path="url(#empty)"/><rect id="b" y="20" width="9" height="9" clip-path="url(#text)"/>`),
    );
    // Cutting by letters that cannot be read would drop the shape: it is kept whole.
    expect(artwork.areas.map(({ id }) => id)).toEqual(['b']);
    expect(codes(artwork).sort()).toEqual(['clip-content', 'clipped-away']);
  });

  test('follow chained references, and notice circles', () => {
    const chained = readArtwork(
      drawing(
        '<defs><path id="p" d="M0 0h10v10z"/><use id="u" href="#p" x="5"/></defs><clipPath id="c"><use href="#u" y="5"/></clipPath><rect width="100" height="100" clip-path="url(#c)"/>',
      ),
    );
    expect(totalArea(chained)).toBeCloseTo(50, 4);
    const circle = readArtwork(
      drawing(
        '<clipPath id="c" clip-path="url(#d)"><rect width="9" height="9"/></clipPath><clipPath id="d" clip-path="url(#c)"><rect width="5" height="9"/></clipPath><rect width="100" height="100" clip-path="url(#c)"/>',
      ),
    );
    expect(codes(circle)).toEqual(['reference-cycle']);
  });

  test('quoted references, and references to nothing', () => {
    const artwork = readArtwork(
      drawing(
        `<clipPath id="c"><rect width="5" height="9"/></clipPath><rect width="9" height="9" style="clip-path: url('#c')"/><rect id="lost" y="20" width="9" height="9" clip-path="url(#nothing)"/>`,
      ),
    );
    expect(totalArea(artwork)).toBeCloseTo(45 + 81, 4);
    expect(codes(artwork)).toEqual(['missing-reference']);
  });
});

describe('the page', () => {
  test('trims what stands over its edge, as viewers do, and says so', () => {
    const artwork = readArtwork(
      drawing(
        '<circle id="edge" cx="100" cy="50" r="10"/><circle id="off" cx="200" cy="50" r="10"/><circle id="on" cx="50" cy="50" r="10"/>',
      ),
    );
    expect(artwork.areas.map(({ id }) => id)).toEqual(['edge', 'on']);
    expect(totalArea(artwork)).toBeCloseTo(Math.PI * 150, 1);
    expect(artwork.warnings.map(({ code, elements }) => [code, elements[0]?.id])).toEqual([
      ['trimmed-at-page', 'edge'],
      ['outside-page', 'off'],
    ]);
  });

  test('leaves alone what stands over by a rounding', () => {
    const artwork = readArtwork(drawing('<circle cx="50" cy="50" r="50.04"/>'));
    expect(isCircle(artwork.areas[0]!.curves[0]!, 1e-9)?.radius).toBeCloseTo(50.04, 10);
    expect(codes(artwork)).toEqual([]);
  });

  test('does not trim when the drawing says that what overflows is visible', () => {
    const artwork = readArtwork(drawing('<circle cx="100" cy="50" r="10"/>', 'overflow="visible"'));
    expect(isCircle(artwork.areas[0]!.curves[0]!, 1e-9)?.radius).toBeCloseTo(10, 10);
  });

  test('nested viewports trim without a word: that is what they are for', () => {
    const artwork = readArtwork(
      drawing('<svg x="10" y="10" width="20" height="20"><rect width="90" height="10"/></svg>'),
    );
    expect(totalArea(artwork)).toBeCloseTo(200, 4);
    expect(codes(artwork)).toEqual([]);
  });
});
