/** The stroke an element has, from its style: whether it can be seen, and its outline. */
import { type Affine, type Curve, compose, FLATTEN_TOLERANCE, invert } from '@inlaywright/geometry';
import { type Drawing, frameFor } from './drawing.ts';
import {
  isApproximateUnit,
  type LengthFrame,
  parseCssLength,
  parseNumber,
  parseShare,
  toUserUnits,
} from './length.ts';
import { type Subpath, transformOutline } from './outline.ts';
import { type Paint, resolvePaint } from './paint.ts';
import { type StrokeStyle, strokeCurves } from './stroke.ts';
import { styleValue } from './style.ts';
import type { SvgElement } from './svg-tree.ts';
import type { Place } from './walk.ts';

export interface VisibleStroke {
  readonly paint: Paint;
  /** User units. */
  readonly width: number;
}

/** The element's stroke, or null when none can be seen. */
export function visibleStroke(drawing: Drawing, element: SvgElement, place: Place): VisibleStroke | null {
  const { style } = place;
  const paint = resolvePaint(drawing, element, style, 'stroke');
  if (!paint) return null;
  const alpha = paint.alpha * (parseShare(styleValue(style, 'stroke-opacity')) ?? 1);
  const width = lengthValue(drawing, element, place, 'stroke-width') ?? 1;
  if (width < 0) drawing.reporter.report('bad-number', element, `stroke-width is ${width}`);
  return alpha > 0 && width > 0 ? { paint: { ...paint, alpha }, width } : null;
}

/** The area the stroke covers, in the plane. `page` is the map a non-scaling stroke keeps its width under. */
export function outlineStroke(
  drawing: Drawing,
  element: SvgElement,
  place: Place,
  outline: readonly Subpath[],
  width: number,
  page: Affine,
): Curve[] {
  const stroke = strokeStyle(drawing, element, place, width);
  if (styleValue(place.style, 'vector-effect') === 'non-scaling-stroke') {
    const onPage = transformOutline(outline, compose(invert(page), place.toPlane));
    return strokeCurves(onPage, stroke, page, FLATTEN_TOLERANCE);
  }
  return strokeCurves(outline, stroke, place.toPlane, FLATTEN_TOLERANCE);
}

function strokeStyle(drawing: Drawing, element: SvgElement, place: Place, width: number): StrokeStyle {
  const join = styleValue(place.style, 'stroke-linejoin').toLowerCase();
  const pathLength = element.attributes.get('pathLength');
  return {
    width,
    cap: styleValue(place.style, 'stroke-linecap').toLowerCase() as StrokeStyle['cap'],
    // "arcs" asks for a curved tip; SVG 2 lets readers without it use a mitre.
    join: join === 'arcs' ? 'miter' : (join as StrokeStyle['join']),
    miterLimit: Math.max(1, parseNumber(styleValue(place.style, 'stroke-miterlimit')) ?? 4),
    dashes: dashList(drawing, element, place),
    dashOffset: lengthValue(drawing, element, place, 'stroke-dashoffset') ?? 0,
    pathLength: pathLength === undefined ? null : parseNumber(pathLength),
  };
}

/** Solid, too, where the list has an error, a negative length or only zeros (SVG 2, 13.4.4). */
function dashList(drawing: Drawing, element: SvgElement, place: Place): number[] {
  const value = styleValue(place.style, 'stroke-dasharray').trim();
  if (value === 'none' || value === '') return [];
  const frame = frameFor(place.style, place.viewport);
  const lengths = value
    .split(/\s*,\s*|\s+/)
    .map((text) => userLength(drawing, element, frame, 'stroke-dasharray', text));
  if (lengths.some((length) => length === null || length < 0)) {
    drawing.reporter.report('bad-number', element, `stroke-dasharray="${value}"`);
    return [];
  }
  const dashes = lengths as number[];
  if (!dashes.some((length) => length > 0)) return [];
  return dashes.length % 2 === 0 ? dashes : [...dashes, ...dashes];
}

function lengthValue(drawing: Drawing, element: SvgElement, place: Place, name: string): number | null {
  return userLength(
    drawing,
    element,
    frameFor(place.style, place.viewport),
    name,
    styleValue(place.style, name),
  );
}

function userLength(
  drawing: Drawing,
  element: SvgElement,
  frame: LengthFrame,
  name: string,
  text: string,
): number | null {
  const length = parseCssLength(text);
  if (length && isApproximateUnit(length.unit))
    drawing.reporter.report('relative-unit', element, `${name}="${text}"`);
  return length && toUserUnits(length, 'diagonal', frame);
}
