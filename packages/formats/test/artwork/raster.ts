/**
 * The renderer as referee: an original drawing rasterised by resvg against what we read from it. All rasters are RGBA
 * with colour premultiplied by alpha, as resvg gives them.
 */
import { regionFromCurves } from '@inlaywright/geometry';
import { type Mosaic, PIERCING, type Piece } from '@inlaywright/workshop';
import { Resvg } from '@resvg/resvg-js';
import type { Artwork } from '../../src/index.ts';
import { paintLayers } from './scan.ts';

export interface Raster {
  readonly width: number;
  readonly height: number;
  /** RGBA, row by row from the top. */
  readonly pixels: Uint8Array;
}

export function rasterise(svg: string, width: number): Raster {
  const image = new Resvg(svg, {
    fitTo: { mode: 'width', value: width },
    font: { loadSystemFonts: false },
  }).render();
  return { width: image.width, height: image.height, pixels: image.pixels };
}

/** Our areas as plain polygons, one over the other in painting order: resvg draws them as it draws the original. */
export function areasAsSvg(artwork: Artwork): string {
  const { widthMm: w, heightMm: h } = artwork.viewport;
  const colourOf = new Map(artwork.fills.map((fill) => [fill.key, fill.colour]));
  const paths = artwork.areas.map((area) => {
    const region = regionFromCurves(area.curves, area.fillRule);
    const d = region.rings
      .map((ring) => `M${Array.from(ring, (value) => value.toFixed(6)).join(' ')}z`)
      .join('');
    return `<path fill="${colourOf.get(area.fill)}" d="${d}"/>`;
  });
  // The model's frame: y up, the origin in the middle.
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" width="${w}" height="${h}" viewBox="${-w / 2} ${-h / 2} ${w} ${h}">` +
    `<g transform="scale(1 -1)">${paths.join('')}</g></svg>`
  );
}

/** The parts of a mosaic, scan-converted by our own sampler: every sample belongs to one part or to none. */
export function rasteriseMosaic(artwork: Artwork, piece: Piece, mosaic: Mosaic, width: number): Raster {
  const colourOf = new Map(piece.tones.map((tone) => [tone.id, tone.colour]));
  const layers = mosaic.parts.map((part) => {
    if (part.tone === PIERCING) throw new Error(`part ${part.id} is a piercing`);
    return { region: part.region, colour: colourOf.get(part.tone)! };
  });
  return paintLayers(layers, artwork.viewport, width);
}

/** Greatest difference of any channel at the pixel. */
function differenceAt(a: Raster, b: Raster, at: number): number {
  let most = 0;
  for (let c = 0; c < 4; c++) most = Math.max(most, Math.abs(a.pixels[at + c]! - b.pixels[at + c]!));
  return most;
}

/** Pixels at which some channel differs by more than `limit` of 255. */
export function pixelsBeyond(a: Raster, b: Raster, limit: number): number {
  checkSizes(a, b);
  let count = 0;
  for (let at = 0; at < a.pixels.length; at += 4) if (differenceAt(a, b, at) > limit) count += 1;
  return count;
}

/**
 * Pixels that no antialiasing explains: in one of the two pictures the pixel lies, in some channel, more than `limit`
 * outside the range its nine pixels span in the other. An edge may so be blurred or lie a fraction of a pixel off; an
 * area may not be missing, added or of another colour.
 */
export function unexplainedPixels(a: Raster, b: Raster, limit: number): number {
  checkSizes(a, b);
  let count = 0;
  for (let y = 0; y < a.height; y++) {
    for (let x = 0; x < a.width; x++) {
      const at = 4 * (y * a.width + x);
      if (differenceAt(a, b, at) <= limit) continue;
      if (!isExplained(a.pixels, at, b, x, y, limit) || !isExplained(b.pixels, at, a, x, y, limit))
        count += 1;
    }
  }
  return count;
}

function isExplained(
  pixels: Uint8Array,
  at: number,
  other: Raster,
  x: number,
  y: number,
  limit: number,
): boolean {
  for (let channel = 0; channel < 4; channel++) {
    let least = 255;
    let most = 0;
    for (let v = Math.max(0, y - 1); v <= Math.min(other.height - 1, y + 1); v++) {
      for (let u = Math.max(0, x - 1); u <= Math.min(other.width - 1, x + 1); u++) {
        const value = other.pixels[4 * (v * other.width + u) + channel]!;
        least = Math.min(least, value);
        most = Math.max(most, value);
      }
    }
    const value = pixels[at + channel]!;
    if (value < least - limit || value > most + limit) return false;
  }
  return true;
}

/** Share of the pixels that may be unexplained: corners of curves, which the renderer flattens coarsely. */
const UNEXPLAINED_SHARE = 0.0006;

/**
 * Whether our areas, drawn by the renderer as the original was, agree with it: hardly a pixel lies more than 16 of 255
 * outside what its neighbours span in the other picture, and none is off by more than half of full contrast, as it would
 * be where an edge lies more than half a pixel off.
 */
export function sameDrawing(original: Raster, ours: Raster): boolean {
  const allowed = UNEXPLAINED_SHARE * original.width * original.height;
  return unexplainedPixels(original, ours, 16) <= allowed && pixelsBeyond(original, ours, 128) === 0;
}

/**
 * Whether a mosaic, sampled without overlaps, agrees with the original, in which the renderer blends the edges of areas
 * that lie over one another or side by side: a quarter of full contrast is left to that.
 */
export function sameMosaic(original: Raster, ours: Raster): boolean {
  return unexplainedPixels(original, ours, 64) <= UNEXPLAINED_SHARE * original.width * original.height;
}

function checkSizes(a: Raster, b: Raster): void {
  if (a.width !== b.width || a.height !== b.height) {
    throw new Error(`rasters of ${a.width}x${a.height} and ${b.width}x${b.height} pixels cannot be compared`);
  }
}
