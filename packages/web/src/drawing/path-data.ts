import type { Region } from '@inlaywright/geometry';
import type { Place } from './model.ts';

/** Decimals of path data, mm: a tenth of a micrometre is far below a pixel at any closeness of view. */
const DIGITS = 4;

function number(value: number): string {
  return String(Number(value.toFixed(DIGITS)));
}

/** Path data of a region's rings, y flipped. */
export function regionPath(region: Region): string {
  return region.rings.map((ring) => linePath(ring, true)).join('');
}

/** Path data through flat coordinates (x0, y0, x1, y1, ...), y flipped. */
export function linePath(points: ArrayLike<number>, closed: boolean): string {
  if (points.length < 4) return '';
  let path = `M${number(points[0]!)} ${number(-points[1]!)}L`;
  for (let i = 2; i + 1 < points.length; i += 2) {
    path += `${number(points[i]!)} ${number(-points[i + 1]!)} `;
  }
  return path.trimEnd() + (closed ? 'Z' : '');
}

/** Path data through places that are flipped already. */
export function placesPath(places: readonly Place[]): string {
  if (places.length < 2) return '';
  const [first, ...rest] = places;
  return `M${number(first!.x)} ${number(first!.y)}L${rest.map((p) => `${number(p.x)} ${number(p.y)}`).join(' ')}`;
}
