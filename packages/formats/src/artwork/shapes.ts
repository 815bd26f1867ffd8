/** The six basic shapes and paths (SVG 2, chapters 9 and 10) as outlines in user space. */
import type { Point } from '@inlaywright/geometry';
import { type Drawing, lengthOf } from './drawing.ts';
import { type LengthFrame, parseNumberList } from './length.ts';
import { ellipseOutline, polylineOutline, rectangleOutline, type Subpath } from './outline.ts';
import { readPathData } from './path-data.ts';
import type { SvgElement } from './svg-tree.ts';

export const SHAPE_TAGS: ReadonlySet<string> = new Set([
  'path',
  'rect',
  'circle',
  'ellipse',
  'line',
  'polyline',
  'polygon',
]);

/**
 * The outline of a shape element. Empty when the shape has none: then either something was reported as broken, or the
 * shape has no extent and the caller says so.
 */
export function shapeOutline(drawing: Drawing, element: SvgElement, frame: LengthFrame): readonly Subpath[] {
  switch (element.tag) {
    case 'path':
      return pathOutline(drawing, element);
    case 'rect':
      return rectOutline(drawing, element, frame);
    case 'circle': {
      const r = sizeOf(drawing, element, 'r', 'diagonal', frame, 0);
      return r
        ? [
            ellipseOutline(
              placeOf(drawing, element, 'cx', frame),
              placeOf(drawing, element, 'cy', frame),
              r,
              r,
            ),
          ]
        : [];
    }
    case 'ellipse': {
      const givenX = sizeOf(drawing, element, 'rx', 'x', frame, null);
      const givenY = sizeOf(drawing, element, 'ry', 'y', frame, null);
      const rx = givenX ?? givenY;
      const ry = givenY ?? givenX;
      return rx && ry
        ? [
            ellipseOutline(
              placeOf(drawing, element, 'cx', frame),
              placeOf(drawing, element, 'cy', frame),
              rx,
              ry,
            ),
          ]
        : [];
    }
    case 'line': {
      const from = { x: placeOf(drawing, element, 'x1', frame), y: placeOf(drawing, element, 'y1', frame) };
      const to = { x: placeOf(drawing, element, 'x2', frame), y: placeOf(drawing, element, 'y2', frame) };
      return [polylineOutline([from, to], false)];
    }
    case 'polyline':
    case 'polygon': {
      const points = pointsOf(drawing, element);
      return points.length === 0 ? [] : [polylineOutline(points, element.tag === 'polygon')];
    }
    default:
      return [];
  }
}

function placeOf(drawing: Drawing, element: SvgElement, name: string, frame: LengthFrame): number {
  return lengthOf(drawing, element, name, /^(?:c?x|x[12])$/.test(name) ? 'x' : 'y', frame) ?? 0;
}

/** A size that cannot be negative: one that is counts as not given (SVG 2, 10.1: an error). */
function sizeOf(
  drawing: Drawing,
  element: SvgElement,
  name: string,
  axis: 'x' | 'y' | 'diagonal',
  frame: LengthFrame,
  initial: number | null,
): number | null {
  const value = lengthOf(drawing, element, name, axis, frame, initial);
  if (value === null || value >= 0) return value;
  drawing.reporter.report('bad-number', element, `${name} is negative`);
  return initial;
}

function rectOutline(drawing: Drawing, element: SvgElement, frame: LengthFrame): readonly Subpath[] {
  const width = sizeOf(drawing, element, 'width', 'x', frame, 0);
  const height = sizeOf(drawing, element, 'height', 'y', frame, 0);
  if (!width || !height) return [];
  const givenX = sizeOf(drawing, element, 'rx', 'x', frame, null);
  const givenY = sizeOf(drawing, element, 'ry', 'y', frame, null);
  const rx = Math.min(givenX ?? givenY ?? 0, width / 2);
  const ry = Math.min(givenY ?? givenX ?? 0, height / 2);
  const x = placeOf(drawing, element, 'x', frame);
  const y = placeOf(drawing, element, 'y', frame);
  return [rectangleOutline(x, y, width, height, rx, ry)];
}

function pathOutline(drawing: Drawing, element: SvgElement): readonly Subpath[] {
  const value = drawing.styles.declared(element).get('d') ?? '';
  const css = /^path\(\s*(?:(?:nonzero|evenodd)\s*,\s*)?["'](.*)["']\s*\)$/s.exec(value);
  const data = css ? css[1]! : value === 'none' ? '' : value;
  const { subpaths, error } = readPathData(data);
  if (error !== null) drawing.reporter.report('bad-path-data', element, error);
  return subpaths;
}

function pointsOf(drawing: Drawing, element: SvgElement): Point[] {
  const { numbers, rest } = parseNumberList(element.attributes.get('points') ?? '');
  const points: Point[] = [];
  for (let i = 0; i + 1 < numbers.length; i += 2) points.push({ x: numbers[i]!, y: numbers[i + 1]! });
  if (rest.trim() !== '')
    drawing.reporter.report('bad-points', element, `not a number at "${rest.slice(0, 12)}"`);
  else if (numbers.length % 2 === 1) {
    drawing.reporter.report(
      'bad-points',
      element,
      `${numbers.length} numbers do not make pairs; the last is left out`,
    );
  }
  return points;
}
