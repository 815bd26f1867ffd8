import { openKernel } from '@inlaywright/geometry';
import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { parseSvgTree, type SvgElement } from '../../src/artwork/svg-tree.ts';
import { type Artwork, readArtwork } from '../../src/index.ts';
import { drawing } from './fixture.ts';

beforeAll(() => openKernel());

const DRAWABLE = new Set(
  'path rect circle ellipse line polyline polygon text image use foreignObject'.split(' '),
);
const COVERING = new Set(['invisible', 'collapsed', 'unknown-element', 'foreign-content']);

/** Elements that could be drawn and are neither an area, nor named in a warning, nor inside a group that is. */
function unaccounted(svg: string, artwork: Artwork): SvgElement[] {
  const named = new Set([
    ...artwork.areas.map(({ element }) => element.index),
    ...artwork.warnings.flatMap(({ elements }) => elements.map(({ index }) => index)),
  ]);
  const covering = new Set(
    artwork.warnings
      .filter(({ code }) => COVERING.has(code))
      .flatMap(({ elements }) => elements.map(({ index }) => index)),
  );
  const { elements, root } = parseSvgTree(svg);
  const isReferred = (element: SvgElement): boolean =>
    element.tag === 'use' &&
    elements.some(({ attributes }) => `#${attributes.get('id')}` === element.attributes.get('href'));
  const isClip = (element: SvgElement): boolean => element.parent?.tag === 'clipPath';
  return elements.filter((element) => {
    if (!DRAWABLE.has(element.tag) || named.has(element.index)) return false;
    for (let at: SvgElement | null = element; at && at !== root; at = at.parent)
      if (covering.has(at.index)) return false;
    // A use that leads somewhere is accounted for by what it leads to, a shape in a clip path by what it clips.
    return !isReferred(element) && !isClip(element);
  });
}

const number = fc.integer({ min: -20, max: 120 });
const paint = fc.constantFrom(
  'none',
  'red',
  '#fff',
  'transparent',
  'url(#g)',
  'url(#nothing)',
  'url(#nothing) lime',
  'currentColor',
  '#12',
  'rgba(0,0,0,.5)',
);
const attributes = fc
  .record(
    {
      fill: paint,
      stroke: paint,
      'stroke-width': fc.constantFrom('0', '3', '-1', '5%'),
      display: fc.constantFrom('none', 'inline'),
      visibility: fc.constantFrom('hidden', 'visible'),
      opacity: fc.constantFrom('0', '.5', '1'),
      transform: fc.constantFrom('scale(0)', 'rotate(30)', 'translate(500 0)', 'nonsense', 'scale(-1 2)'),
      'clip-path': fc.constantFrom('url(#c)', 'url(#e)', 'url(#nothing)', 'circle(5px)'),
      mask: fc.constantFrom('url(#m)', 'none'),
      systemLanguage: fc.constantFrom('en', 'de'),
      style: fc.constantFrom(
        'fill: blue',
        'display: none',
        'fill: none; stroke: none',
        'transform: rotate(5deg)',
      ),
    },
    { requiredKeys: [] },
  )
  .map((record) =>
    Object.entries(record)
      .map(([name, value]) => ` ${name}="${value}"`)
      .join(''),
  );

const { element } = fc.letrec<{ element: string }>((tie) => ({
  element: fc.oneof(
    { depthSize: 'small', withCrossShrink: true },
    fc
      .tuple(number, number, fc.integer({ min: -1, max: 40 }), attributes)
      .map(([x, y, w, a]) => `<rect x="${x}" y="${y}" width="${w}" height="9"${a}/>`),
    fc
      .tuple(number, fc.integer({ min: -1, max: 30 }), attributes)
      .map(([x, r, a]) => `<circle cx="${x}" cy="50" r="${r}"${a}/>`),
    fc.tuple(number, number, attributes).map(([x, y, a]) => `<line x1="${x}" y2="${y}"${a}/>`),
    fc
      .tuple(fc.array(number, { maxLength: 7 }), attributes)
      .map(([p, a]) => `<polygon points="${p.join(' ')}"${a}/>`),
    fc
      .tuple(
        fc.constantFrom('', 'M0 0', 'M5 5h20v20z', 'M5 5h20', 'M5 5h20v20zx', 'L5 5', 'M5 5z'),
        attributes,
      )
      .map(([d, a]) => `<path d="${d}"${a}/>`),
    fc
      .tuple(fc.constantFrom('#s', '#p', '#g', '#nothing', 'a.svg#b', ''), attributes)
      .map(([h, a]) => `<use href="${h}"${a}/>`),
    attributes.map((a) => `<text${a}>leaf</text>`),
    attributes.map((a) => `<image href="data:image/png;base64,"${a}/>`),
    attributes.map((a) => `<foreignObject${a}/>`),
    fc
      .tuple(
        fc.constantFrom('g', 'a', 'svg', 'defs', 'symbol', 'switch', 'mask', 'pattern', 'marker', 'unknown'),
        attributes,
        fc.array(tie('element'), { maxLength: 4 }),
      )
      .map(([tag, a, children]) => `<${tag}${a}>${children.join('')}</${tag}>`),
  ),
}));

const DEFS = `<linearGradient id="g"><stop stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>
  <clipPath id="c"><rect width="60" height="60"/></clipPath><clipPath id="e"/><mask id="m"/>
  <symbol id="s" viewBox="0 0 10 10"><rect width="9" height="9"/></symbol><defs><path id="p" d="M0 0h9v9z"/></defs>`;

describe('no shape is dropped silently', () => {
  test('random drawings: every element ends in an area or in a warning that names it', () => {
    const seed = 20251125;
    fc.assert(
      fc.property(fc.array(element, { minLength: 1, maxLength: 6 }), fc.boolean(), (elements, strokes) => {
        const svg = drawing(DEFS + elements.join('\n'));
        const artwork = readArtwork(svg, { strokes });
        expect(unaccounted(svg, artwork).map(({ tag, line }) => `${tag} (line ${line})`)).toEqual([]);
        for (const area of artwork.areas) {
          expect(area.curves.length).toBeGreaterThan(0);
          expect(artwork.fills.some(({ key }) => key === area.fill)).toBe(true);
        }
        expect(new Set(artwork.areas.map(({ id }) => id)).size).toBe(artwork.areas.length);
      }),
      { seed, numRuns: 600 },
    );
  });

  test('the check itself notices a dropped shape', () => {
    const svg = drawing('<rect width="9" height="9"/><circle r="5" cx="50" cy="50"/>');
    const artwork = readArtwork(svg);
    expect(unaccounted(svg, artwork)).toEqual([]);
    const [, dropped] = artwork.areas;
    const rest = { ...artwork, areas: artwork.areas.filter((area) => area !== dropped) };
    expect(unaccounted(svg, rest).map(({ tag }) => tag)).toEqual(['circle']);
  });
});
