import { openKernel, regionFromCurves } from '@inlaywright/geometry';
import { mosaic } from '@inlaywright/workshop';
import { beforeAll, describe, expect, test } from 'vitest';
import { artworkToPiece, readArtwork } from '../../src/index.ts';
import { fixture } from './fixture.ts';
import { areasAsSvg, rasterise, rasteriseMosaic, sameDrawing, sameMosaic } from './raster.ts';
import { paintLayers } from './scan.ts';

// Referee: resvg 2.6.2, a renderer that shares no code with this reader. It ignores the CSS property `transform` and
// much of the cascade; the two fixtures about those are checked by numbers in css.test.ts.
const WIDTH = 256;

const FIXTURES = [
  'clips',
  'curved-dashes',
  'fills-and-css',
  'mirrored',
  'paint-order',
  'path-commands',
  'shapes',
  'strokes',
  'switch-and-hidden',
  'torture',
  'transforms',
  'units',
  'viewports',
];

beforeAll(() => openKernel());

describe.each(FIXTURES)('the fixture %s', (name) => {
  const svg = fixture(name);

  test('is drawn by our areas, in their order, as the renderer draws the original', () => {
    const artwork = readArtwork(svg, { strokes: true });
    const original = rasterise(svg, WIDTH);
    expect(sameDrawing(original, rasterise(areasAsSvg(artwork), WIDTH))).toBe(true);
  });

  test('shows the same picture as the mosaic of its piece', () => {
    const artwork = readArtwork(svg, { strokes: true });
    const piece = artworkToPiece(artwork, { name });
    const parts = mosaic(piece, { sliverMm2: 0, sliverWidthMm: 0 });
    const ours = rasteriseMosaic(artwork, piece, parts, WIDTH);
    expect(sameMosaic(rasterise(svg, WIDTH), ours)).toBe(true);
  });
});

test('leaving out any one area of the torture file is noticed', () => {
  const artwork = readArtwork(fixture('torture'), { strokes: true });
  const original = rasterise(fixture('torture'), WIDTH);
  expect(artwork.areas.length).toBeGreaterThan(15);
  for (const missing of artwork.areas) {
    const rest = { ...artwork, areas: artwork.areas.filter((area) => area !== missing) };
    expect(sameDrawing(original, rasterise(areasAsSvg(rest), WIDTH)), `without ${missing.id}`).toBe(false);
  }
});

test('painting areas in the wrong order is noticed', () => {
  const artwork = readArtwork(fixture('paint-order'), { strokes: true });
  const turned = { ...artwork, areas: [...artwork.areas].reverse() };
  expect(sameDrawing(rasterise(fixture('paint-order'), WIDTH), rasterise(areasAsSvg(turned), WIDTH))).toBe(
    false,
  );
});

test('a part lost is noticed in a mosaic', () => {
  const svg = fixture('torture');
  const artwork = readArtwork(svg, { strokes: true });
  const piece = artworkToPiece(artwork, { name: 'torture' });
  const whole = mosaic(piece, { sliverMm2: 0, sliverWidthMm: 0 });
  const original = rasterise(svg, WIDTH);
  const largest = [...whole.parts].sort((a, b) => b.areaMm2 - a.areaMm2).slice(1, 6);
  for (const part of largest) {
    const parts = whole.parts.filter((other) => other !== part);
    expect(sameMosaic(original, rasteriseMosaic(artwork, piece, { ...whole, parts }, WIDTH)), part.id).toBe(
      false,
    );
  }
});

describe('the scan converter', () => {
  const page = { widthMm: 20, heightMm: 10 };

  test('covers a disc of known area', () => {
    const centre = { x: -2, y: 1 };
    const start = { x: 1, y: 1 };
    const disc = {
      segments: [{ kind: 'arc', from: start, to: start, centre, radius: 3, sweep: 2 * Math.PI }],
    } as const;
    const region = regionFromCurves([disc], 'nonzero');
    const { pixels, width, height } = paintLayers([{ region, colour: '#ff0000' }], page, 400);
    expect([width, height]).toEqual([400, 200]);
    let covered = 0;
    for (let at = 0; at < pixels.length; at += 4) covered += pixels[at]! / 255 / 400;
    // Area of a circle; the sampler counts it to about one sample in a thousand.
    expect(covered).toBeCloseTo(Math.PI * 9, 1);
    // Left of the middle and above it, y being up: pixel (160, 80) is (-2, 1) mm.
    expect(pixels[4 * (80 * 400 + 160)]).toBe(255);
    expect(pixels[4 * (180 * 400 + 160)]).toBe(0);
  });

  test('lets the later layer win', () => {
    const square = { rings: [Float64Array.from([-2, -2, 2, -2, 2, 2, -2, 2])] };
    const { pixels } = paintLayers(
      [
        { region: square, colour: '#ff0000' },
        { region: square, colour: '#0000ff' },
      ],
      page,
      20,
    );
    expect([...pixels.slice(4 * (5 * 20 + 10), 4 * (5 * 20 + 10) + 4)]).toEqual([0, 0, 255, 255]);
  });
});
