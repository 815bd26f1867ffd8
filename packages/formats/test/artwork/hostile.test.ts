import { openKernel } from '@inlaywright/geometry';
import { beforeAll, describe, expect, test } from 'vitest';
import { FormatError, readArtwork } from '../../src/index.ts';
import { drawing } from './fixture.ts';

beforeAll(() => openKernel());

function refusal(svg: string): FormatError {
  try {
    readArtwork(svg);
  } catch (error) {
    if (error instanceof FormatError) return error;
    throw error;
  }
  throw new Error('it was read');
}

const NS = 'xmlns="http://www.w3.org/2000/svg"';

describe('files that are refused, with the place and what to do', () => {
  const nested = (n: number): string =>
    drawing(`${'<g>'.repeat(n)}<rect width="9" height="9"/>${'</g>'.repeat(n)}`);

  test.each([
    ['nothing', 'empty-file', '  \n', 'the whole file'],
    ['a compressed file', 'compressed-file', '\u001f\u008b\b\0\0', 'the first bytes'],
    ['another kind of document', 'not-svg', '<html><body/></html>', 'line 1'],
    ['an element of another namespace', 'not-svg', '<svg xmlns="http://example.com/other"/>', 'line 1'],
    ['plain text', 'malformed-xml', 'leaf', 'line 1, column'],
    ['a file cut short', 'malformed-xml', `<svg ${NS}>\n<g>\n<path d="M0 0`, 'line 3'],
    ['tags that do not match', 'malformed-xml', `<svg ${NS}>\n  <g></a></svg>`, 'line 2, column 9'],
    ['an attribute twice', 'malformed-xml', `<svg ${NS}><g id="a" id="b"/></svg>`, 'line 1'],
    ['an unknown entity', 'malformed-xml', `<svg ${NS}>&leaf;</svg>`, 'line 1'],
    ['elements nested too deep', 'too-deep', nested(2000), 'line 1'],
    ['nothing to size the page by', 'no-size', `<svg ${NS}/>`, 'line 1'],
    [
      'entities inside entities',
      'doctype-refused',
      `<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">]><svg ${NS}>&b;</svg>`,
      'DOCTYPE',
    ],
    [
      'an entity used so often that it grows',
      'doctype-refused',
      `<!DOCTYPE svg [<!ENTITY a "${'a'.repeat(2000)}">]><svg ${NS} id="${'&a;'.repeat(1000)}"/>`,
      'DOCTYPE',
    ],
    [
      'an external entity',
      'doctype-refused',
      `<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/hostname">]><svg ${NS}>&a;</svg>`,
      'DOCTYPE',
    ],
    ['a parameter entity', 'doctype-refused', `<!DOCTYPE svg [<!ENTITY % a "x">%a;]><svg ${NS}/>`, 'DOCTYPE'],
  ])('%s', (_, code, svg, where) => {
    const error = refusal(svg);
    expect(error.code).toBe(code);
    expect(error.where).toContain(where);
    expect(error.message).toMatch(/\.$/);
    expect(error.hint.length).toBeGreaterThan(10);
  });

  test('clips inside clips that multiply', () => {
    const levels = Array.from(
      { length: 8 },
      (_, i) =>
        `<clipPath id="c${i + 1}">${`<rect width="9" height="9" clip-path="url(#c${i})"/>`.repeat(10)}</clipPath>`,
    );
    const svg = drawing(
      `<clipPath id="c0"><rect width="9" height="9"/></clipPath>${levels.join('')}<rect width="9" height="9" clip-path="url(#c8)"/>`,
    );
    expect(refusal(svg).code).toBe('too-many-shapes');
  }, 40_000);

  test('boxes asked for inside boxes, at every level', () => {
    const open = '<g style="transform-box: fill-box; transform-origin: center; transform: rotate(1deg)">';
    const svg = drawing(`${open.repeat(60)}<rect width="9" height="9"/>${'</g>'.repeat(60)}`);
    expect(refusal(svg).code).toBe('too-many-shapes');
  }, 20_000);

  test('depth gathered by following references', () => {
    const level = (i: number): string =>
      `<g id="g${i}">${'<g>'.repeat(400)}<use href="#g${i + 1}"/>${'</g>'.repeat(400)}</g>`;
    const svg = drawing(
      `<defs>${Array.from({ length: 10 }, (_, i) => level(i)).join('')}<rect id="g10" width="9" height="9"/></defs><use href="#g0"/>`,
    );
    expect(refusal(svg).code).toBe('too-deep');
  });

  test('references that multiply: ten levels of ten', () => {
    const levels = Array.from(
      { length: 9 },
      (_, i) => `<g id="g${i + 1}">${`<use href="#g${i}"/>`.repeat(10)}</g>`,
    );
    const svg = drawing(
      `<defs><rect id="g0" width="1" height="1"/>${levels.join('')}</defs><use href="#g9"/>`,
    );
    expect(refusal(svg).code).toBe('too-many-shapes');
  });
});

describe('files that are read all the same', () => {
  const codes = (svg: string): string[] => readArtwork(svg).warnings.map(({ code }) => code);

  test('elements nested 900 deep', () => {
    const svg = drawing(
      `${'<g transform="scale(1)">'.repeat(900)}<rect width="9" height="9"/>${'</g>'.repeat(900)}`,
    );
    expect(readArtwork(svg).areas).toHaveLength(1);
  });

  test.each([
    ['a use of itself', '<use id="u" href="#u"/>'],
    ['a use of its parent', '<g id="g"><use href="#g"/></g>'],
    [
      'two that use each other',
      '<defs><g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g></defs><use href="#a"/>',
    ],
    ['a symbol that uses itself', '<symbol id="s"><use href="#s"/></symbol><use href="#s"/>'],
    [
      'a gradient that inherits from itself',
      '<linearGradient id="g" href="#g"/><rect width="9" height="9" fill="url(#g)"/>',
    ],
    [
      'a clip path that clips itself',
      '<clipPath id="c" clip-path="url(#c)"><rect width="9" height="9"/></clipPath><rect width="9" height="9" clip-path="url(#c)"/>',
    ],
  ])('circles of references: %s', (_, content) => {
    expect(codes(drawing(`<rect x="50" width="9" height="9"/>${content}`))).toContain('reference-cycle');
  });

  test('a byte order mark, no namespace, undeclared prefixes, an old encoding', () => {
    const svg =
      '\uFEFF<?xml version="1.0" encoding="ISO-8859-1"?><svg width="9mm" height="9mm"><use xlink:href="#r"/><tool:grid/><defs><rect id="r" width="9" height="9"/></defs></svg>';
    expect(readArtwork(svg).areas.map(({ id }) => id)).toEqual(['use-1.r']);
  });

  test('namespaces by prefix', () => {
    const svg = `<s:svg xmlns:s="http://www.w3.org/2000/svg" xmlns="http://example.com/x" width="9mm" height="9mm"><s:rect width="9" height="9"/><rect width="5" height="5"/></s:svg>`;
    expect(readArtwork(svg).areas).toHaveLength(1);
  });

  test('nothing outside the file is fetched, and every attempt is told', () => {
    const artwork = readArtwork(
      `<?xml-stylesheet href="leaf.css"?>${drawing(`<style>@import url("https://example.com/a.css"); rect { fill: lime }</style>
        <use href="other.svg#leaf"/><image href="https://example.com/a.png"/><rect width="9" height="9" clip-path="url(b.svg#c)"/>
        <rect y="20" width="9" height="9" style="fill: url(c.svg#g) red"/><script href="https://example.com/a.js"/>`)}`,
    );
    const message = artwork.warnings.find(({ code }) => code === 'external-reference')!.message;
    for (const name of [
      'leaf.css',
      'https://example.com/a.css',
      'other.svg#leaf',
      'https://example.com/a.png',
      'b.svg#c',
      'c.svg#g',
    ]) {
      expect(message).toContain(name);
    }
    expect(artwork.areas.map(({ fill }) => fill)).toEqual(['#00ff00', '#ff0000']);
    expect(artwork.warnings.map(({ code }) => code)).toContain('script-ignored');
  });

  test('numbers out of all bounds', () => {
    const artwork = readArtwork(
      drawing(`<rect id="far" x="1e9" width="9" height="9"/><rect id="nan" width="NaN" height="9"/><rect id="minus" width="-5" height="9"/>
        <circle id="infinite" r="1e400"/><path id="huge" d="M0 0H1e300V1e300z"/><g id="flat" transform="scale(0)"><rect width="9" height="9"/></g>
        <path id="sum" d="M1e308 0l1e308 0 0 9z"/><rect id="good" width="9" height="9"/>`),
    );
    expect(artwork.areas.map(({ id }) => id)).toEqual(['good']);
    const named = new Set(artwork.warnings.flatMap(({ elements }) => elements.map(({ id }) => id)));
    expect([...named].sort()).toEqual(['far', 'flat', 'huge', 'infinite', 'minus', 'nan', 'sum']);
  });

  test('values made to be slow to read', () => {
    const spaces = ' '.repeat(200_000);
    const artwork = readArtwork(
      drawing(`<rect id="a" width="9" height="9" fill="red${spaces}x"/><rect id="b" width="9" height="9" fill="url(${spaces}"/>
        <rect id="c" width="9" height="9" transform="rotate(1)${spaces}!"/><rect id="d" width="9" height="9" style="fill: rgb(${spaces})"/>
        <rect id="e" width="9" height="9" transform="${'scale(1)'.repeat(100_000)}"/><path id="f" d="M0 0h9v9z${spaces}z${spaces}M9 9"/>
        <rect id="g" width="${spaces}9${spaces}" height="9" viewBox="${spaces}"/><polygon id="h" points="0 0 9 0 9 9${spaces}"/>`),
    );
    expect(artwork.areas.map(({ id }) => id)).toEqual(['a', 'c', 'd', 'e', 'f', 'g', 'h']);
  }, 20_000);

  test('selectors that could be tried in endlessly many ways', () => {
    const style = `<style>${'g '.repeat(12)}circle g rect { fill: red } ${'g ~ '.repeat(8)}rect { fill: red } rect:nth-of-type(2) { fill: lime }</style>`;
    const deep = `${'<g>'.repeat(300)}<rect width="9" height="9"/>${'</g>'.repeat(300)}`;
    const wide = `${'<g/>'.repeat(300)}${'<rect width="9" height="9"/>'.repeat(2000)}`;
    expect(readArtwork(drawing(style + deep)).fills.map(({ key }) => key)).toEqual(['#000000']);
    // The second rectangle: a pseudo-class outweighs any number of types.
    expect(readArtwork(drawing(style + wide)).fills.map(({ key }) => key)).toEqual(['#ff0000', '#00ff00']);
  }, 20_000);

  test('custom properties that double each other', () => {
    const names = Array.from({ length: 30 }, (_, i) => `--v${i + 1}: var(--v${i}) var(--v${i});`);
    const artwork = readArtwork(
      drawing(
        `<style>:root { --v0: red; ${names.join('')} } rect { fill: var(--v30) }</style><rect width="9" height="9"/>`,
      ),
    );
    expect(artwork.areas).toHaveLength(1);
  });

  test('10 MB of paths and 100,000 elements', () => {
    const star = Array.from(
      { length: 1000 },
      (_, i) => `L${(50 + 40 * Math.cos(i)).toFixed(3)} ${(50 + 40 * Math.sin(i)).toFixed(3)}`,
    );
    const path = `<path d="M50 50${star.join('')}z"/>`;
    const many = readArtwork(drawing(path.repeat(Math.ceil(1e7 / path.length))));
    expect(many.areas.length).toBeGreaterThan(600);
    const small = readArtwork(
      drawing(
        '<g class="a"><rect x="1" y="2" width="3" height="4" style="fill:#123456"/></g>'.repeat(50_000),
      ),
    );
    expect(small.areas).toHaveLength(50_000);
  }, 40_000);
});
