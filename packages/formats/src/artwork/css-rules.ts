/** Style sheets to rules, ready to be asked which of them apply to an element. Parsing by css-tree, as CSS Syntax 3 says. */
import type { Atrule, Block, CssNode, Rule } from 'css-tree';
import generate from 'css-tree/generator';
import parse from 'css-tree/parser';
import {
  type CompiledSelector,
  compareSpecificity,
  compileSelector,
  matchesSelector,
} from './css-selector.ts';
import type { SvgElement } from './svg-tree.ts';

export interface Declaration {
  readonly property: string;
  readonly value: string;
  readonly important: boolean;
}

interface StyleRule {
  readonly selector: CompiledSelector;
  readonly declarations: readonly Declaration[];
  readonly order: number;
}

/** A part of a style sheet that is not read. */
export interface CssTrouble {
  readonly kind: 'not-understood' | 'external' | 'not-applied';
  readonly text: string;
}

export interface StyleSheet {
  readonly troubles: readonly CssTrouble[];
  /** The declarations that apply to the element, weakest first. */
  declarationsFor(element: SvgElement): readonly Declaration[];
}

/** One sheet from the texts in document order. */
export function parseStyleSheet(texts: readonly string[]): StyleSheet {
  const rules: StyleRule[] = [];
  const troubles: CssTrouble[] = [];
  for (const text of texts) collectSheet(text, rules, troubles);
  const byKey = new Map<string, StyleRule[]>();
  for (const rule of rules) {
    const key = `${rule.selector.key.kind} ${rule.selector.key.name}`;
    const list = byKey.get(key);
    if (list) list.push(rule);
    else byKey.set(key, [rule]);
  }
  return {
    troubles,
    declarationsFor: (element) => {
      if (rules.length === 0) return [];
      const { attributes } = element;
      const keys = ['any ', `type ${element.tag}`, `id ${attributes.get('id')}`];
      for (const name of new Set(attributes.get('class')?.split(/\s+/))) keys.push(`class ${name}`);
      return keys
        .flatMap((key) => byKey.get(key) ?? [])
        .filter((rule) => matchesSelector(rule.selector, element))
        .sort(
          (a, b) => compareSpecificity(a.selector.specificity, b.selector.specificity) || a.order - b.order,
        )
        .flatMap((rule) => rule.declarations);
    },
  };
}

export interface StyleAttribute {
  readonly declarations: readonly Declaration[];
  readonly troubles: readonly CssTrouble[];
}

/** The declarations of a style attribute, and what is wrong with it. */
export function parseStyleAttribute(text: string): StyleAttribute {
  const troubles: CssTrouble[] = [];
  const list = parse(text, {
    context: 'declarationList',
    parseValue: false,
    onParseError: (error) => troubles.push({ kind: 'not-understood', text: clip(error.message) }),
  });
  return {
    declarations: list.type === 'DeclarationList' ? declarations(list.children.toArray()) : [],
    troubles,
  };
}

function collectSheet(text: string, rules: StyleRule[], troubles: CssTrouble[]): void {
  const sheet = parse(text, {
    parseValue: false,
    parseAtrulePrelude: false,
    onParseError: (error) => troubles.push({ kind: 'not-understood', text: clip(error.message) }),
  });
  if (sheet.type === 'StyleSheet') collectRules(sheet.children.toArray(), rules, troubles);
}

function collectRules(nodes: readonly CssNode[], rules: StyleRule[], troubles: CssTrouble[]): void {
  for (const node of nodes) {
    if (node.type === 'Rule') collectRule(node, rules, troubles);
    else if (node.type === 'Atrule') collectAtRule(node, rules, troubles);
  }
}

function collectRule(node: Rule, rules: StyleRule[], troubles: CssTrouble[]): void {
  if (node.prelude.type !== 'SelectorList') {
    troubles.push({ kind: 'not-understood', text: clip(generate(node.prelude)) });
    return;
  }
  const body = declarations(node.block.children.toArray());
  for (const child of node.block.children.toArray()) {
    if (child.type === 'Rule' || child.type === 'Atrule') {
      troubles.push({ kind: 'not-understood', text: `rules nested in ${clip(generate(node.prelude))}` });
    }
  }
  for (const child of node.prelude.children.toArray()) {
    if (child.type !== 'Selector') continue;
    const selector = compileSelector(child);
    if ('unknown' in selector) {
      troubles.push({
        kind: 'not-understood',
        text: `selector ${clip(generate(child))} (${selector.unknown})`,
      });
    } else rules.push({ selector, declarations: body, order: rules.length });
  }
}

const HARMLESS_AT_RULES: ReadonlySet<string> = new Set([
  'charset',
  'namespace',
  'font-face',
  'page',
  'property',
]);

function collectAtRule(node: Atrule, rules: StyleRule[], troubles: CssTrouble[]): void {
  const name = node.name.toLowerCase();
  const prelude = node.prelude ? generate(node.prelude) : '';
  if (name === 'import') {
    troubles.push({ kind: 'external', text: prelude.replace(/^url\(["']?|["']?\).*$|^["']|["'].*$/g, '') });
  } else if (name === 'media') {
    if (mediaApplies(prelude)) collectBlock(node.block, rules, troubles);
    else troubles.push({ kind: 'not-applied', text: `@media ${clip(prelude)}` });
  } else if (name === 'layer' || name === 'supports') {
    collectBlock(node.block, rules, troubles);
    troubles.push({
      kind: 'not-understood',
      text: `@${name} ${clip(prelude)}: its rules are read as if it were not there`,
    });
  } else if (name === 'keyframes' || name.endsWith('-keyframes')) {
    troubles.push({ kind: 'not-applied', text: `@${name} ${clip(prelude)}` });
  } else if (!HARMLESS_AT_RULES.has(name)) {
    troubles.push({ kind: 'not-understood', text: `@${name} ${clip(prelude)}` });
  }
}

function collectBlock(block: Block | null, rules: StyleRule[], troubles: CssTrouble[]): void {
  if (block) collectRules(block.children.toArray(), rules, troubles);
}

/** A drawing is read as a still picture on a light screen of unknown size. */
export function mediaApplies(query: string): boolean {
  return query
    .toLowerCase()
    .split(',')
    .some((part) =>
      /^(?:only\s+)?(?:|all|screen|(?:(?:screen|all)\s+and\s+)?\(\s*prefers-color-scheme\s*:\s*light\s*\))$/.test(
        part.trim(),
      ),
    );
}

function declarations(nodes: readonly CssNode[]): Declaration[] {
  const result: Declaration[] = [];
  for (const node of nodes) {
    if (node.type !== 'Declaration') continue;
    const property = node.property.startsWith('--') ? node.property : node.property.toLowerCase();
    const value = generate(node.value).trim();
    result.push({ property, value, important: node.important !== false });
  }
  return result;
}

function clip(text: string): string {
  const line = text.replace(/\s+/g, ' ').trim();
  return line.length > 60 ? `${line.slice(0, 57)}...` : line;
}
