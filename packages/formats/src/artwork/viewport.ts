/**
 * Viewports: viewBox and preserveAspectRatio (SVG 2, sections 8.2 and 8.6), and the size of the whole drawing.
 */
import { type Affine, compose, scaling, translation } from '@inlaywright/geometry';
import {
  type CssLength,
  isApproximateUnit,
  isPhysicalUnit,
  MM_PER_PX,
  parseCssLength,
  parseNumberList,
  toUserUnits,
} from './length.ts';

export interface ViewBox {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** Null when the four numbers are not there; a width or height of zero is the caller's to refuse. */
export function parseViewBox(text: string): ViewBox | null {
  const { numbers, rest } = parseNumberList(text);
  if (numbers.length !== 4 || rest.trim() !== '') return null;
  const [x, y, width, height] = numbers as [number, number, number, number];
  return width < 0 || height < 0 ? null : { x, y, width, height };
}

export interface AspectRatio {
  /** 0, 0.5 or 1: which share of the spare space lies before the drawing. */
  readonly alignX: number;
  readonly alignY: number;
  readonly fit: 'meet' | 'slice' | 'none';
}

const ALIGN: Readonly<Record<string, number>> = { Min: 0, Mid: 0.5, Max: 1 };

/** The default, xMidYMid meet, where the text is absent or not understood. */
export function parseAspectRatio(text: string | undefined): AspectRatio {
  const words = (text ?? '').trim().split(/\s+/);
  if (words[0] === 'defer') words.shift();
  const match = /^x(Min|Mid|Max)Y(Min|Mid|Max)$/.exec(words[0] ?? '');
  if (words[0] === 'none') return { alignX: 0, alignY: 0, fit: 'none' };
  if (!match) return { alignX: 0.5, alignY: 0.5, fit: 'meet' };
  return {
    alignX: ALIGN[match[1]!]!,
    alignY: ALIGN[match[2]!]!,
    fit: words[1] === 'slice' ? 'slice' : 'meet',
  };
}

/** The map from viewBox coordinates into a viewport of the given size with its corner at the origin. */
export function viewBoxTransform(box: ViewBox, ratio: AspectRatio, width: number, height: number): Affine {
  let sx = width / box.width;
  let sy = height / box.height;
  if (ratio.fit === 'meet') sx = sy = Math.min(sx, sy);
  if (ratio.fit === 'slice') sx = sy = Math.max(sx, sy);
  const spareX = width - box.width * sx;
  const spareY = height - box.height * sy;
  const toCorner =
    ratio.fit === 'none' ? translation(0, 0) : translation(spareX * ratio.alignX, spareY * ratio.alignY);
  return compose(toCorner, compose(scaling(sx, sy), translation(-box.x, -box.y)));
}

export interface PageSize {
  /** px at 96 to the inch. */
  readonly width: number;
  readonly height: number;
  readonly widthMm: number;
  readonly heightMm: number;
  /** Whether the file itself gives a size on paper, so that nobody has to check it. */
  readonly stated: boolean;
  /** Whether a font-relative unit had to be guessed at. */
  readonly approximate: boolean;
}

/**
 * The size of the outermost viewport. Missing or percentage sizes come from the viewBox, then from the content's own
 * box. `widthMm`, when given, decides the scale. Null when there is nothing to size the page by.
 */
export function pageSize(
  attributes: { readonly width: string | undefined; readonly height: string | undefined },
  viewBox: ViewBox | null,
  content: () => { readonly width: number; readonly height: number } | null,
  widthMm: number | undefined,
): PageSize | null {
  const width = absolute(attributes.width);
  const height = absolute(attributes.height);
  let w = width && pixels(width);
  let h = height && pixels(height);
  if (w === null || h === null) {
    const natural = viewBox ?? content();
    if (!natural || natural.width <= 0 || natural.height <= 0) return null;
    // One side given: the other follows the drawing's proportions.
    if (w !== null) h = (w * natural.height) / natural.width;
    else if (h !== null) w = (h * natural.width) / natural.height;
    else [w, h] = [natural.width, natural.height];
  }
  if (!(w > 0 && h > 0)) return null;
  const given = width ?? height;
  return {
    width: w,
    height: h,
    ...sizeInMm(width, height, w, h, widthMm),
    stated: widthMm !== undefined || (given !== null && isPhysicalUnit(given.unit)),
    approximate: [width, height].some((length) => length !== null && isApproximateUnit(length.unit)),
  };
}

/** Lengths given in mm stay what they are, without a detour through px. */
function sizeInMm(
  width: CssLength | null,
  height: CssLength | null,
  w: number,
  h: number,
  widthMm: number | undefined,
): { readonly widthMm: number; readonly heightMm: number } {
  if (widthMm !== undefined) return { widthMm, heightMm: (widthMm * h) / w };
  const mm = (length: CssLength | null, px: number): number =>
    length?.unit === 'mm' ? length.value : length?.unit === 'cm' ? 10 * length.value : px * MM_PER_PX;
  return { widthMm: mm(width, w), heightMm: mm(height, h) };
}

/** A length that stands for itself; percentages of an unknown window and `auto` are as good as absent. */
function absolute(text: string | undefined): CssLength | null {
  const length = text === undefined ? null : parseCssLength(text);
  return length && length.unit !== '%' ? length : null;
}

function pixels(length: CssLength): number {
  return toUserUnits(length, 'x', { width: 0, height: 0, fontSize: 16 });
}
