/**
 * A plain scan converter, independent of the renderer and of the polygon kernel: samples on a regular grid, each decided
 * by the non-zero rule at its own point, averaged to pixels. Where layers overlap the later one wins.
 */
import type { Region } from '@inlaywright/geometry';
import type { Raster } from './raster.ts';

export interface Layer {
  readonly region: Region;
  /** `#rrggbb`. */
  readonly colour: string;
}

/** Samples per pixel and direction. */
const SAMPLES = 4;

export function paintLayers(
  layers: readonly Layer[],
  page: { readonly widthMm: number; readonly heightMm: number },
  width: number,
): Raster {
  // The renderer rounds the height up to whole pixels.
  const height = Math.max(1, Math.ceil((width * page.heightMm) / page.widthMm - 1e-9));
  const columns = width * SAMPLES;
  const rows = height * SAMPLES;
  const perMm = columns / page.widthMm;
  /** Number of the layer seen at each sample, from 1; 0 where none is. */
  const seen = new Uint16Array(columns * rows);
  layers.forEach(({ region }, i) => {
    fillRegion(region, page, perMm, columns, rows, seen, i + 1);
  });
  return average(seen, layers, width, height);
}

/** Crossings of one sample row with the region's edges, by column. */
interface Crossing {
  readonly x: number;
  readonly winding: 1 | -1;
}

function fillRegion(
  region: Region,
  page: { readonly widthMm: number; readonly heightMm: number },
  perMm: number,
  columns: number,
  rows: number,
  seen: Uint16Array,
  number: number,
): void {
  const crossings: Crossing[][] = [];
  for (const ring of region.rings) {
    for (let i = 0; i < ring.length; i += 2) {
      const j = (i + 2) % ring.length;
      // From mm, y up, middle origin, to samples, y down, corner origin.
      const ax = (ring[i]! + page.widthMm / 2) * perMm;
      const ay = (page.heightMm / 2 - ring[i + 1]!) * perMm;
      const bx = (ring[j]! + page.widthMm / 2) * perMm;
      const by = (page.heightMm / 2 - ring[j + 1]!) * perMm;
      const winding = by > ay ? 1 : -1;
      // A row at y is crossed when it lies in [top, bottom): shared corners count once.
      const first = Math.max(0, Math.ceil(Math.min(ay, by) - 0.5));
      const last = Math.min(rows - 1, Math.ceil(Math.max(ay, by) - 0.5) - 1);
      for (let row = first; row <= last; row++) {
        const x = ax + ((row + 0.5 - ay) * (bx - ax)) / (by - ay);
        crossings[row] ??= [];
        crossings[row]!.push({ x, winding });
      }
    }
  }
  crossings.forEach((list, row) => {
    list.sort((a, b) => a.x - b.x);
    let turns = 0;
    for (let i = 0; i + 1 < list.length; i++) {
      turns += list[i]!.winding;
      if (turns === 0) continue;
      const from = Math.max(0, Math.ceil(list[i]!.x - 0.5));
      const to = Math.min(columns, Math.ceil(list[i + 1]!.x - 0.5));
      if (to > from) seen.fill(number, row * columns + from, row * columns + to);
    }
  });
}

function average(seen: Uint16Array, layers: readonly Layer[], width: number, height: number): Raster {
  const colours = layers.map(({ colour }) =>
    [1, 3, 5].map((at) => Number.parseInt(colour.slice(at, at + 2), 16)),
  );
  const pixels = new Uint8Array(4 * width * height);
  const columns = width * SAMPLES;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const sum = [0, 0, 0, 0];
      for (let v = 0; v < SAMPLES; v++) {
        for (let u = 0; u < SAMPLES; u++) {
          const number = seen[(y * SAMPLES + v) * columns + x * SAMPLES + u]!;
          if (number === 0) continue;
          const colour = colours[number - 1]!;
          for (let c = 0; c < 3; c++) sum[c]! += colour[c]!;
          sum[3]! += 255;
        }
      }
      for (let c = 0; c < 4; c++) pixels[4 * (y * width + x) + c] = Math.round(sum[c]! / (SAMPLES * SAMPLES));
    }
  }
  return { width, height, pixels };
}
