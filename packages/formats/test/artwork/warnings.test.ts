import { readFileSync } from 'node:fs';
import { openKernel } from '@inlaywright/geometry';
import { beforeAll, describe, expect, test } from 'vitest';
import { ARTWORK_WARNINGS, type ArtworkWarningCode, readArtwork } from '../../src/index.ts';
import { drawing } from './fixture.ts';

beforeAll(() => openKernel());

const RECT = 'width="9" height="9"';

/** For every code the smallest drawing that draws it out. */
const CASES: Readonly<Record<ArtworkWarningCode, string>> = {
  'size-assumed': `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><rect id="x" ${RECT}/></svg>`,
  'relative-unit': drawing('<rect id="x" width="2em" height="9"/>'),
  'strokes-not-outlined': drawing('<path id="x" d="M5 5h9" stroke="red"/>'),
  'text-not-outlined': drawing('<text id="x">leaf</text>'),
  'image-not-outline': drawing('<image id="x" href="data:image/png;base64,AA"/>'),
  'foreign-content': drawing('<foreignObject id="x"/>'),
  'gradient-flattened': drawing(
    `<radialGradient id="g"><stop stop-color="red"/><stop offset="1" stop-color="lime"/></radialGradient><rect id="x" ${RECT} fill="url(#g)"/>`,
  ),
  'pattern-flattened': drawing(
    `<pattern id="p"><circle r="2" fill="red"/></pattern><rect id="x" ${RECT} fill="url(#p)"/>`,
  ),
  'semi-transparent': drawing(`<rect id="x" ${RECT} opacity=".5"/>`),
  'mask-ignored': drawing(`<mask id="m"/><rect id="x" ${RECT} mask="url(#m)"/>`),
  'filter-ignored': drawing(`<rect id="x" ${RECT} filter="blur(2px)"/>`),
  'markers-not-drawn': drawing('<path id="x" d="M5 5h9v9z" marker-end="url(#m)"/>'),
  'blend-mode-ignored': drawing(`<rect id="x" ${RECT} style="mix-blend-mode: multiply"/>`),
  'animation-ignored': drawing(`<rect ${RECT}><animate id="x" attributeName="x"/></rect>`),
  'script-ignored': drawing(`<script id="x"/><rect ${RECT}/>`),
  'external-reference': drawing('<use id="x" href="leaf.svg#a"/>'),
  'missing-reference': drawing('<use id="x" href="#leaf"/>'),
  'reference-cycle': drawing('<use id="x" href="#x"/>'),
  'bad-path-data': drawing('<path id="x" d="M5 5h9v9z oops"/>'),
  'bad-number': drawing('<rect id="x" width="wide" height="9"/>'),
  'bad-points': drawing('<polygon id="x" points="1 1 9 1 9 9 1"/>'),
  'bad-transform': drawing(`<rect id="x" ${RECT} transform="turn(5)"/>`),
  collapsed: drawing(`<rect id="x" ${RECT} transform="scale(1 0)"/>`),
  'bad-css': drawing(`<rect id="x" ${RECT} style="fill: reddish"/>`),
  'css-not-applied': drawing(`<style id="x" media="print">rect { fill: red }</style><rect ${RECT}/>`),
  'css-shape-ignored': drawing(`<rect id="x" ${RECT} clip-path="inset(2px)"/>`),
  'unknown-element': drawing('<leaf id="x"/>'),
  'open-outline': drawing('<path id="x" d="M5 5h9v9"/>'),
  'no-extent': drawing('<path id="x" d="M5 5h9z"/>'),
  invisible: drawing(`<rect id="x" ${RECT} fill="none"/>`),
  'not-drawn': drawing(`<defs><rect id="x" ${RECT}/></defs>`),
  'clipped-away': drawing(`<clipPath id="c"/><rect id="x" ${RECT} clip-path="url(#c)"/>`),
  'clip-content': drawing(
    `<clipPath id="c"><text id="x">leaf</text></clipPath><rect ${RECT} clip-path="url(#c)"/>`,
  ),
  'outside-page': drawing(`<rect id="x" x="200" ${RECT}/>`),
  'trimmed-at-page': drawing(`<rect id="x" x="95" ${RECT}/>`),
  'too-far': drawing(`<rect id="x" x="1e8" ${RECT}/>`),
  'no-areas': drawing(''),
};

describe('each warning', () => {
  test.each(Object.entries(CASES))('%s is given, names the element, and says what to do', (code, svg) => {
    const artwork = readArtwork(svg);
    const warning = artwork.warnings.find((candidate) => candidate.code === code)!;
    expect(warning).toBeDefined();
    expect(warning.severity).toBe(ARTWORK_WARNINGS[code as ArtworkWarningCode].severity);
    expect(warning.message).toMatch(/^[A-Z0-9].*\.$/s);
    expect(warning.hint).toMatch(/^[A-Z].*\.$/);
    if (code === 'no-areas' || code === 'size-assumed') return;
    expect(warning.elements.map(({ id }) => id)).toContain('x');
    expect(warning.message).toContain('"x" (line 1)');
  });

  test('is described on the page about artwork', () => {
    const page = readFileSync(new URL('../../../../docs/artwork.md', import.meta.url), 'utf8');
    for (const code of Object.keys(ARTWORK_WARNINGS)) expect(page, code).toContain(`\`${code}\``);
  });
});

test('a sound drawing in mm gives no warning at all', () => {
  expect(readArtwork(drawing(`<rect ${RECT}/><circle cx="50" cy="50" r="9"/>`)).warnings).toEqual([]);
});

test.each([
  ['with Z', 'M5 5h9v9z', 0],
  ['back at its start without Z', 'M5 5h9v9h-9v-9', 0],
  ['ends rounded apart by 3 um', 'M5 5h9v9h-9v-8.997', 0],
  ['a single line, which no fill shows', 'M5 5h9v9z M5 20h9', 0],
  ['one open subpath of two', 'M5 5h9v9z M20 20h9v9', 1],
])('an outline that is left open is named: %s', (_, d, found) => {
  const { warnings } = readArtwork(drawing(`<path id="x" d="${d}"/>`));
  expect(warnings.filter(({ code }) => code === 'open-outline')).toHaveLength(found);
  if (found === 0) return;
  // The ends lie at (20, 20) and (29, 29).
  expect(warnings[0]!.message).toContain(`path "x" (line 1): ${(9 * Math.SQRT2).toPrecision(3)} mm apart`);
});

test('a warning names the first eight and counts the rest; all are in its data', () => {
  const artwork = readArtwork(drawing('<text/>'.repeat(30)));
  const warning = artwork.warnings.find(({ code }) => code === 'text-not-outlined')!;
  expect(warning.message).toContain('30 texts left out');
  expect(warning.message).toContain('text 8 (line 1) and 22 more.');
  expect(warning.message).not.toContain('text 9');
  expect(warning.elements).toHaveLength(30);
});

describe('paint that is not one plain colour', () => {
  const gradient = (stops: string): string =>
    drawing(
      `<linearGradient id="Leaf_1">${stops}</linearGradient><rect ${RECT} fill="url(#Leaf_1)"/><rect y="20" ${RECT} fill="url(#Leaf_1)"/>`,
    );

  test.each([
    // The mean along the gradient, stops clamped to its ends (SVG 2, 14.2).
    ['two ends', '<stop stop-color="#000"/><stop offset="1" stop-color="#fff"/>', '#808080'],
    ['a late start', '<stop offset=".5" stop-color="#000"/><stop offset="1" stop-color="#fff"/>', '#404040'],
    [
      'three stops',
      '<stop stop-color="#f00"/><stop offset="50%" stop-color="#0f0"/><stop offset="1" stop-color="#00f"/>',
      '#408040',
    ],
    [
      'offsets that run backwards',
      '<stop offset=".6" stop-color="#000"/><stop offset=".2" stop-color="#f00"/>',
      '#660000',
    ],
    [
      'an invisible end weighs nothing',
      '<stop stop-color="#f00"/><stop offset="1" stop-color="#00f" stop-opacity="0"/>',
      '#ff0000',
    ],
  ])('a gradient is a tone of its own in its average colour: %s', (_, stops, colour) => {
    const { fills, areas } = readArtwork(gradient(stops));
    expect(areas).toHaveLength(2);
    expect(fills).toHaveLength(1);
    expect(fills[0]!.key).toMatch(/^gradient-leaf-1-\d+$/);
    expect(fills[0]!.colour).toBe(colour);
    expect(fills[0]!.toneId).toBe(fills[0]!.key);
  });

  test('a gradient of one colour is that colour', () => {
    const { fills, warnings } = readArtwork(
      gradient('<stop stop-color="lime"/><stop offset="1" stop-color="#0f0"/>'),
    );
    expect(fills.map(({ key }) => key)).toEqual(['#00ff00']);
    expect(warnings).toEqual([]);
  });

  test('a gradient takes its stops from the one it refers to; without stops nothing is painted', () => {
    const artwork = readArtwork(
      drawing(`<linearGradient id="a"><stop stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>
        <radialGradient id="b" href="#a"/><linearGradient id="c"/><rect ${RECT} fill="url(#b)"/><rect id="n" ${RECT} fill="url(#c)"/>`),
    );
    expect(artwork.fills.map(({ key, colour }) => [key, colour])).toEqual([['gradient-b', '#800080']]);
    expect(artwork.warnings.find(({ code }) => code === 'invisible')?.elements.map(({ id }) => id)).toEqual([
      'n',
    ]);
  });

  test('half-transparent paint is read as opaque, with its share told', () => {
    const artwork = readArtwork(
      drawing(`<g opacity=".5"><rect id="x" ${RECT} fill="#f008" fill-opacity=".5"/></g>`),
    );
    expect(artwork.fills[0]!.key).toBe('#ff0000');
    expect(artwork.warnings.find(({ code }) => code === 'semi-transparent')!.message).toContain('fill 13 %');
  });
});
