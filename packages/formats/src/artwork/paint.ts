/** What a fill or stroke is painted with: nothing, a colour, or a paint server standing for a tone of its own. */
import { type Colour, colourKey, colourWords, parseColour } from './colour.ts';
import { type Drawing, hrefTarget, lookUp, parseUrl } from './drawing.ts';
import { parseShare } from './length.ts';
import { type Style, styleValue, withoutIcc } from './style.ts';
import type { SvgElement } from './svg-tree.ts';

export interface Paint {
  /** `#rrggbb`, or `gradient-...`, `pattern-...`. */
  readonly key: string;
  readonly colour: string;
  readonly name: string;
  /** Its own opacity, 0..1. */
  readonly alpha: number;
  readonly server: 'gradient' | 'pattern' | null;
}

/** Null when nothing is painted. */
export function resolvePaint(
  drawing: Drawing,
  element: SvgElement,
  style: Style,
  property: 'fill' | 'stroke',
): Paint | null {
  return paintOf(drawing, element, style, styleValue(style, property));
}

function paintOf(drawing: Drawing, element: SvgElement, style: Style, value: string): Paint | null {
  const url = parseUrl(value);
  if (!url) {
    const colour = colourOf(value, style);
    return colour && plainPaint(colour);
  }
  const server = lookUp(drawing, element, url.reference);
  if (server?.tag === 'linearGradient' || server?.tag === 'radialGradient')
    return gradientPaint(drawing, element, server);
  if (server?.tag === 'pattern') return patternPaint(drawing, element, server);
  if (server)
    drawing.reporter.report('missing-reference', element, `${url.reference} is a ${server.tag}, not a paint`);
  return url.rest === '' ? null : paintOf(drawing, element, style, url.rest);
}

function colourOf(value: string, style: Style): Colour | null {
  const word = value.toLowerCase();
  if (word === 'none' || word === 'context-fill' || word === 'context-stroke') return null;
  return parseColour(withoutIcc(word === 'currentcolor' ? styleValue(style, 'color') : value));
}

function plainPaint(colour: Colour): Paint {
  const key = colourKey(colour);
  return { key, colour: key, name: colourWords(colour), alpha: colour.alpha, server: null };
}

interface Stop {
  readonly offset: number;
  readonly colour: Colour;
}

function gradientPaint(drawing: Drawing, element: SvgElement, server: SvgElement): Paint | null {
  const stops = gradientStops(drawing, server);
  // SVG 2, 14.2.4: without stops nothing is painted.
  if (stops.length === 0) return null;
  const colour = averageColour(stops);
  const first = colourKey(stops[0]!.colour);
  if (stops.every((stop) => colourKey(stop.colour) === first))
    return plainPaint({ ...stops[0]!.colour, alpha: colour.alpha });
  if (colour.alpha > 0) drawing.reporter.report('gradient-flattened', element);
  const slug = serverSlug(server);
  return {
    key: `gradient-${slug}`,
    colour: colourKey(colour),
    name: `gradient ${slug}`,
    alpha: colour.alpha,
    server: 'gradient',
  };
}

/** Ids are case-sensitive and may hold anything; a key must be typed. The number keeps lookalikes apart. */
function serverSlug(server: SvgElement): string {
  const id = server.attributes.get('id') ?? '';
  const slug = id
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '');
  return slug === id ? slug : `${slug || 'no-name'}-${server.index}`;
}

function gradientStops(drawing: Drawing, server: SvgElement): Stop[] {
  const seen = new Set<SvgElement>();
  let at: SvgElement | null = server;
  while (at && !seen.has(at)) {
    seen.add(at);
    const stops = at.children.filter((child) => child.tag === 'stop' && !child.foreign);
    if (stops.length > 0) return stops.map((stop) => readStop(drawing, stop));
    at = at.attributes.has('href') ? hrefTarget(drawing, at) : null;
  }
  if (at) drawing.reporter.report('reference-cycle', server);
  return [];
}

function readStop(drawing: Drawing, stop: SvgElement): Stop {
  const style = drawing.styles.inDocument(stop);
  const colour = colourOf(styleValue(style, 'stop-color'), style) ?? { r: 0, g: 0, b: 0, alpha: 1 };
  const opacity = parseShare(styleValue(style, 'stop-opacity')) ?? 1;
  const offset = parseShare(stop.attributes.get('offset') ?? '0') ?? 0;
  return { offset, colour: { ...colour, alpha: colour.alpha * opacity } };
}

/** The mean over the gradient's whole length, each colour weighing as much as it is opaque. */
function averageColour(stops: readonly Stop[]): Colour {
  let [r, g, b, alpha] = [0, 0, 0, 0];
  const add = (colour: Colour, share: number): void => {
    r += colour.r * colour.alpha * share;
    g += colour.g * colour.alpha * share;
    b += colour.b * colour.alpha * share;
    alpha += colour.alpha * share;
  };
  let before = { offset: 0, colour: stops[0]!.colour };
  for (const { offset, colour } of [...stops, { offset: 1, colour: stops.at(-1)!.colour }]) {
    // Offsets never run backwards (SVG 2, 14.2.3).
    const at = Math.max(before.offset, offset);
    add(before.colour, (at - before.offset) / 2);
    add(colour, (at - before.offset) / 2);
    before = { offset: at, colour };
  }
  if (alpha === 0) return { ...stops[0]!.colour, alpha: 0 };
  return {
    r: Math.round(r / alpha),
    g: Math.round(g / alpha),
    b: Math.round(b / alpha),
    alpha: Math.min(1, alpha),
  };
}

function patternPaint(drawing: Drawing, element: SvgElement, server: SvgElement): Paint {
  drawing.reporter.report('pattern-flattened', element);
  const slug = serverSlug(server);
  const colour = patternColour(drawing, server) ?? { r: 128, g: 128, b: 128, alpha: 1 };
  return {
    key: `pattern-${slug}`,
    colour: colourKey(colour),
    name: `pattern ${slug}`,
    alpha: 1,
    server: 'pattern',
  };
}

/** The first plain colour found in the pattern. */
function patternColour(drawing: Drawing, server: SvgElement): Colour | null {
  const queue = [...server.children];
  for (let i = 0; i < queue.length && i < 1000; i++) {
    const child = queue[i]!;
    queue.push(...child.children);
    if (child.children.length > 0) continue;
    const style = drawing.styles.inDocument(child);
    const colour = colourOf(styleValue(style, 'fill'), style) ?? colourOf(styleValue(style, 'stroke'), style);
    if (colour) return colour;
  }
  return null;
}
