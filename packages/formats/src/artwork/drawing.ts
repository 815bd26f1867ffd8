/** What every step of the reading shares: the document, its styles, and the one place to report to. */
import type { Region } from '@inlaywright/geometry';
import { FormatError } from '../errors.ts';
import type { LengthAxis, LengthFrame } from './length.ts';
import { isApproximateUnit, parseCssLength, toUserUnits } from './length.ts';
import { type Style, type Styles, styleValue } from './style.ts';
import type { SvgElement, SvgTree } from './svg-tree.ts';
import type { Reporter } from './warnings.ts';

export interface Drawing {
  readonly tree: SvgTree;
  readonly styles: Styles;
  readonly reporter: Reporter;
  /** Elements that were drawn, or used as a clip: what is neither settled nor reported was only defined. */
  readonly settled: Set<SvgElement>;
  /** Elements still allowed to be visited, so that references to references cannot multiply without bound. */
  readonly budget: { left: number };
  /** Regions of clip paths already computed, by clip path and place. */
  readonly clips: Map<string, Region | null>;
}

/** Counts an element visited. @throws FormatError too-many-shapes */
export function spendVisit(drawing: Drawing, element: SvgElement): void {
  drawing.budget.left -= 1;
  if (drawing.budget.left >= 0) return;
  throw new FormatError(
    'too-many-shapes',
    'The drawing draws more elements than can be read, mostly by reference.',
    {
      where: `line ${element.line}`,
      hint: 'Look for elements that refer to each other again and again, and simplify the drawing.',
    },
  );
}

/** The size of lengths where an element stands. */
export function frameFor(
  style: Style,
  viewport: { readonly width: number; readonly height: number },
): LengthFrame {
  return { width: viewport.width, height: viewport.height, fontSize: Number(styleValue(style, 'font-size')) };
}

/**
 * A length of the element in user units: from the style sheet, else the attribute, else `initial`. What is not a length
 * is reported and counts as not given. Null when there is neither a value nor an initial one, or the value is `auto`.
 */
export function lengthOf(
  drawing: Drawing,
  element: SvgElement,
  name: string,
  axis: LengthAxis,
  frame: LengthFrame,
  initial: number | null = 0,
): number | null {
  const text = drawing.styles.declared(element).get(name) ?? element.attributes.get(name);
  if (text === undefined || text === 'auto') return initial;
  const length = parseCssLength(text);
  if (!length) {
    drawing.reporter.report('bad-number', element, `${name}="${text}"`);
    return initial;
  }
  if (isApproximateUnit(length.unit)) drawing.reporter.report('relative-unit', element, `${name}="${text}"`);
  return toUserUnits(length, axis, frame);
}

/** What an `href` leads to: an element of the document, or null with the reason reported. */
export function hrefTarget(drawing: Drawing, element: SvgElement): SvgElement | null {
  const href = element.attributes.get('href')?.trim();
  if (href === undefined || href === '') {
    drawing.reporter.report('missing-reference', element, 'it has no href');
    return null;
  }
  return lookUp(drawing, element, href);
}

/** The element a reference such as `#leaf` names; anything else is outside the file. */
export function lookUp(drawing: Drawing, element: SvgElement, reference: string): SvgElement | null {
  if (!reference.startsWith('#')) {
    const short = reference.length > 60 ? `${reference.slice(0, 57)}...` : reference;
    drawing.reporter.report('external-reference', element, short);
    return null;
  }
  const target = drawing.tree.byId.get(decodeId(reference.slice(1)));
  if (!target) drawing.reporter.report('missing-reference', element, reference);
  return target ?? null;
}

function decodeId(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

/** Takes `url(#id) rest` apart; null when the value is not a reference. */
export function parseUrl(value: string): { readonly reference: string; readonly rest: string } | null {
  const match = /^url\((?:\s*"([^"]*)"\s*|\s*'([^']*)'\s*|([^"')]*))\)(.*)$/is.exec(value);
  if (!match) return null;
  return { reference: (match[1] ?? match[2] ?? match[3] ?? '').trim(), rest: match[4]!.trim() };
}
