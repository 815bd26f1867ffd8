import { describe, expect, test } from 'vitest';
import { colourKey, colourWords, parseColour } from '../../src/artwork/colour.ts';
import { COLOUR_NAMES } from '../../src/artwork/colour-names.ts';
import { rasterise } from './raster.ts';

function bytes(text: string): readonly [number, number, number, number] | null {
  const colour = parseColour(text);
  return colour && [colour.r, colour.g, colour.b, Math.round(colour.alpha * 1000) / 1000];
}

test('the named colours are those of the renderer', () => {
  // Referee: resvg 2.6.2, which has its own table. 148 names: CSS Color 4, section 6.1.
  expect(COLOUR_NAMES.size).toBe(148);
  // Its table stops at CSS Color 3, so it does not know the youngest name; that one is among the values below.
  const names = [...COLOUR_NAMES.keys()].filter((name) => name !== 'rebeccapurple');
  const cells = names.map((name, i) => `<rect x="${i}" width="1" height="1" fill="${name}"/>`).join('');
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="147" height="1" shape-rendering="crispEdges">${cells}</svg>`;
  const { pixels } = rasterise(svg, 147);
  names.forEach((name, i) => {
    expect([name, ...bytes(name)!.slice(0, 3)]).toEqual([name, ...pixels.slice(4 * i, 4 * i + 3)]);
  });
});

describe('every way of writing a colour', () => {
  // Values from the examples and formulas of CSS Color 4, sections 5 to 8.
  test.each([
    ['#f00', 255, 0, 0, 1],
    ['#F00F', 255, 0, 0, 1],
    ['#0f08', 0, 255, 0, 0.533],
    ['#00ff00', 0, 255, 0, 1],
    ['#0000ff80', 0, 0, 255, 0.502],
    ['rgb(51, 170, 51)', 51, 170, 51, 1],
    ['rgb(51 170 51 / 0.4)', 51, 170, 51, 0.4],
    ['rgba(51, 170, 51, 40%)', 51, 170, 51, 0.4],
    ['rgb(20%, 66.667%, 20%)', 51, 170, 51, 1],
    ['rgb(300 -20 12.6)', 255, 0, 13, 1],
    ['rgb(none 0 0)', 0, 0, 0, 1],
    ['hsl(120, 100%, 25%)', 0, 128, 0, 1],
    ['hsl(120 100% 50%)', 0, 255, 0, 1],
    ['hsl(0.5turn 100% 50%)', 0, 255, 255, 1],
    ['hsla(240deg, 100%, 50%, .25)', 0, 0, 255, 0.25],
    ['hsl(-120 100% 50%)', 0, 0, 255, 1],
    ['hsl(200grad 100% 50%)', 0, 255, 255, 1],
    ['hsl(3.14159265rad 100% 50%)', 0, 255, 255, 1],
    ['hwb(194 0% 0%)', 0, 195, 255, 1],
    ['hwb(194 0% 0% / .5)', 0, 195, 255, 0.5],
    ['hwb(90 80% 80%)', 128, 128, 128, 1],
    ['transparent', 0, 0, 0, 0],
    ['RebeccaPurple', 102, 51, 153, 1],
    ['  Red ', 255, 0, 0, 1],
  ])('%s', (text, r, g, b, alpha) => {
    expect(bytes(text)).toEqual([r, g, b, alpha]);
  });

  test.each([
    '',
    '#12',
    '#12345',
    '#ggg',
    'rgb(1,2)',
    'rgb(1 2 3 4)',
    'rgb(1,,3)',
    'hsl(a 1% 1%)',
    'reddish',
    'rgb(1 2 3 / x)',
    'url(#a)',
    'none',
  ])('"%s" is not a colour', (text) => {
    expect(parseColour(text)).toBeNull();
  });

  test('keys are six lower-case digits, without the opacity', () => {
    expect(colourKey(parseColour('#ABC8')!)).toBe('#aabbcc');
  });
});

test.each([
  ['#ffffff', 'white'],
  ['#000000', 'black'],
  ['#777777', 'grey'],
  ['#d40000', 'red'],
  ['#00338d', 'dark blue'],
  ['#8b5e3c', 'brown'],
  ['#c5e1a5', 'light green'],
])('%s is called %s', (text, words) => {
  expect(colourWords(parseColour(text)!)).toBe(words);
});
