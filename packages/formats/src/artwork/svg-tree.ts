/**
 * SVG text to a small tree of elements with their places in the file. Strict: malformed XML is an error with line and
 * column, as XML demands. Only plain entities declared in the DOCTYPE are expanded (some drawing programs name their
 * namespaces that way); nested, parameter and external entities are refused, so no document can grow while it is read.
 * Nothing is ever fetched.
 */
import { SaxesParser, type SaxesTagNS } from 'saxes';
import { FormatError } from '../errors.ts';

export const SVG_NAMESPACE = 'http://www.w3.org/2000/svg';
const XLINK_NAMESPACE = 'http://www.w3.org/1999/xlink';
const XML_NAMESPACE = 'http://www.w3.org/XML/1998/namespace';

/** Elements whose character data somebody reads: style sheets, names, and the record of a cut file. */
const TEXT_KEPT = new Set(['style', 'title', 'metadata']);
/** Elements nested deeper than this are refused: the walk recurses, and no drawing needs more. */
export const MAX_DEPTH = 1000;
/** Characters all entity references together may expand to. */
const MAX_ENTITY_TEXT = 1_000_000;
const MAX_ENTITIES = 200;

export interface SvgElement {
  /** Local name; elements outside the SVG namespace carry their namespace in `foreign`. */
  readonly tag: string;
  readonly foreign: boolean;
  /** Attributes without a namespace by name; `href` also from XLink, `xml:lang` by that name. */
  readonly attributes: ReadonlyMap<string, string>;
  readonly parent: SvgElement | null;
  readonly children: readonly SvgElement[];
  /** Position among the parent's children. */
  readonly place: number;
  /** Position in the document, the root being 0. */
  readonly index: number;
  /** Position among the elements of the same tag, from 1. */
  readonly ordinal: number;
  readonly line: number;
  /** Character data directly inside, for the elements of `TEXT_KEPT`; empty elsewhere. */
  readonly text: string;
}

export interface SvgTree {
  readonly root: SvgElement;
  /** In document order. */
  readonly elements: readonly SvgElement[];
  readonly byId: ReadonlyMap<string, SvgElement>;
  /** Addresses of style sheets named by processing instructions. */
  readonly externalStyles: readonly string[];
}

type Growing = { -readonly [K in keyof SvgElement]: SvgElement[K] } & { children: SvgElement[] };

/**
 * @throws FormatError empty-file, compressed-file, malformed-xml, doctype-refused, too-deep, not-svg
 */
export function parseSvgTree(text: string): SvgTree {
  const source = text.charCodeAt(0) === 0xfeff ? text.slice(1) : text;
  refuseNonText(source);

  const parser = new SaxesParser({ xmlns: true, resolvePrefix: undeclaredPrefix });
  const elements: SvgElement[] = [];
  const byId = new Map<string, SvgElement>();
  const counts = new Map<string, number>();
  const externalStyles: string[] = [];
  let root: Growing | null = null;
  let open: Growing | null = null;
  let depth = 0;
  let startLine = 1;

  parser.on('error', (error) => {
    throw malformed(error, parser.line, parser.column);
  });
  // Handlers only where they can be called: with more than six of them V8 turns the parser object into a hash table,
  // and it reads a character in 25 ns instead of 3.
  if (source.includes('<!DOCTYPE')) {
    parser.on('doctype', (doctype) => {
      for (const [name, value] of plainEntities(doctype, source)) parser.ENTITIES[name] = value;
    });
  }
  if (source.includes('<?xml-stylesheet')) {
    parser.on('processinginstruction', ({ target, body }) => {
      const href = /\bhref\s*=\s*["']([^"']*)["']/.exec(body)?.[1];
      if (target === 'xml-stylesheet' && href !== undefined) externalStyles.push(href);
    });
  }
  parser.on('opentagstart', () => {
    startLine = parser.line;
  });
  parser.on('opentag', (tag) => {
    depth += 1;
    if (depth > MAX_DEPTH) {
      throw tooDeep(startLine);
    }
    const parent = open;
    const element = toElement(tag, parent, elements.length, counts, startLine);
    elements.push(element);
    parent?.children.push(element);
    const id = element.attributes.get('id');
    if (id !== undefined && !byId.has(id)) byId.set(id, element);
    root ??= element;
    open = element;
  });
  const addText = (chunk: string): void => {
    if (open && TEXT_KEPT.has(open.tag)) open.text += chunk;
  };
  parser.on('text', addText);
  if (source.includes('<![CDATA[')) parser.on('cdata', addText);
  parser.on('closetag', () => {
    depth -= 1;
    open = (open?.parent ?? null) as Growing | null;
  });
  parser.write(source).close();

  return { root: checkRoot(root), elements, byId, externalStyles };
}

function toElement(
  tag: SaxesTagNS,
  parent: Growing | null,
  index: number,
  counts: Map<string, number>,
  line: number,
): Growing {
  // A file without any namespace is read as if it declared the one of SVG.
  const foreign = tag.uri !== SVG_NAMESPACE && tag.uri !== '';
  const attributes = new Map<string, string>();
  for (const attribute of Object.values(tag.attributes)) {
    const { uri, local, value } = attribute;
    if (uri === '') attributes.set(local, value);
    else if (uri === XLINK_NAMESPACE && local === 'href' && !attributes.has('href'))
      attributes.set('href', value);
    else if (uri === XML_NAMESPACE) attributes.set(`xml:${local}`, value);
  }
  const plainHref = tag.attributes.href?.value;
  if (plainHref !== undefined) attributes.set('href', plainHref);
  const ordinal = (counts.get(tag.local) ?? 0) + 1;
  counts.set(tag.local, ordinal);
  const place = parent?.children.length ?? 0;
  return { tag: tag.local, foreign, attributes, parent, children: [], place, index, ordinal, line, text: '' };
}

function checkRoot(root: SvgElement | null): SvgElement {
  if (root && root.tag === 'svg' && !root.foreign) return root;
  const found = root ? `The outermost element is <${root.tag}>` : 'There is no element';
  throw new FormatError('not-svg', `${found}, not <svg>: this is not an SVG drawing.`, {
    where: root ? `line ${root.line}` : 'the whole file',
    hint: 'Export the drawing as SVG and open that file.',
  });
}

function refuseNonText(source: string): void {
  if (source.trim() === '') {
    throw new FormatError('empty-file', 'The file is empty.', {
      where: 'the whole file',
      hint: 'Export the drawing again; the last export may have failed.',
    });
  }
  if (source.startsWith('\u001f')) {
    throw new FormatError('compressed-file', 'The file is a compressed SVG (svgz), not text.', {
      where: 'the first bytes',
      hint: 'Unpack it with gzip, or export the drawing as plain SVG.',
    });
  }
}

export function tooDeep(line: number): FormatError {
  return new FormatError('too-deep', `Elements are nested more than ${MAX_DEPTH} deep.`, {
    where: `line ${line}`,
    hint: 'Ungroup the drawing and export it again.',
  });
}

/** Prefixes used without a declaration: XLink is meant by its usual prefix, any other is nobody's namespace. */
function undeclaredPrefix(prefix: string): string | undefined {
  if (prefix === '') return undefined;
  return prefix === 'xlink' ? XLINK_NAMESPACE : `undeclared:${prefix}`;
}

function malformed(error: Error, line: number, column: number): FormatError {
  const reason = error.message.replace(/^(?:[^:]*:)?\d+:\d+:\s*/, '').replace(/\.$/, '');
  return new FormatError('malformed-xml', `The file is not well-formed XML: ${reason}.`, {
    where: `line ${line}, column ${Math.max(1, column)}`,
    hint: 'Correct that place in a text editor, or export the drawing again: a file cut short looks like this.',
  });
}

/** The entities a DOCTYPE declares, all of them plain text. */
function plainEntities(doctype: string, source: string): [string, string][] {
  const refuse = (what: string): FormatError =>
    new FormatError(
      'doctype-refused',
      `The DOCTYPE declares ${what}, which is not read: it could grow without bound or fetch files.`,
      {
        where: 'the DOCTYPE at the head of the file',
        hint: 'Export the drawing as plain SVG, or delete the DOCTYPE in a text editor.',
      },
    );
  const entities: [string, string][] = [];
  let expanded = 0;
  for (const match of doctype.matchAll(
    /<!ENTITY\s+(%\s*)?([^\s"'>]*)\s*([^>"']*)(?:"([^"]*)"|'([^']*)')?/g,
  )) {
    const [, percent, name = '', external = '', double, single] = match;
    const value = double ?? single ?? '';
    if (percent !== undefined) throw refuse(`the parameter entity "${name}"`);
    if (external.trim() !== '') throw refuse(`the external entity "${name}"`);
    if (/[&<%]/.test(value)) throw refuse(`the nested entity "${name}"`);
    if (entities.length === MAX_ENTITIES) throw refuse(`more than ${MAX_ENTITIES} entities`);
    const uses = source.split(`&${name};`).length - 1;
    expanded += uses * value.length;
    if (expanded > MAX_ENTITY_TEXT) throw refuse(`the entity "${name}", used ${uses} times,`);
    entities.push([name, value]);
  }
  return entities;
}

/** How a message names an element: by its id if it has one, otherwise by counting, and by its line. */
export function elementLabel(element: SvgElement): string {
  const id = element.attributes.get('id');
  const name = id === undefined || id === '' ? String(element.ordinal) : `"${id}"`;
  return `${element.tag} ${name} (line ${element.line})`;
}
