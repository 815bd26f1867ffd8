import { readFileSync } from 'node:fs';
import { openKernel, regionFromCurves } from '@inlaywright/geometry';
import { mosaic } from '@inlaywright/workshop';
import { beforeAll, describe, expect, test } from 'vitest';
import { type Artwork, artworkToPiece, readArtwork } from '../../src/index.ts';
import { layeredPictures, type OpenArtwork, pictures, sample, symbols } from './open-artworks.ts';
import { areasAsSvg, pixelsBeyond, rasterise, rasteriseMosaic, sameDrawing, sameMosaic } from './raster.ts';
import { paintLayers } from './scan.ts';

// Referee: resvg 2.6.2. Artwork: @mdi/svg 7.4.47, @discordapp/twemoji 16.0.1, @iconify-json/fluent-emoji-flat 1.2.6.
const SEED = 20251125;
const WIDTH = 128;

/** Artworks known to disagree with the renderer: how, and why. One that agrees does not belong here. */
const known = JSON.parse(
  readFileSync(new URL('./open-artwork.expected.json', import.meta.url), 'utf8'),
) as Readonly<Record<string, { readonly faults: readonly string[]; readonly reason: string }>>;

beforeAll(() => openKernel());

/** What is wrong with our reading of an artwork; empty when nothing is. */
function faults({ name, svg }: OpenArtwork): string[] {
  const artwork = readArtwork(svg, { strokes: true });
  const original = rasterise(svg, WIDTH);
  const found: string[] = [];
  if (!sameDrawing(original, rasterise(areasAsSvg(artwork), WIDTH)))
    found.push('areas differ from the original');
  const piece = artworkToPiece(artwork, { name });
  const parts = mosaic(piece, { sliverMm2: 0, sliverWidthMm: 0 });
  const picture = rasteriseMosaic(artwork, piece, parts, WIDTH);
  if (!sameMosaic(original, picture)) found.push('mosaic differs from the original');
  // The same sampler on both: what the mosaic shows is what painting the areas shows, to a quarter of a pixel's area.
  if (pixelsBeyond(paintAreas(artwork), picture, 64) > 0) found.push('mosaic differs from the areas');
  return found;
}

function paintAreas(artwork: Artwork): ReturnType<typeof paintLayers> {
  const colourOf = new Map(artwork.fills.map((fill) => [fill.key, fill.colour]));
  const layers = artwork.areas.map((area) => ({
    region: regionFromCurves(area.curves, area.fillRule),
    colour: colourOf.get(area.fill)!,
  }));
  return paintLayers(layers, artwork.viewport, WIDTH);
}

const sets: readonly (readonly [string, () => OpenArtwork[], number])[] = [
  ['symbols', symbols, 240],
  ['pictures', pictures, 240],
  ['layers', layeredPictures, 240],
];

describe.each(sets)('open artwork: %s', (set, load, count) => {
  test(`${count} of them look as the renderer draws them`, () => {
    const chosen = sample(load(), count, SEED);
    expect(chosen).toHaveLength(count);
    const disagreeing = Object.fromEntries(
      chosen
        .map((artwork) => [artwork.name, faults(artwork)] as const)
        .filter(([, found]) => found.length > 0),
    );
    const expected = Object.fromEntries(
      Object.entries(known)
        .filter(([name]) => name.startsWith(`${set}/`))
        .map(([name, entry]) => [name, entry.faults]),
    );
    expect(disagreeing).toEqual(expected);
  });
});

test('every listed disagreement has its reason', () => {
  for (const [name, { faults: listed, reason }] of Object.entries(known)) {
    expect(name).toMatch(/^(?:symbols|pictures|layers)\//);
    expect(listed.length).toBeGreaterThan(0);
    expect(reason.length).toBeGreaterThan(20);
  }
});
