/**
 * Selectors (Selectors 4, the part that makes sense for a still drawing), compiled to tests that are run from the
 * rightmost compound leftwards. What a still drawing can never be in (`:hover`, `::before`) matches nothing; what is
 * not understood is the caller's to report.
 */
import type { AttributeSelector, CssNode, Nth, PseudoClassSelector, Selector } from 'css-tree';
import type { SvgElement } from './svg-tree.ts';

type Test = (element: SvgElement) => boolean;

interface Compound {
  readonly tests: readonly Test[];
  /** How the compound to the left is reached; null for the leftmost. */
  readonly combinator: ' ' | '>' | '+' | '~' | null;
}

export interface CompiledSelector {
  /** Rightmost first. */
  readonly compounds: readonly Compound[];
  /** Ids, then classes and attributes, then types. */
  readonly specificity: readonly [number, number, number];
  /** What an element must have for the rightmost compound to match, to find rules quickly. */
  readonly key: { readonly kind: 'id' | 'class' | 'type' | 'any'; readonly name: string };
}

/** Thrown inside this module only; the text is the part that is not understood. */
class UnknownSelector extends Error {}

const NEVER = new Set(
  (
    'hover active focus focus-visible focus-within visited target checked disabled enabled before after ' +
    'selection marker placeholder first-line first-letter backdrop'
  ).split(' '),
);

/** The compiled selector, or the part of it that is not understood. */
export function compileSelector(selector: Selector): CompiledSelector | { readonly unknown: string } {
  try {
    return compile(selector);
  } catch (error) {
    if (error instanceof UnknownSelector) return { unknown: error.message };
    throw error;
  }
}

export function matchesSelector(selector: CompiledSelector, element: SvgElement): boolean {
  // With two combinators or more a failed start could be tried again from many sides.
  const failed = selector.compounds.length > 2 ? new Set<string>() : null;
  return matchFrom(selector.compounds, 0, element, failed);
}

function compile(selector: Selector): CompiledSelector {
  const compounds: Compound[] = [];
  const specificity: [number, number, number] = [0, 0, 0];
  let tests: Test[] = [];
  let combinator: Compound['combinator'] = null;
  let key: CompiledSelector['key'] = { kind: 'any', name: '' };
  for (const node of selector.children.toArray()) {
    if (node.type === 'Combinator') {
      if (!isCombinator(node.name)) throw new UnknownSelector(node.name);
      compounds.unshift({ tests, combinator });
      tests = [];
      combinator = node.name;
      key = { kind: 'any', name: '' };
      continue;
    }
    tests.push(compileSimple(node, specificity));
    key = betterKey(key, node);
  }
  compounds.unshift({ tests, combinator });
  return { compounds, specificity, key };
}

function isCombinator(name: string): name is ' ' | '>' | '+' | '~' {
  return name === ' ' || name === '>' || name === '+' || name === '~';
}

function betterKey(key: CompiledSelector['key'], node: CssNode): CompiledSelector['key'] {
  if (node.type === 'IdSelector') return { kind: 'id', name: decodeName(node.name) };
  if (node.type === 'ClassSelector' && key.kind !== 'id')
    return { kind: 'class', name: decodeName(node.name) };
  if (node.type === 'TypeSelector' && key.kind === 'any') {
    const name = localName(node.name);
    if (name !== '*') return { kind: 'type', name };
  }
  return key;
}

function localName(name: string): string {
  return decodeName(name.slice(name.indexOf('|') + 1));
}

/** CSS escapes: a backslash before up to six hexadecimal digits, or before any other character (CSS Syntax 3, 4.3.7). */
function decodeName(name: string): string {
  return name.replace(
    /\\(?:([0-9a-f]{1,6})\s?|(.))/gis,
    (_, hex: string | undefined, plain: string | undefined) =>
      hex === undefined ? plain! : String.fromCodePoint(Math.min(Number.parseInt(hex, 16), 0x10ffff)),
  );
}

function compileSimple(node: CssNode, specificity: [number, number, number]): Test {
  switch (node.type) {
    case 'TypeSelector': {
      const name = localName(node.name);
      if (name === '*') return () => true;
      specificity[2] += 1;
      return (element) => element.tag === name;
    }
    case 'IdSelector': {
      const id = decodeName(node.name);
      specificity[0] += 1;
      return (element) => element.attributes.get('id') === id;
    }
    case 'ClassSelector': {
      const name = decodeName(node.name);
      specificity[1] += 1;
      return (element) => hasWord(element.attributes.get('class'), name);
    }
    case 'AttributeSelector':
      specificity[1] += 1;
      return attributeTest(node);
    case 'PseudoClassSelector':
      return pseudoTest(node, specificity);
    case 'PseudoElementSelector':
      specificity[2] += 1;
      return () => false;
    default:
      throw new UnknownSelector(node.type);
  }
}

function hasWord(list: string | undefined, word: string): boolean {
  return list === undefined ? false : list.split(/\s+/).includes(word);
}

function attributeTest(node: AttributeSelector): Test {
  const name = localName(node.name.name);
  const { matcher, value } = node;
  if (matcher === null || value === null) return (element) => element.attributes.has(name);
  const fold =
    node.flags?.toLowerCase() === 'i' ? (text: string) => text.toLowerCase() : (text: string) => text;
  const wanted = fold(value.type === 'String' ? value.value : value.name);
  const compare = ((): ((actual: string) => boolean) => {
    switch (matcher) {
      case '=':
        return (actual) => actual === wanted;
      case '~=':
        return (actual) => hasWord(actual, wanted);
      case '|=':
        return (actual) => actual === wanted || actual.startsWith(`${wanted}-`);
      case '^=':
        return (actual) => wanted !== '' && actual.startsWith(wanted);
      case '$=':
        return (actual) => wanted !== '' && actual.endsWith(wanted);
      case '*=':
        return (actual) => wanted !== '' && actual.includes(wanted);
      default:
        throw new UnknownSelector(`[${name}${matcher}]`);
    }
  })();
  return (element) => {
    const actual = element.attributes.get(name);
    return actual !== undefined && compare(fold(actual));
  };
}

function pseudoTest(node: PseudoClassSelector, specificity: [number, number, number]): Test {
  const name = node.name.toLowerCase();
  const argument = node.children?.first ?? null;
  if (name === 'not' || name === 'is' || name === 'where') {
    if (argument?.type !== 'SelectorList') throw new UnknownSelector(`:${name}`);
    const inner = argument.children.toArray().map((child) => {
      if (child.type !== 'Selector') throw new UnknownSelector(`:${name}`);
      return compile(child);
    });
    if (name !== 'where') {
      const strongest = inner
        .map((selector) => selector.specificity)
        .sort(compareSpecificity)
        .at(-1);
      strongest?.forEach((count, i) => {
        specificity[i as 0 | 1 | 2] += count;
      });
    }
    const anyMatches: Test = (element) => inner.some((selector) => matchesSelector(selector, element));
    return name === 'not' ? (element) => !anyMatches(element) : anyMatches;
  }
  specificity[1] += 1;
  if (NEVER.has(name)) return () => false;
  switch (name) {
    case 'root':
      return (element) => element.parent === null;
    case 'empty':
      return (element) => element.children.length === 0 && element.text.trim() === '';
    case 'first-child':
      return (element) => element.place === 0;
    case 'last-child':
      return (element) => element.place === siblings(element).length - 1;
    case 'only-child':
      return (element) => siblings(element).length === 1;
    case 'first-of-type':
      return (element) => typePlace(element).position === 1;
    case 'last-of-type':
      return (element) => typePlace(element).position === typePlace(element).count;
    case 'only-of-type':
      return (element) => typePlace(element).count === 1;
    case 'nth-child':
      return nthTest(argument, (element) => element.place + 1);
    case 'nth-last-child':
      return nthTest(argument, (element) => siblings(element).length - element.place);
    case 'nth-of-type':
      return nthTest(argument, (element) => typePlace(element).position);
    case 'link':
    case 'any-link':
      return (element) => element.tag === 'a' && element.attributes.has('href');
    default:
      throw new UnknownSelector(`:${name}`);
  }
}

function siblings(element: SvgElement): readonly SvgElement[] {
  return element.parent?.children ?? [element];
}

/** Position among the siblings of the same tag, from 1, and their number. Counted once for each parent. */
function typePlace(element: SvgElement): { position: number; count: number } {
  const { parent } = element;
  if (!parent) return { position: 1, count: 1 };
  let counted = typeCounts.get(parent);
  if (!counted) {
    const counts = new Map<string, number>();
    const positions = parent.children.map(({ tag }) => {
      const position = (counts.get(tag) ?? 0) + 1;
      counts.set(tag, position);
      return position;
    });
    counted = { counts, positions };
    typeCounts.set(parent, counted);
  }
  return { position: counted.positions[element.place]!, count: counted.counts.get(element.tag)! };
}

const typeCounts = new WeakMap<
  SvgElement,
  { readonly counts: ReadonlyMap<string, number>; readonly positions: readonly number[] }
>();

function nthTest(argument: CssNode | null, position: (element: SvgElement) => number): Test {
  if (argument?.type !== 'Nth' || argument.selector) throw new UnknownSelector(':nth-child with a selector');
  const { step, first } = nthNumbers(argument);
  return (element) => {
    const ahead = position(element) - first;
    return step === 0 ? ahead === 0 : ahead % step === 0 && ahead / step >= 0;
  };
}

function nthNumbers(node: Nth): { step: number; first: number } {
  const { nth } = node;
  if (nth.type === 'Identifier') return nth.name === 'even' ? { step: 2, first: 0 } : { step: 2, first: 1 };
  return { step: Number(nth.a ?? 0), first: Number(nth.b ?? 0) };
}

/** Order of strength, weakest first. */
export function compareSpecificity(
  a: readonly [number, number, number],
  b: readonly [number, number, number],
): number {
  return a[0] - b[0] || a[1] - b[1] || a[2] - b[2];
}

function matchFrom(
  compounds: readonly Compound[],
  i: number,
  element: SvgElement,
  failed: Set<string> | null,
): boolean {
  const compound = compounds[i]!;
  if (!compound.tests.every((test) => test(element))) return false;
  if (i === compounds.length - 1) return true;
  const key = failed ? `${i} ${element.index}` : '';
  if (failed?.has(key)) return false;
  const matches = matchBefore(compounds, i, element, failed);
  if (!matches) failed?.add(key);
  return matches;
}

/** Whether some element that the combinator leads to matches the rest. */
function matchBefore(
  compounds: readonly Compound[],
  i: number,
  element: SvgElement,
  failed: Set<string> | null,
): boolean {
  const matches = (candidate: SvgElement): boolean => matchFrom(compounds, i + 1, candidate, failed);
  switch (compounds[i]!.combinator) {
    case '>':
      return element.parent !== null && matches(element.parent);
    case '+': {
      const before = siblings(element)[element.place - 1];
      return before !== undefined && matches(before);
    }
    case '~':
      return siblings(element).slice(0, element.place).some(matches);
    default: {
      for (let up = element.parent; up; up = up.parent) if (matches(up)) return true;
      return false;
    }
  }
}
