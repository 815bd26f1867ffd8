/**
 * Clips as regions of the plane (CSS Masking 1, section 6): clip paths with their units, rules, transforms and clips of
 * their own, and the edges of viewports. A clip that a shape lies wholly inside leaves its curves as they are.
 */
import {
  type Affine,
  apply,
  type Bounds,
  type Curve,
  compose,
  emptyRegion,
  type FillRule,
  identity,
  intersection,
  polygonCurve,
  type Region,
  regionArea,
  regionBounds,
  regionFromCurves,
  translation,
  union,
} from '@inlaywright/geometry';
import { type Drawing, frameFor, hrefTarget, lengthOf, lookUp, parseUrl, spendVisit } from './drawing.ts';
import { outlineBounds, outlineCurves } from './outline.ts';
import { boundsOfCurves, isApart, isWithin, ringCurve } from './plane.ts';
import { SHAPE_TAGS, shapeOutline } from './shapes.ts';
import { type Style, styleValue } from './style.ts';
import type { SvgElement } from './svg-tree.ts';
import { elementTransform } from './transform.ts';

export interface Clip {
  /** The upright rectangle the clip is, if it is one. */
  readonly box: Bounds | null;
  readonly isPage: boolean;
  /** Computed when first asked for; null when the clip cannot be read and is not applied. */
  region(): Region | null;
}

export interface ClipTarget {
  /** From the user space of the clipped element to the plane. */
  readonly toPlane: Affine;
  readonly viewport: { readonly width: number; readonly height: number };
  /** The clipped element's own box, in its user space. */
  readonly box: () => Bounds | null;
}

export interface Clipped {
  readonly curves: readonly Curve[];
  readonly fillRule: FillRule;
  /** What the clips did to the shape. */
  readonly effect: 'none' | 'trimmed' | 'gone';
  /** Whether the edge of the page did it, rather than a clip of the drawing. */
  readonly byPage: boolean;
}

/** How far, as a share of its size, a shape may stand over the edge of the page without being trimmed: rounding, not design. */
const PAGE_OVERHANG = 0.0005;

/** A boundary that moves less than this, mm, was not cut: two grid steps of the polygon kernel. */
const UNCUT = 2e-6;

export function applyClips(curves: readonly Curve[], fillRule: FillRule, clips: readonly Clip[]): Clipped {
  const bounds = boundsOfCurves(curves);
  const whole: Clipped = { curves, fillRule, effect: 'none', byPage: false };
  let region: Region | null = null;
  let trimmedBy: Clip | null = null;
  for (const clip of clips) {
    if (clip.box && isWithin(bounds, clip.box, slackOf(clip, clip.box))) continue;
    const by = clip.region();
    if (!by) continue;
    if (isApart(bounds, regionBounds(by)))
      return { ...whole, curves: [], effect: 'gone', byPage: clip.isPage };
    const before: Region = region ?? regionFromCurves(curves, fillRule);
    const after = intersection(before, by);
    const around = 2 * (bounds.maxX - bounds.minX + bounds.maxY - bounds.minY);
    const lost = regionArea(before) - regionArea(after);
    region = before;
    if (lost <= UNCUT * around) continue;
    if (regionArea(after) <= UNCUT * around)
      return { ...whole, curves: [], effect: 'gone', byPage: clip.isPage };
    region = after;
    trimmedBy = clip;
  }
  if (!trimmedBy || !region) return whole;
  return {
    curves: region.rings.map(ringCurve),
    fillRule: 'nonzero',
    effect: 'trimmed',
    byPage: trimmedBy.isPage,
  };
}

function slackOf(clip: Clip, box: Bounds): number {
  return clip.isPage ? PAGE_OVERHANG * Math.max(box.maxX - box.minX, box.maxY - box.minY) : UNCUT;
}

/** The edges of a viewport whose corner is the origin of `toPlane`. */
export function clipByRectangle(toPlane: Affine, width: number, height: number, isPage: boolean): Clip {
  const corners = [
    { x: 0, y: 0 },
    { x: width, y: 0 },
    { x: width, y: height },
    { x: 0, y: height },
  ].map((corner) => apply(toPlane, corner));
  const isUpright = (toPlane.b === 0 && toPlane.c === 0) || (toPlane.a === 0 && toPlane.d === 0);
  const curve = polygonCurve(corners);
  return {
    box: isUpright ? boundsOfCurves([curve]) : null,
    isPage,
    region: lazily(() => regionFromCurves([curve], 'nonzero')),
  };
}

/** The clip a clipPath element makes for one element that refers to it. */
export function clipByPath(drawing: Drawing, clipPath: SvgElement, target: ClipTarget): Clip {
  return { box: null, isPage: false, region: lazily(() => knownRegion(drawing, clipPath, target)) };
}

/** Exporters hang the same clip path on every shape of a group: its region is computed once for each place. */
function knownRegion(drawing: Drawing, clipPath: SvgElement, target: ClipTarget): Region | null {
  const dependsOnTarget =
    clipPath.attributes.get('clipPathUnits') === 'objectBoundingBox' ||
    drawing.styles.declared(clipPath).has('clip-path');
  if (dependsOnTarget) return clipRegion(drawing, clipPath, target, []);
  const { a, b, c, d, e, f } = target.toPlane;
  const { width, height } = target.viewport;
  const key = [clipPath.index, a, b, c, d, e, f, width, height].join(' ');
  const known = drawing.clips.get(key);
  if (known !== undefined) return known;
  const region = clipRegion(drawing, clipPath, target, []);
  drawing.clips.set(key, region);
  return region;
}

function lazily<T>(compute: () => T): () => T {
  let known: { value: T } | null = null;
  return () => {
    known ??= { value: compute() };
    return known.value;
  };
}

/** Null when the clip holds only what cannot be read, or refers to itself: then it is not applied. */
function clipRegion(
  drawing: Drawing,
  clipPath: SvgElement,
  target: ClipTarget,
  within: readonly SvgElement[],
): Region | null {
  if (within.includes(clipPath)) {
    drawing.reporter.report('reference-cycle', clipPath);
    return null;
  }
  const stack = [...within, clipPath];
  const style = drawing.styles.inDocument(clipPath);
  const content = contentTarget(drawing, clipPath, style, target);
  if (!content) return emptyRegion;
  const regions: Region[] = [];
  let unread = 0;
  for (const child of clipPath.children) {
    const part = childRegion(drawing, child, style, content, stack);
    if (part) regions.push(part);
    else if (part === null) unread += 1;
  }
  if (regions.length === 0 && unread > 0) return null;
  return clippedFurther(drawing, clipPath, style, union(regions), target, stack);
}

/** Where the clip's content stands: the clipped element's user space, or its box as the unit square. */
function contentTarget(
  drawing: Drawing,
  clipPath: SvgElement,
  style: Style,
  target: ClipTarget,
): ClipTarget | null {
  const toPlane = compose(target.toPlane, plainTransform(drawing, clipPath, style, target.viewport));
  if (clipPath.attributes.get('clipPathUnits') !== 'objectBoundingBox') return { ...target, toPlane };
  const box = target.box();
  if (!box) return null;
  const [width, height] = [box.maxX - box.minX, box.maxY - box.minY];
  if (width === 0 || height === 0) return null;
  const toBox: Affine = { a: width, b: 0, c: 0, d: height, e: box.minX, f: box.minY };
  return { ...target, toPlane: compose(toPlane, toBox), viewport: { width: 1, height: 1 } };
}

/** A chain of use elements longer than this goes round in a circle. */
const MAX_LINKS = 20;

const SILENT_TAGS: ReadonlySet<string> = new Set([
  'title',
  'desc',
  'metadata',
  'style',
  'script',
  'animate',
  'set',
  'animateTransform',
]);

/** Undefined for what leaves no mark on purpose, null for what cannot be read. */
function childRegion(
  drawing: Drawing,
  child: SvgElement,
  parentStyle: Style,
  content: ClipTarget,
  stack: readonly SvgElement[],
): Region | null | undefined {
  if (child.foreign || SILENT_TAGS.has(child.tag)) return undefined;
  spendVisit(drawing, child);
  drawing.settled.add(child);
  const style = drawing.styles.resolve(child, parentStyle);
  if (styleValue(style, 'display') === 'none') return undefined;
  let toPlane = compose(content.toPlane, plainTransform(drawing, child, style, content.viewport));
  let shape = child;
  let shapeStyle = style;
  // SVG lets a use here refer to a shape only; some exporters chain them, and renderers follow.
  for (let links = 0; shape.tag === 'use'; links++) {
    const referred = links < MAX_LINKS ? hrefTarget(drawing, shape) : null;
    if (!referred) return null;
    drawing.settled.add(referred);
    const frame = frameFor(shapeStyle, content.viewport);
    const x = lengthOf(drawing, shape, 'x', 'x', frame) ?? 0;
    const y = lengthOf(drawing, shape, 'y', 'y', frame) ?? 0;
    shapeStyle = drawing.styles.resolve(referred, shapeStyle);
    if (styleValue(shapeStyle, 'display') === 'none') return undefined;
    toPlane = compose(toPlane, translation(x, y));
    toPlane = compose(toPlane, plainTransform(drawing, referred, shapeStyle, content.viewport));
    shape = referred;
  }
  if (!SHAPE_TAGS.has(shape.tag)) {
    drawing.reporter.report('clip-content', child);
    return null;
  }
  if (styleValue(shapeStyle, 'visibility') !== 'visible') return undefined;
  const outline = shapeOutline(drawing, shape, frameFor(shapeStyle, content.viewport));
  const rule = styleValue(shapeStyle, 'clip-rule') as FillRule;
  const region = regionFromCurves(outlineCurves(outline, toPlane), rule);
  const own: ClipTarget = {
    toPlane,
    viewport: content.viewport,
    box: () => outlineBounds(outline, identity),
  };
  const clipped = clippedFurther(drawing, child, style, region, own, stack);
  return shape === child ? clipped : clippedFurther(drawing, shape, shapeStyle, clipped, own, stack);
}

/** The region inside the clip that the element itself asks for, if it asks for one. */
function clippedFurther(
  drawing: Drawing,
  element: SvgElement,
  style: Style,
  region: Region,
  target: ClipTarget,
  stack: readonly SvgElement[],
): Region {
  const value = styleValue(style, 'clip-path');
  if (value === 'none' || value === '') return region;
  const url = parseUrl(value);
  const clipPath = url && lookUp(drawing, element, url.reference);
  if (clipPath?.tag !== 'clipPath') {
    if (!url) drawing.reporter.report('css-shape-ignored', element, value);
    return region;
  }
  const by = clipRegion(drawing, clipPath, target, stack);
  return by ? intersection(region, by) : region;
}

function plainTransform(
  drawing: Drawing,
  element: SvgElement,
  style: Style,
  viewport: { readonly width: number; readonly height: number },
): Affine {
  const attribute = element.attributes.get('transform') ?? null;
  const css = style.own.get('transform') ?? null;
  if (attribute === null && css === null) return identity;
  const origin = style.own.get('transform-origin') ?? null;
  const properties = { css, attribute, origin, translate: null, rotate: null, scale: null };
  const result = elementTransform(properties, { x: 0, y: 0, ...viewport }, frameFor(style, viewport));
  if (!('bad' in result)) return result;
  drawing.reporter.report('bad-transform', element, result.bad);
  return identity;
}
