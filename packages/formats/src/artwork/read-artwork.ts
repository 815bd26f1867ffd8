/**
 * An SVG drawing to areas with fills. The drawing's frame (px at 96 to the inch, y down, corner at the origin) becomes
 * the model's: mm, y up, the origin in the middle of the page. The one flip happens in `pageMap`.
 */
import {
  type Affine,
  apply,
  type Curve,
  type FillRule,
  regionArea,
  regionFromCurves,
  signedArea,
} from '@inlaywright/geometry';
import { FormatError } from '../errors.ts';
import type { Artwork, ArtworkArea, ArtworkFill, ArtworkOptions } from './artwork.ts';
import { applyClips } from './clip.ts';
import type { Drawing } from './drawing.ts';
import { parseShare } from './length.ts';
import { outlineCurves, type Subpath } from './outline.ts';
import { type Paint, resolvePaint } from './paint.ts';
import { boundsOfCurves } from './plane.ts';
import { SHAPE_TAGS } from './shapes.ts';
import { outlineStroke, visibleStroke } from './stroke-style.ts';
import { readStyles, styleValue } from './style.ts';
import { parseSvgTree, type SvgElement } from './svg-tree.ts';
import { type PageSize, pageSize, parseViewBox, type ViewBox } from './viewport.ts';
import { fillBox, type Place, walkDrawing } from './walk.ts';
import { createReporter, elementPlace } from './warnings.ts';

/** Elements drawn at most beyond those the file holds: what references may add. */
const MAX_REPEATED = 200_000;

/** No coordinate may lie further out, mm: the polygon kernel's own limit. */
const MAX_REACH = 1e6;

/** An outline whose ends lie no further apart counts as closed, mm: coordinates in files are rounded. */
const CLOSED_WITHIN_MM = 0.01;

/**
 * Reads any SVG file: the areas its fills cover, bottom to top, with every fill a candidate for a tone. Nothing is
 * dropped silently: each element that could be drawn ends in an area or in a warning that names it.
 * Needs the polygon kernel (`openKernel`) where something is clipped, trimmed or stroked.
 * @throws FormatError bad-width, empty-file, compressed-file, malformed-xml, doctype-refused, too-deep, not-svg,
 *   no-size, too-many-shapes; GeometryError kernel-closed
 */
export function readArtwork(svgText: string, options: ArtworkOptions = {}): Artwork {
  const { widthMm } = options;
  if (widthMm !== undefined && !(widthMm > 0 && widthMm < MAX_REACH)) {
    throw new FormatError('bad-width', `A width of ${widthMm} mm is not possible.`, {
      where: 'the width asked for',
      hint: 'Give a width above 0 mm.',
    });
  }
  const reporter = createReporter();
  const tree = parseSvgTree(svgText);
  const drawing: Drawing = {
    tree,
    styles: readStyles(tree, reporter),
    reporter,
    settled: new Set(),
    budget: { left: tree.elements.length + MAX_REPEATED },
    clips: new Map(),
  };
  const { page, viewBox } = findPage(drawing, widthMm);
  const canvas = createCanvas(drawing, options.strokes ?? false, pageMap(page));
  walkDrawing(drawing, canvas, page, pageMap(page), viewBox);
  const { areas, fills } = canvas.result();
  reportLeftovers(drawing);
  if (areas.length === 0) reporter.report('no-areas', null);
  return {
    viewport: { widthMm: page.widthMm, heightMm: page.heightMm },
    fills,
    areas,
    warnings: reporter.warnings(),
  };
}

/** From px, y down, to mm, y up, the middle of the page becoming the origin. */
function pageMap(page: PageSize): Affine {
  const k = page.widthMm / page.width;
  return { a: k, b: 0, c: 0, d: -k, e: -page.widthMm / 2, f: page.heightMm / 2 };
}

function findPage(
  drawing: Drawing,
  widthMm: number | undefined,
): { page: PageSize; viewBox: ViewBox | null } {
  const { root } = drawing.tree;
  const { reporter } = drawing;
  const text = root.attributes.get('viewBox');
  let viewBox = text === undefined ? null : parseViewBox(text);
  if (text !== undefined && (!viewBox || viewBox.width === 0 || viewBox.height === 0)) {
    reporter.report('bad-number', root, `viewBox="${text}"`);
    viewBox = null;
  }
  const declared = drawing.styles.declared(root);
  const attributes = { width: declared.get('width'), height: declared.get('height') };
  const content = (): ViewBox | null => contentBox(drawing);
  const page = pageSize(attributes, viewBox, content, widthMm);
  if (!page) {
    throw new FormatError(
      'no-size',
      'The drawing has no size: no width and height, no viewBox, and nothing drawn to measure.',
      {
        where: `the svg element, line ${root.line}`,
        hint: 'Give the svg element a width and a height in mm.',
      },
    );
  }
  // Without any size the page is the box around the content, wherever that stands.
  const hasSize = attributes.width !== undefined && attributes.height !== undefined;
  if (!viewBox && !hasSize) viewBox = content();
  if (page.approximate) reporter.report('relative-unit', root, 'its width or height');
  if (!page.stated) reporter.report('size-assumed', root, sizeText(page));
  return { page, viewBox };
}

function sizeText(page: PageSize): string {
  return `${round(page.widthMm)} x ${round(page.heightMm)} mm`;
}

function round(mm: number): number {
  return Math.round(mm * 100) / 100;
}

function contentBox(drawing: Drawing): ViewBox | null {
  const { root } = drawing.tree;
  const place: Place = {
    toPlane: { a: 1, b: 0, c: 0, d: 1, e: 0, f: 0 },
    viewport: { width: 100, height: 100 },
    style: drawing.styles.inDocument(root),
    clips: [],
    alpha: 1,
    uses: [],
    depth: 0,
  };
  const box = fillBox(drawing, root, place);
  if (!box) return null;
  return { x: box.minX, y: box.minY, width: box.maxX - box.minX, height: box.maxY - box.minY };
}

interface Canvas {
  shape(element: SvgElement, place: Place, outline: readonly Subpath[]): void;
  result(): { areas: ArtworkArea[]; fills: ArtworkFill[] };
}

/** Collects the areas in painting order. */
function createCanvas(drawing: Drawing, strokes: boolean, page: Affine): Canvas {
  const { reporter } = drawing;
  const areas: ArtworkArea[] = [];
  const fills = new Map<string, ArtworkFill>();
  const usedIds = new Map<string, number>();
  const usedTones = new Map<string, number>();

  const add = (
    element: SvgElement,
    place: Place,
    paint: Paint,
    part: 'fill' | 'stroke',
    curves: readonly Curve[],
    fillRule: FillRule,
  ): void => {
    const bounds = boundsOfCurves(curves);
    if (!(Math.max(-bounds.minX, -bounds.minY, bounds.maxX, bounds.maxY) < MAX_REACH)) {
      reporter.report('too-far', element);
      return;
    }
    const clipped = applyClips(curves, fillRule, place.clips);
    if (clipped.effect === 'gone') {
      reporter.report(clipped.byPage ? 'outside-page' : 'clipped-away', element);
      return;
    }
    if (clipped.effect === 'trimmed' && clipped.byPage) reporter.report('trimmed-at-page', element);
    const opacity = place.alpha * paint.alpha;
    if (opacity < 0.998)
      reporter.report('semi-transparent', element, `${part} ${Math.round(opacity * 100)} %`);
    drawing.settled.add(element);
    if (!fills.has(paint.key)) fills.set(paint.key, toFill(paint, usedTones));
    areas.push({
      id: unused(areaId(element, place, part), usedIds),
      name: areaName(element, part),
      curves: clipped.curves,
      fillRule: clipped.fillRule,
      fill: paint.key,
      part,
      element: elementPlace(element),
    });
  };

  const drawFill = (
    element: SvgElement,
    place: Place,
    outline: readonly Subpath[],
    paint: Paint,
  ): boolean => {
    const rule = styleValue(place.style, 'fill-rule') as FillRule;
    const curves = outlineCurves(outline, place.toPlane);
    if (!coversSomething(curves, rule)) return false;
    const gap = Math.max(0, ...outline.map((subpath) => openingMm(subpath, place.toPlane)));
    if (gap > CLOSED_WITHIN_MM) reporter.report('open-outline', element, `${gap.toPrecision(3)} mm apart`);
    add(element, place, paint, 'fill', curves, rule);
    return true;
  };

  return {
    shape: (element, place, outline) => {
      const { style } = place;
      if (styleValue(style, 'visibility') !== 'visible') {
        reporter.report('invisible', element, 'visibility');
        return;
      }
      if (outline.length === 0) {
        reporter.report('no-extent', element);
        return;
      }
      reportMarkers(drawing, element, place);
      const fill =
        element.tag === 'line'
          ? null
          : visible(resolvePaint(drawing, element, style, 'fill'), place, 'fill-opacity');
      const stroke = visibleStroke(drawing, element, place);
      if (!fill && !stroke) {
        reporter.report('invisible', element, 'it has neither fill nor stroke');
        return;
      }
      if (stroke && !strokes) reporter.report('strokes-not-outlined', element);
      const paintFill = (): boolean => fill !== null && drawFill(element, place, outline, fill);
      const paintStroke = (): boolean => {
        if (!stroke || !strokes) return false;
        const curves = outlineStroke(drawing, element, place, outline, stroke.width, page);
        if (!coversSomething(curves, 'nonzero')) return false;
        add(element, place, stroke.paint, 'stroke', curves, 'nonzero');
        return true;
      };
      const order = strokeComesFirst(styleValue(style, 'paint-order'))
        ? [paintStroke, paintFill]
        : [paintFill, paintStroke];
      const painted = order.map((paint) => paint());
      if (!painted.includes(true) && !(stroke && !strokes)) reporter.report('no-extent', element);
    },
    result: () => ({ areas, fills: [...fills.values()] }),
  };
}

/** Distance from the end of an open subpath to its start, in mm; 0 for one that is closed or has no inside of its own. */
function openingMm({ start, segments, closed }: Subpath, toPlane: Affine): number {
  if (closed || segments.length < 2) return 0;
  const from = apply(toPlane, segments.at(-1)!.to);
  const to = apply(toPlane, start);
  return Math.hypot(to.x - from.x, to.y - from.y);
}

/** The paint with the shape's own opacity; null when it cannot be seen. */
function visible(
  paint: Paint | null,
  place: Place,
  property: 'fill-opacity' | 'stroke-opacity',
): Paint | null {
  if (!paint) return null;
  const alpha = paint.alpha * (parseShare(styleValue(place.style, property)) ?? 1);
  return alpha > 0 ? { ...paint, alpha } : null;
}

/** Whether the curves enclose an area: a closed line that runs back over itself does not. */
function coversSomething(curves: readonly Curve[], rule: FillRule): boolean {
  if (curves.length === 0) return false;
  const bounds = boundsOfCurves(curves);
  const width = bounds.maxX - bounds.minX;
  const height = bounds.maxY - bounds.minY;
  // 1 nm is the grid of the polygon kernel: what is thinner is not there.
  if (!(width > 1e-6 && height > 1e-6)) return Number.isNaN(width * height) || width * height > 1e12;
  const area = curves.reduce((sum, curve) => sum + signedArea(curve), 0);
  if (Math.abs(area) > 1e-6 * (width + height)) return true;
  return regionArea(regionFromCurves(curves, rule)) > 0;
}

const MARKED_TAGS: ReadonlySet<string> = new Set(['path', 'line', 'polyline', 'polygon']);

function reportMarkers(drawing: Drawing, element: SvgElement, place: Place): void {
  if (!MARKED_TAGS.has(element.tag)) return;
  const has = (name: string): boolean => !/^(?:none|)$/.test(styleValue(place.style, name));
  if (has('marker-start') || has('marker-mid') || has('marker-end'))
    drawing.reporter.report('markers-not-drawn', element);
}

function strokeComesFirst(order: string): boolean {
  const words = order.split(/\s+/);
  const fill = words.indexOf('fill');
  const stroke = words.indexOf('stroke');
  return stroke >= 0 && (fill < 0 || stroke < fill);
}

function toFill(paint: Paint, used: Map<string, number>): ArtworkFill {
  const slug = paint.name.replace(/[^a-z0-9]+/g, '-');
  const toneId = unused(slug === 'piercing' ? 'tone' : slug, used);
  const number = toneId.slice(slug.length + 1);
  return {
    key: paint.key,
    colour: paint.colour,
    toneId,
    toneName: number === '' ? paint.name : `${paint.name} ${number}`,
  };
}

/** The name, or the name with the lowest number that was not given out. */
function unused(name: string, used: Map<string, number>): string {
  let n = used.get(name) ?? 0;
  let candidate = name;
  while (used.has(candidate)) {
    n += 1;
    candidate = `${name}-${n + 1}`;
  }
  used.set(name, n);
  used.set(candidate, used.get(candidate) ?? 0);
  return candidate;
}

function areaId(element: SvgElement, place: Place, part: 'fill' | 'stroke'): string {
  const names = [...place.uses, element].map((at) => at.attributes.get('id') || `${at.tag}-${at.ordinal}`);
  const id = names.join('.').replace(/[^A-Za-z0-9_.-]+/g, '-');
  return part === 'stroke' ? `${id}-stroke` : id;
}

function areaName(element: SvgElement, part: 'fill' | 'stroke'): string {
  const title = element.children
    .find((child) => child.tag === 'title')
    ?.text.replace(/\s+/g, ' ')
    .trim();
  const name = title || element.attributes.get('id') || `${element.tag} ${element.ordinal}`;
  return part === 'stroke' ? `${name}, stroke` : name;
}

const DRAWABLE_TAGS: ReadonlySet<string> = new Set([...SHAPE_TAGS, 'text', 'image', 'use', 'foreignObject']);

/** Codes that speak for everything inside the element they name. */
const COVERING_CODES: ReadonlySet<string> = new Set([
  'invisible',
  'collapsed',
  'unknown-element',
  'foreign-content',
]);

/** What could be drawn and was neither drawn nor mentioned, and what moves or runs. */
function reportLeftovers(drawing: Drawing): void {
  const { reporter, settled, tree } = drawing;
  const named = new Set<number>();
  const covering = new Set<number>();
  for (const { code, elements } of reporter.warnings()) {
    for (const { index } of elements) {
      named.add(index);
      if (COVERING_CODES.has(code)) covering.add(index);
    }
  }
  for (const element of tree.elements) {
    if (element.foreign) continue;
    if (/^(?:animate|set$)/.test(element.tag)) reporter.report('animation-ignored', element);
    if (element.tag === 'script') reporter.report('script-ignored', element);
    if (!DRAWABLE_TAGS.has(element.tag) || settled.has(element) || named.has(element.index)) continue;
    let up = element.parent;
    while (up && !covering.has(up.index)) up = up.parent;
    if (!up) reporter.report('not-drawn', element);
  }
}
