/**
 * The cascade: presentation attributes, style sheets, style attributes, `!important` (CSS Cascade 4), then inheritance,
 * `currentColor` and custom properties. Values stay text; a value that is not valid for its property is dropped here, as
 * CSS does, so that the next weaker one counts.
 */
import { parseColour } from './colour.ts';
import {
  type Declaration,
  mediaApplies,
  parseStyleAttribute,
  parseStyleSheet,
  type StyleAttribute,
  type StyleSheet,
} from './css-rules.ts';
import { parseCssLength, parseNumber, parseShare, toUserUnits } from './length.ts';
import type { SvgElement, SvgTree } from './svg-tree.ts';
import type { Reporter } from './warnings.ts';

/** Values by property: what is inherited down the tree, and what is the element's own. */
export interface Style {
  readonly inherited: ReadonlyMap<string, string>;
  readonly own: ReadonlyMap<string, string>;
}

const INHERITED: Readonly<Record<string, string>> = {
  fill: 'black',
  'fill-opacity': '1',
  'fill-rule': 'nonzero',
  stroke: 'none',
  'stroke-width': '1',
  'stroke-opacity': '1',
  'stroke-linecap': 'butt',
  'stroke-linejoin': 'miter',
  'stroke-miterlimit': '4',
  'stroke-dasharray': 'none',
  'stroke-dashoffset': '0',
  color: 'black',
  visibility: 'visible',
  'clip-rule': 'nonzero',
  'paint-order': 'normal',
  'marker-start': 'none',
  'marker-mid': 'none',
  'marker-end': 'none',
  'font-size': '16',
};

const NOT_INHERITED: Readonly<Record<string, string>> = {
  opacity: '1',
  display: 'inline',
  'clip-path': 'none',
  mask: 'none',
  filter: 'none',
  overflow: 'hidden',
  'vector-effect': 'none',
  'mix-blend-mode': 'normal',
  'stop-color': 'black',
  'stop-opacity': '1',
  'transform-origin': '',
  'transform-box': 'view-box',
};

/** Sizes and places, which SVG 2 lets style sheets set too. */
const GEOMETRY: ReadonlySet<string> = new Set([
  'x',
  'y',
  'width',
  'height',
  'cx',
  'cy',
  'r',
  'rx',
  'ry',
  'd',
]);

/** Properties only style sheets and style attributes can set. */
const CSS_ONLY: ReadonlySet<string> = new Set(['transform', 'translate', 'rotate', 'scale']);

function isRead(property: string): boolean {
  return property in INHERITED || property in NOT_INHERITED || GEOMETRY.has(property);
}

const isPaint = (value: string): boolean =>
  /^(?:none|currentcolor|context-fill|context-stroke|url\(.*)$/is.test(value) || isColour(value);
const isColour = (value: string): boolean =>
  /^currentcolor$/i.test(value) || parseColour(withoutIcc(value)) !== null;
const isLength = (value: string): boolean => parseCssLength(value) !== null;
const oneOf =
  (words: string) =>
  (value: string): boolean =>
    words.split(' ').includes(value.toLowerCase());

/** Validity of values; properties not listed accept anything here and are read where they are used. */
const VALID: Readonly<Record<string, (value: string) => boolean>> = {
  fill: isPaint,
  stroke: isPaint,
  color: isColour,
  'stop-color': isColour,
  opacity: (value) => parseShare(value) !== null,
  'fill-opacity': (value) => parseShare(value) !== null,
  'stroke-opacity': (value) => parseShare(value) !== null,
  'stop-opacity': (value) => parseShare(value) !== null,
  'fill-rule': oneOf('nonzero evenodd'),
  'clip-rule': oneOf('nonzero evenodd'),
  'stroke-width': isLength,
  'stroke-dashoffset': isLength,
  'stroke-miterlimit': (value) => (parseNumber(value) ?? -1) >= 0,
  'stroke-linecap': oneOf('butt round square'),
  'stroke-linejoin': oneOf('miter miter-clip round bevel arcs'),
  visibility: oneOf('visible hidden collapse'),
  transform: (value) => /^none$|^[a-z0-9]+\(/i.test(value.trim()),
};

/** `#cd853f icc-color(...)`: the part a screen uses. */
export function withoutIcc(value: string): string {
  const at = value.toLowerCase().indexOf('icc-color(');
  return at < 0 ? value : value.slice(0, at).trim();
}

export interface Styles {
  /** The element's winning declarations, before inheritance. */
  declared(element: SvgElement): ReadonlyMap<string, string>;
  /** The element's style where its parent's is `parent`. */
  resolve(element: SvgElement, parent: Style): Style;
  /** The element's style where it stands in the document. */
  inDocument(element: SvgElement): Style;
}

/** Everything at its initial value: maps hold only what differs from that. */
export const ROOT_STYLE: Style = { inherited: new Map(), own: new Map() };

export function styleValue(style: Style, property: string): string {
  return (
    style.inherited.get(property) ??
    style.own.get(property) ??
    INHERITED[property] ??
    NOT_INHERITED[property] ??
    ''
  );
}

export function readStyles(tree: SvgTree, reporter: Reporter): Styles {
  const sheet = readSheets(tree, reporter);
  const inline = inlineReader();
  const declaredOf = new Map<number, ReadonlyMap<string, string>>();
  const inDocumentOf = new Map<number, Style>();

  const styles: Styles = {
    declared: (element) => {
      let known = declaredOf.get(element.index);
      if (!known) {
        known = cascade(element, sheet, inline, reporter);
        declaredOf.set(element.index, known);
      }
      return known;
    },
    resolve: (element, parent) => inherit(styles.declared(element), parent),
    inDocument: (element) => {
      let known = inDocumentOf.get(element.index);
      if (!known) {
        known = styles.resolve(element, element.parent ? styles.inDocument(element.parent) : ROOT_STYLE);
        inDocumentOf.set(element.index, known);
      }
      return known;
    },
  };
  return styles;
}

function readSheets(tree: SvgTree, reporter: Reporter): StyleSheet {
  const texts: string[] = [];
  for (const element of tree.elements) {
    if (element.tag === 'link' && element.attributes.get('rel') === 'stylesheet') {
      reporter.report('external-reference', element, element.attributes.get('href') ?? '');
    }
    if (element.tag !== 'style' || element.foreign) continue;
    const type = element.attributes.get('type')?.trim().toLowerCase() ?? '';
    const media = element.attributes.get('media') ?? '';
    if (type !== '' && type !== 'text/css')
      reporter.report('bad-css', element, `a style sheet of type ${type}`);
    else if (!mediaApplies(media)) reporter.report('css-not-applied', element, `media="${media}"`);
    else texts.push(element.text);
  }
  for (const href of tree.externalStyles) reporter.report('external-reference', null, `style sheet ${href}`);
  const sheet = parseStyleSheet(texts);
  for (const { kind, text } of sheet.troubles) {
    if (kind === 'external') reporter.report('external-reference', null, `style sheet ${text}`);
    else reporter.report(kind === 'not-applied' ? 'css-not-applied' : 'bad-css', null, text);
  }
  return sheet;
}

function cascade(
  element: SvgElement,
  sheet: StyleSheet,
  readInline: (text: string) => StyleAttribute,
  reporter: Reporter,
): ReadonlyMap<string, string> {
  const winners = new Map<string, string>();
  const set = (property: string, raw: string, isCss: boolean): void => {
    const value = raw.trim();
    for (const [name, text] of expandShorthand(property, value)) {
      if (name.startsWith('--')) {
        winners.set(name, text);
        continue;
      }
      if (!isRead(name) && !(isCss && CSS_ONLY.has(name))) continue;
      if (isValid(name, text)) winners.set(name, text);
      else reporter.report('bad-css', element, `${name}: ${text}`);
    }
  };

  for (const [name, value] of element.attributes) if (isRead(name)) set(name, value, false);
  const fromSheet = sheet.declarationsFor(element);
  const styleText = element.attributes.get('style');
  const { declarations: inline, troubles } = readInline(styleText ?? '');
  for (const trouble of troubles) reporter.report('bad-css', element, trouble.text);
  const setAll = (list: readonly Declaration[], important: boolean): void => {
    for (const { property, value, important: isImportant } of list)
      if (isImportant === important) set(property, value, true);
  };
  setAll(fromSheet, false);
  setAll(inline, false);
  setAll(fromSheet, true);
  setAll(inline, true);
  return winners;
}

/** Drawings repeat the same style attribute thousands of times: each text is parsed once. */
function inlineReader(): (text: string) => StyleAttribute {
  const known = new Map<string, StyleAttribute>([['', { declarations: [], troubles: [] }]]);
  return (text) => {
    let parsed = known.get(text);
    if (!parsed) {
      parsed = parseStyleAttribute(text);
      if (known.size < 10_000) known.set(text, parsed);
    }
    return parsed;
  };
}

function expandShorthand(property: string, value: string): (readonly [string, string])[] {
  if (property === 'marker') {
    return ['marker-start', 'marker-mid', 'marker-end'].map((name) => [name, value] as const);
  }
  if (property === 'font') {
    const size = value.split(/\s+/).find((word) => /^[\d.]/.test(word) && !/^\d{3}$/.test(word));
    return size === undefined ? [] : [['font-size', size.replace(/\/.*$/, '')]];
  }
  return [[property, value]];
}

const WIDE_KEYWORDS: ReadonlySet<string> = new Set(['inherit', 'initial', 'unset', 'revert', 'revert-layer']);

function isValid(property: string, value: string): boolean {
  if (WIDE_KEYWORDS.has(value.toLowerCase()) || /\bvar\(/.test(value)) return true;
  return VALID[property]?.(value) ?? true;
}

function inherit(declared: ReadonlyMap<string, string>, parent: Style): Style {
  const own = new Map<string, string>();
  const changed = new Map<string, string>();
  for (const [name, value] of declared) if (name.startsWith('--')) changed.set(name, value);
  const variable = (name: string): string | undefined => changed.get(name) ?? parent.inherited.get(name);
  for (const [name, raw] of declared) {
    if (name.startsWith('--')) continue;
    const value = computed(name, raw, parent, variable);
    if (name in INHERITED) changed.set(name, value);
    else own.set(name, value);
  }
  // Most elements pass on what they were given: they share their parent's map.
  const inherited = changed.size === 0 ? parent.inherited : new Map([...parent.inherited, ...changed]);
  return { inherited, own };
}

function computed(
  name: string,
  raw: string,
  parent: Style,
  variable: (name: string) => string | undefined,
): string {
  const value = raw.includes('var(') ? substitute(raw, variable, 0) : raw;
  const initial = INHERITED[name] ?? NOT_INHERITED[name] ?? '';
  const unset = name in INHERITED ? styleValue(parent, name) : initial;
  if (value === null || (value !== raw && !isValid(name, value))) return unset;
  const word = value.toLowerCase();
  if (word === 'initial') return initial;
  if (word === 'inherit') return styleValue(parent, name) || initial;
  if (WIDE_KEYWORDS.has(word)) return unset;
  if (name === 'font-size') return fontSize(value, Number(styleValue(parent, name)));
  // The colour property itself has no colour to refer to but the parent's.
  if (name === 'color' && word === 'currentcolor') return styleValue(parent, name);
  return value;
}

/** Replaces `var(--name, fallback)`; null when a name is unknown and has no fallback, or names chase each other. */
function substitute(
  text: string,
  variable: (name: string) => string | undefined,
  depth: number,
): string | null {
  if (depth > 20 || text.length > 10_000) return null;
  const at = text.indexOf('var(');
  if (at < 0) return text;
  let level = 0;
  let end = at + 3;
  do {
    if (text[end] === '(') level += 1;
    if (text[end] === ')') level -= 1;
    end += 1;
  } while (level > 0 && end < text.length);
  const inside = text.slice(at + 4, end - 1);
  const comma = inside.indexOf(',');
  const name = (comma < 0 ? inside : inside.slice(0, comma)).trim();
  const value = variable(name) ?? (comma < 0 ? null : inside.slice(comma + 1).trim());
  if (value === null) return null;
  return substitute(text.slice(0, at) + value + text.slice(end), variable, depth + 1);
}

const FONT_SIZE_WORDS: Readonly<Record<string, number>> = {
  'xx-small': 9,
  'x-small': 10,
  small: 13,
  medium: 16,
  large: 18,
  'x-large': 24,
  'xx-large': 32,
};

/** In px, as text; relative sizes are of the parent's. */
function fontSize(value: string, parentSize: number): string {
  const word = FONT_SIZE_WORDS[value.toLowerCase()];
  if (word !== undefined) return String(word);
  const length = parseCssLength(value);
  if (!length) return String(parentSize);
  return String(toUserUnits(length, 'x', { width: parentSize, height: parentSize, fontSize: parentSize }));
}
