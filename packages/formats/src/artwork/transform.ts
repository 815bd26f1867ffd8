/**
 * Transforms: the `transform` attribute (SVG 2, section 8.5) and the CSS properties `transform`, `transform-origin`,
 * `translate`, `rotate` and `scale` (CSS Transforms 1 and 2). Matrices are in the drawing's own frame, y down; the
 * reader flips once, at the page. Three-dimensional functions are refused.
 */
import { type Affine, compose, identity, rotation, scaling, translation } from '@inlaywright/geometry';
import {
  type LengthAxis,
  type LengthFrame,
  parseCssLength,
  parseNumber,
  parseNumberList,
  toUserUnits,
} from './length.ts';

const DEGREE = Math.PI / 180;

/** Reads the attribute's grammar: plain numbers, angles in degrees. Null when it is not understood. */
export function parseTransformAttribute(text: string): Affine | null {
  const call = /[\s,]*([a-zA-Z]+)\s*\(([^()]*)\)/y;
  let result = identity;
  let at = 0;
  while (text.slice(at).trim() !== '') {
    call.lastIndex = at;
    const match = call.exec(text);
    if (!match) return null;
    const { numbers, rest } = parseNumberList(match[2]!);
    const step = rest.trim() === '' ? attributeStep(match[1]!, numbers) : null;
    if (!step) return null;
    result = compose(result, step);
    at = call.lastIndex;
  }
  return result;
}

function attributeStep(name: string, n: readonly number[]): Affine | null {
  const [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0] = n;
  switch (`${name}/${n.length}`) {
    case 'matrix/6':
      return { a, b, c, d, e, f };
    case 'translate/1':
    case 'translate/2':
      return translation(a, b);
    case 'scale/1':
      return scaling(a);
    case 'scale/2':
      return scaling(a, b);
    case 'rotate/1':
      return rotation(a * DEGREE);
    case 'rotate/3':
      return rotation(a * DEGREE, { x: b, y: c });
    case 'skewX/1':
      return { ...identity, c: Math.tan(a * DEGREE) };
    case 'skewY/1':
      return { ...identity, b: Math.tan(a * DEGREE) };
    default:
      return null;
  }
}

/** Reads a CSS transform list: lengths with units, angles with units. Null when it is not understood. */
export function parseCssTransform(text: string, frame: LengthFrame): Affine | null {
  if (text.trim() === 'none') return identity;
  const call = /\s*([a-zA-Z0-9]+)\(([^()]*)\)/y;
  let result = identity;
  let at = 0;
  while (text.slice(at).trim() !== '') {
    call.lastIndex = at;
    const match = call.exec(text);
    const step =
      match &&
      cssStep(
        match[1]!.toLowerCase(),
        match[2]!.split(',').map((part) => part.trim()),
        frame,
      );
    if (!step) return null;
    result = compose(result, step);
    at = call.lastIndex;
  }
  return result;
}

function cssStep(name: string, parts: readonly string[], frame: LengthFrame): Affine | null {
  const [first = '', second] = parts;
  const length = (text: string, axis: LengthAxis): number => cssLength(text, axis, frame);
  const step = ((): Affine | null => {
    switch (name) {
      case 'matrix': {
        if (parts.length !== 6) return null;
        const [a, b, c, d, e, f] = parts.map(cssNumber) as [number, number, number, number, number, number];
        return { a, b, c, d, e, f };
      }
      case 'translate':
        return translation(length(first, 'x'), second === undefined ? 0 : length(second, 'y'));
      case 'translatex':
        return translation(length(first, 'x'), 0);
      case 'translatey':
        return translation(0, length(first, 'y'));
      case 'scale':
        return scaling(cssNumber(first), cssNumber(second ?? first));
      case 'scalex':
        return scaling(cssNumber(first), 1);
      case 'scaley':
        return scaling(1, cssNumber(first));
      case 'rotate':
      case 'rotatez':
        return rotation(cssAngle(first));
      case 'skew':
        return {
          ...identity,
          c: Math.tan(cssAngle(first)),
          b: second === undefined ? 0 : Math.tan(cssAngle(second)),
        };
      case 'skewx':
        return { ...identity, c: Math.tan(cssAngle(first)) };
      case 'skewy':
        return { ...identity, b: Math.tan(cssAngle(first)) };
      default:
        return null;
    }
  })();
  return step && isFinite6(step) ? step : null;
}

/** The box percentages and origins refer to: the viewport, or the element's own bounding box. */
export interface ReferenceBox {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface TransformProperties {
  /** From a style sheet or style attribute; null when there is none. */
  readonly css: string | null;
  readonly attribute: string | null;
  readonly origin: string | null;
  readonly translate: string | null;
  readonly rotate: string | null;
  readonly scale: string | null;
}

/** The element's own map from its user space to its parent's, or the name of the property that is not understood. */
export function elementTransform(
  properties: TransformProperties,
  box: ReferenceBox,
  frame: LengthFrame,
): Affine | { readonly bad: string } {
  const boxFrame: LengthFrame = { width: box.width, height: box.height, fontSize: frame.fontSize };
  const main =
    properties.css !== null
      ? parseCssTransform(properties.css, boxFrame)
      : properties.attribute !== null
        ? parseTransformAttribute(properties.attribute)
        : identity;
  if (!main) return { bad: `transform="${properties.css ?? properties.attribute}"` };
  let result = main;
  if (properties.scale !== null) {
    const [x = '', y] = properties.scale.trim().split(/\s+/);
    const step = scaling(cssNumber(x), cssNumber(y ?? x));
    if (!isFinite6(step)) return { bad: `scale: ${properties.scale}` };
    result = compose(step, result);
  }
  if (properties.rotate !== null) {
    const angle = cssAngle(properties.rotate.trim());
    if (!Number.isFinite(angle)) return { bad: `rotate: ${properties.rotate}` };
    result = compose(rotation(angle), result);
  }
  if (properties.translate !== null) {
    const [x = '', y] = properties.translate.trim().split(/\s+/);
    const step = translation(cssLength(x, 'x', boxFrame), y === undefined ? 0 : cssLength(y, 'y', boxFrame));
    if (!isFinite6(step)) return { bad: `translate: ${properties.translate}` };
    result = compose(step, result);
  }
  if (properties.origin === null) return result;
  const origin = parseOrigin(properties.origin, boxFrame);
  if (!origin) return { bad: `transform-origin: ${properties.origin}` };
  const x = box.x + origin.x;
  const y = box.y + origin.y;
  return compose(compose(translation(x, y), result), translation(-x, -y));
}

const ORIGIN_WORDS: Readonly<Record<string, string>> = {
  left: '0%',
  top: '0%',
  center: '50%',
  right: '100%',
  bottom: '100%',
};

function parseOrigin(text: string, frame: LengthFrame): { x: number; y: number } | null {
  let [first = '', second = 'center'] = text.trim().toLowerCase().split(/\s+/);
  if (first === 'top' || first === 'bottom' || second === 'left' || second === 'right')
    [first, second] = [second, first];
  const x = cssLength(ORIGIN_WORDS[first] ?? first, 'x', frame);
  const y = cssLength(ORIGIN_WORDS[second] ?? second, 'y', frame);
  return Number.isFinite(x) && Number.isFinite(y) ? { x, y } : null;
}

/** NaN where the text is not what it should be: the caller checks the whole matrix once. */
function cssNumber(text: string): number {
  const percent = text.trim().endsWith('%');
  const value = parseNumber(percent ? text.trim().slice(0, -1) : text) ?? Number.NaN;
  return percent ? value / 100 : value;
}

function cssLength(text: string, axis: LengthAxis, frame: LengthFrame): number {
  const length = parseCssLength(text);
  return length ? toUserUnits(length, axis, frame) : Number.NaN;
}

const RADIANS_PER: Readonly<Record<string, number>> = {
  deg: DEGREE,
  grad: Math.PI / 200,
  rad: 1,
  turn: 2 * Math.PI,
  '': DEGREE,
};

function cssAngle(text: string): number {
  const match = /^([^a-z]*(?:e[+-]?\d+)?)(deg|grad|rad|turn|)$/i.exec(text);
  const value = match ? parseNumber(match[1]!) : null;
  return value === null ? Number.NaN : value * RADIANS_PER[match![2]!.toLowerCase()]!;
}

function isFinite6(m: Affine): boolean {
  return [m.a, m.b, m.c, m.d, m.e, m.f].every(Number.isFinite);
}
