/**
 * The walk down the drawing, as a renderer takes it (SVG 2, chapters 3, 5 and 8): groups, switches, references, nested
 * viewports, transforms, opacity and clips. Every shape met is handed to a sink with all that bears on it; what cannot be
 * drawn is reported.
 */
import {
  type Affine,
  type Bounds,
  compose,
  identity,
  type Point,
  scaling,
  translation,
} from '@inlaywright/geometry';
import { type Clip, clipByPath, clipByRectangle } from './clip.ts';
import { type Drawing, frameFor, hrefTarget, lengthOf, lookUp, parseUrl, spendVisit } from './drawing.ts';
import type { LengthFrame } from './length.ts';
import { parseShare } from './length.ts';
import { outlineBounds, type Subpath } from './outline.ts';
import { SHAPE_TAGS, shapeOutline } from './shapes.ts';
import { ROOT_STYLE, type Style, styleValue } from './style.ts';
import { MAX_DEPTH, type SvgElement, tooDeep } from './svg-tree.ts';
import { elementTransform, type ReferenceBox } from './transform.ts';
import { type PageSize, parseAspectRatio, parseViewBox, type ViewBox, viewBoxTransform } from './viewport.ts';
import type { Reporter } from './warnings.ts';

/** All that bears on an element from above. */
export interface Place {
  /** From the element's user space to the plane. */
  readonly toPlane: Affine;
  /** Size of the nearest viewport in its own units, which percentages refer to. */
  readonly viewport: { readonly width: number; readonly height: number };
  /** Of the parent while an element is visited, of the element itself once it is entered. */
  readonly style: Style;
  readonly clips: readonly Clip[];
  readonly alpha: number;
  /** The references followed to get here, outermost first. */
  readonly uses: readonly SvgElement[];
  /** Elements this one lies within, references followed. */
  readonly depth: number;
}

export interface Sink {
  shape(element: SvgElement, place: Place, outline: readonly Subpath[]): void;
}

interface Walk {
  readonly drawing: Drawing;
  readonly sink: Sink;
}

/** References deep inside references; a cycle is found before, this bounds the recursion of honest ones. */
const MAX_USES = 100;

const UNDRAWN_TAGS: ReadonlySet<string> = new Set(
  (
    'defs symbol clipPath mask marker pattern linearGradient radialGradient filter title desc metadata style script ' +
    'animate animateTransform animateMotion animateColor set mpath discard view cursor font font-face glyph ' +
    'missing-glyph hkern vkern color-profile hatch mesh meshgradient solidcolor stop link'
  ).split(' '),
);

const PIXEL_TAGS: ReadonlySet<string> = new Set(['image', 'video', 'canvas', 'audio']);

/** Draws the whole document. `pageMap` leads from px of the page to the plane; the viewBox applies here. */
export function walkDrawing(
  drawing: Drawing,
  sink: Sink,
  page: PageSize,
  pageMap: Affine,
  viewBox: ViewBox | null,
): void {
  const walk = { drawing, sink };
  const { root } = drawing.tree;
  const { width, height, widthMm, heightMm } = page;
  const place: Place = {
    toPlane: pageMap,
    viewport: { width, height },
    style: ROOT_STYLE,
    clips: [],
    alpha: 1,
    uses: [],
    depth: 0,
  };
  const prepared = prepare(walk, root, place);
  if (!prepared) return;
  // Only what is said at the root itself keeps the page from trimming; nested viewports trim by default.
  const trims = !/^(?:visible|auto)$/.test(drawing.styles.declared(root).get('overflow') ?? '');
  // A page of 40 mm with a viewBox of 40 is then a scale of exactly 1, not 40 px at 25.4 / 96 of 151.18.
  const fromMm = scaling(width / widthMm, height / heightMm);
  const isPlain = isSameMap(prepared.toPlane, pageMap);
  const toPlane = isPlain ? { ...pageMap, a: 1, d: -1 } : compose(prepared.toPlane, fromMm);
  const box = {
    corner: { x: 0, y: 0 },
    width: widthMm,
    height: heightMm,
    viewBox: viewBox ?? { x: 0, y: 0, width, height },
  };
  enterViewport(walk, root, { ...prepared, toPlane }, box, trims, true);
}

function isSameMap(m: Affine, n: Affine): boolean {
  return m.a === n.a && m.b === n.b && m.c === n.c && m.d === n.d && m.e === n.e && m.f === n.f;
}

/** The box around what an element draws, in its own user space, strokes and clips not counted (SVG 2, 8.11). */
export function fillBox(drawing: Drawing, element: SvgElement, place: Place): Bounds | null {
  const boxes: Bounds[] = [];
  const mute: Reporter = { report: () => {}, warnings: () => [] };
  const sink: Sink = {
    shape: (_shape, at, outline) => {
      const box = outlineBounds(outline, at.toPlane);
      if (box) boxes.push(box);
    },
  };
  const quiet: Drawing = { ...drawing, reporter: mute, settled: new Set() };
  enter({ drawing: quiet, sink }, element, { ...place, toPlane: identity, clips: [] });
  return boxes.length === 0 ? null : boxes.reduce(join);
}

function join(a: Bounds, b: Bounds): Bounds {
  return {
    minX: Math.min(a.minX, b.minX),
    minY: Math.min(a.minY, b.minY),
    maxX: Math.max(a.maxX, b.maxX),
    maxY: Math.max(a.maxY, b.maxY),
  };
}

function visit(walk: Walk, element: SvgElement, place: Place): void {
  const { drawing } = walk;
  spendVisit(drawing, element);
  if (place.depth > MAX_DEPTH) throw tooDeep(element.line);
  if (element.foreign || UNDRAWN_TAGS.has(element.tag)) return;
  if (!isKnown(element.tag)) {
    drawing.reporter.report('unknown-element', element);
    return;
  }
  if (!conditionsHold(element)) {
    drawing.reporter.report('invisible', element, 'for another language or viewer');
    return;
  }
  const prepared = prepare(walk, element, place);
  if (prepared) enter(walk, element, prepared);
}

function isKnown(tag: string): boolean {
  return (
    SHAPE_TAGS.has(tag) || PIXEL_TAGS.has(tag) || /^(?:g|a|svg|switch|use|text|foreignObject)$/.test(tag)
  );
}

/** Applies the element's own style, transform and clip; null when nothing of it can be seen. */
function prepare(walk: Walk, element: SvgElement, place: Place): Place | null {
  const { drawing } = walk;
  const { reporter } = drawing;
  const style = drawing.styles.resolve(element, place.style);
  if (styleValue(style, 'display') === 'none') {
    reporter.report('invisible', element, 'display: none');
    return null;
  }
  const alpha = place.alpha * (parseShare(styleValue(style, 'opacity')) ?? 1);
  if (alpha === 0) {
    reporter.report('invisible', element, 'opacity 0');
    return null;
  }
  const plain: Place = { ...place, style, alpha };
  const toPlane = compose(place.toPlane, ownTransform(drawing, element, plain));
  const det = toPlane.a * toPlane.d - toPlane.b * toPlane.c;
  if (det === 0 || !Number.isFinite(det)) {
    reporter.report('collapsed', element, 'its transform');
    return null;
  }
  reportEffects(drawing, element, style);
  const placed: Place = { ...plain, toPlane };
  const clip = ownClip(drawing, element, placed);
  return clip ? { ...placed, clips: [...place.clips, clip] } : placed;
}

function ownTransform(drawing: Drawing, element: SvgElement, place: Place): Affine {
  const { style, viewport } = place;
  const attribute = element.attributes.get('transform') ?? null;
  const own = (name: string): string | null => {
    const value = style.own.get(name);
    return value === undefined || value === '' || value === 'none' ? null : value;
  };
  const css = style.own.get('transform') ?? null;
  const properties = {
    css,
    attribute,
    origin: own('transform-origin'),
    translate: own('translate'),
    rotate: own('rotate'),
    scale: own('scale'),
  };
  const isPlain = css === null && !properties.translate && !properties.rotate && !properties.scale;
  if (isPlain && attribute === null) return identity;
  const frame = frameFor(style, viewport);
  const result = elementTransform(properties, referenceBox(drawing, element, place), frame);
  if (!('bad' in result)) return result;
  drawing.reporter.report('bad-transform', element, result.bad);
  return identity;
}

function referenceBox(drawing: Drawing, element: SvgElement, place: Place): ReferenceBox {
  const kind = styleValue(place.style, 'transform-box');
  if (kind !== 'fill-box' && kind !== 'content-box' && kind !== 'stroke-box' && kind !== 'border-box') {
    return { x: 0, y: 0, ...place.viewport };
  }
  const box = fillBox(drawing, element, place);
  if (!box) return { x: 0, y: 0, width: 0, height: 0 };
  return { x: box.minX, y: box.minY, width: box.maxX - box.minX, height: box.maxY - box.minY };
}

function reportEffects(drawing: Drawing, element: SvgElement, style: Style): void {
  const { reporter } = drawing;
  const mask = styleValue(style, 'mask');
  if (mask !== 'none' && mask !== '') reporter.report('mask-ignored', element);
  const filter = styleValue(style, 'filter');
  if (filter !== 'none' && filter !== '') reporter.report('filter-ignored', element);
  if (styleValue(style, 'mix-blend-mode') !== 'normal') reporter.report('blend-mode-ignored', element);
}

function ownClip(drawing: Drawing, element: SvgElement, place: Place): Clip | null {
  const value = styleValue(place.style, 'clip-path');
  if (value === 'none' || value === '') return null;
  const url = parseUrl(value);
  if (!url) {
    drawing.reporter.report('css-shape-ignored', element, value);
    return null;
  }
  const target = lookUp(drawing, element, url.reference);
  if (!target) return null;
  if (target.tag !== 'clipPath') {
    drawing.reporter.report(
      'missing-reference',
      element,
      `${url.reference} is a ${target.tag}, not a clipPath`,
    );
    return null;
  }
  return clipByPath(drawing, target, {
    toPlane: place.toPlane,
    viewport: place.viewport,
    box: () => fillBox(drawing, element, place),
  });
}

function conditionsHold(element: SvgElement): boolean {
  if (element.attributes.get('requiredExtensions')?.trim()) return false;
  const languages = element.attributes.get('systemLanguage');
  if (languages === undefined) return true;
  return languages.split(',').some((tag) => /^en(?:-|$)/i.test(tag.trim()));
}

function enter(walk: Walk, element: SvgElement, place: Place): void {
  const { drawing, sink } = walk;
  const { reporter } = drawing;
  const { tag } = element;
  if (SHAPE_TAGS.has(tag)) {
    sink.shape(element, place, shapeOutline(drawing, element, frameFor(place.style, place.viewport)));
  } else if (tag === 'g' || tag === 'a') {
    visitChildren(walk, element, place);
  } else if (tag === 'switch') {
    const chosen = element.children.find(
      (child) => !child.foreign && isKnown(child.tag) && conditionsHold(child),
    );
    if (chosen) visit(walk, chosen, { ...place, depth: place.depth + 1 });
  } else if (tag === 'svg') {
    enterNested(walk, element, place, {});
  } else if (tag === 'symbol') {
    enterNested(walk, element, place, {});
  } else if (tag === 'use') {
    enterUse(walk, element, place);
  } else if (styleValue(place.style, 'visibility') !== 'visible') {
    reporter.report('invisible', element, 'visibility');
  } else if (tag === 'text') {
    reporter.report('text-not-outlined', element);
  } else if (PIXEL_TAGS.has(tag)) {
    reporter.report('image-not-outline', element);
    const href = element.attributes.get('href');
    if (href !== undefined && !/^\s*(?:data:|#)/i.test(href))
      reporter.report('external-reference', element, href.slice(0, 60));
  } else if (tag === 'foreignObject') {
    reporter.report('foreign-content', element);
  }
}

function visitChildren(walk: Walk, element: SvgElement, place: Place): void {
  const below = { ...place, depth: place.depth + 1 };
  for (const child of element.children) visit(walk, child, below);
}

function enterUse(walk: Walk, element: SvgElement, place: Place): void {
  const { drawing } = walk;
  const target = hrefTarget(drawing, element);
  if (!target) return;
  if (place.uses.includes(element) || isInside(element, target) || place.uses.length >= MAX_USES) {
    drawing.reporter.report('reference-cycle', element);
    return;
  }
  drawing.settled.add(element);
  const frame = frameFor(place.style, place.viewport);
  const x = lengthOf(drawing, element, 'x', 'x', frame) ?? 0;
  const y = lengthOf(drawing, element, 'y', 'y', frame) ?? 0;
  const inner: Place = {
    ...place,
    toPlane: compose(place.toPlane, translation(x, y)),
    uses: [...place.uses, element],
    depth: place.depth + 1,
  };
  if (target.tag === 'symbol' || (target.tag === 'svg' && !target.foreign)) {
    const size = {
      width: lengthOf(drawing, element, 'width', 'x', frame, null),
      height: lengthOf(drawing, element, 'height', 'y', frame, null),
    };
    const prepared = prepare(walk, target, inner);
    if (prepared) enterNested(walk, target, prepared, size);
  } else if (target.foreign || UNDRAWN_TAGS.has(target.tag) || !isKnown(target.tag)) {
    drawing.reporter.report(
      'missing-reference',
      element,
      `its target is a ${target.tag}, which is not drawn`,
    );
  } else visit(walk, target, inner);
}

function isInside(element: SvgElement, ancestor: SvgElement): boolean {
  for (let at: SvgElement | null = element; at; at = at.parent) if (at === ancestor) return true;
  return false;
}

/** A nested svg or a symbol; a referencing element may set its size. */
function enterNested(
  walk: Walk,
  element: SvgElement,
  place: Place,
  given: { readonly width?: number | null; readonly height?: number | null },
): void {
  const { drawing } = walk;
  const frame: LengthFrame = frameFor(place.style, place.viewport);
  const isSymbol = element.tag === 'symbol';
  const own = (name: 'width' | 'height', axis: 'x' | 'y'): number =>
    given[name] ??
    lengthOf(drawing, element, name, axis, frame, place.viewport[name]) ??
    place.viewport[name];
  const corner: Point = {
    x: isSymbol ? 0 : (lengthOf(drawing, element, 'x', 'x', frame) ?? 0),
    y: isSymbol ? 0 : (lengthOf(drawing, element, 'y', 'y', frame) ?? 0),
  };
  const text = element.attributes.get('viewBox');
  const viewBox = text === undefined ? null : parseViewBox(text);
  if (text !== undefined && !viewBox) drawing.reporter.report('bad-number', element, `viewBox="${text}"`);
  const trims = !/^(?:visible|auto)$/.test(styleValue(place.style, 'overflow'));
  enterViewport(
    walk,
    element,
    place,
    { corner, width: own('width', 'x'), height: own('height', 'y'), viewBox },
    trims,
    false,
  );
}

function enterViewport(
  walk: Walk,
  element: SvgElement,
  place: Place,
  box: {
    readonly corner: Point;
    readonly width: number;
    readonly height: number;
    readonly viewBox: ViewBox | null;
  },
  trims: boolean,
  isPage: boolean,
): void {
  const { corner, width, height, viewBox } = box;
  const size = viewBox ?? { width, height };
  if (!(width > 0 && height > 0 && size.width > 0 && size.height > 0)) {
    walk.drawing.reporter.report('collapsed', element, 'its size or viewBox');
    return;
  }
  const toCorner = compose(place.toPlane, translation(corner.x, corner.y));
  const ratio = parseAspectRatio(element.attributes.get('preserveAspectRatio'));
  const toPlane = viewBox ? compose(toCorner, viewBoxTransform(viewBox, ratio, width, height)) : toCorner;
  const clips = trims ? [...place.clips, clipByRectangle(toCorner, width, height, isPage)] : place.clips;
  visitChildren(walk, element, {
    ...place,
    toPlane,
    clips,
    viewport: { width: size.width, height: size.height },
  });
}
