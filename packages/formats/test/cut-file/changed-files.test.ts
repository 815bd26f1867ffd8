import { directedHausdorff, isCircle } from '@inlaywright/geometry';
import type { CutSheet } from '@inlaywright/workshop';
import fc from 'fast-check';
import { SVGPathData } from 'svg-pathdata';
import { describe, expect, test } from 'vitest';
import {
  type CutSheetRead,
  FormatError,
  readCutDxf,
  readCutSvg,
  writeCutDxf,
  writeCutSvg,
} from '../../src/index.ts';
import { SEED, seedPodSheet } from './sheets.ts';

const svg = writeCutSvg(seedPodSheet());
const dxf = writeCutDxf(seedPodSheet());
const clean = readCutSvg(svg);

/** The text with `from` replaced, which must be there. */
function changed(text: string, from: string | RegExp, to: string): string {
  const result = text.replace(from, to);
  expect(result).not.toBe(text);
  return result;
}

function codes(sheet: CutSheetRead): string[] {
  return sheet.warnings.map((warning) => warning.code);
}

/** Greatest distance between the contours of two sheets, part by part. */
function distance(a: CutSheet, b: CutSheet): number {
  const curves = (sheet: CutSheet) =>
    sheet.parts.flatMap((part) => part.contours.map((contour) => contour.curve));
  return Math.max(
    directedHausdorff(curves(a), curves(b), 0.05).lower,
    directedHausdorff(curves(b), curves(a), 0.05).lower,
  );
}

describe('a changed SVG is read as it is now, and says so', () => {
  test('a moved vertex', () => {
    const back = readCutSvg(changed(svg, 'L12 20', 'L12.5 20'));
    expect(back.warnings).toMatchObject([{ code: 'cut-changed', severity: 'warning', parts: ['p1'] }]);
    expect(distance(back, clean)).toBeGreaterThan(0.2);
    expect(distance(back, clean)).toBeLessThan(0.5001);
  });

  test('a circle of another radius', () => {
    const back = readCutSvg(changed(svg, 'r="4.5"', 'r="4.4"'));
    expect(codes(back)).toEqual(['cut-changed']);
    expect(isCircle(back.parts[2]!.contours[0]!.curve, 1e-9)?.radius).toBe(4.4);
  });

  test('a group moved by a transform', () => {
    const back = readCutSvg(
      changed(svg, '<g id="cut-outside"', '<g transform="translate(0 -2)" id="cut-outside"'),
    );
    expect(codes(back)).toEqual(['cut-changed', 'cut-changed', 'cut-changed']);
    const curve = back.parts[2]!.contours[0]!.curve;
    expect(isCircle(curve, 1e-9)?.centre.x).toBeCloseTo(52, 12);
    expect(isCircle(curve, 1e-9)?.centre.y).toBeCloseTo(22, 12);
  });

  test('a part that says it is turned when it was not', () => {
    const back = readCutSvg(
      svg.replaceAll(
        'data-part="p1" data-hand="left" data-turned="false"',
        'data-part="p1" data-hand="left" data-turned="true"',
      ),
    );
    expect(back.parts[0]!.turned).toBe(true);
    expect(codes(back)).toEqual(['cut-changed']);
  });

  test('a part taken out', () => {
    const back = readCutSvg(changed(svg, /<circle data-part="p2"[^>]*>\n/, ''));
    expect(back.warnings).toMatchObject([{ code: 'cut-part-missing', severity: 'decision', parts: ['p2'] }]);
    expect(back.parts.length).toBe(2);
  });

  test('an opening taken out, a contour doubled', () => {
    expect(codes(readCutSvg(changed(svg, /<circle data-part="p1"[^>]*>\n/, '')))).toEqual(['cut-changed']);
    const line = /<circle data-part="p2"[^>]*>\n/.exec(svg)![0];
    const doubled = readCutSvg(changed(svg, line, line + line));
    expect(codes(doubled)).toEqual(['cut-changed']);
    expect(doubled.parts[2]!.contours.length).toBe(2);
  });

  test.each([
    ['<rect width="5" height="5"/>', '<rect>'],
    ['<circle cx="1" cy="1" r="1"/>', 'a shape outside the groups of roles'],
    ['<g id="cut-inside"><path d="M1 1L2 1L2 2Z"/></g>', 'a line of role "cut inside" without a part id'],
    [
      '<g id="cut-inside"><path data-part="p9" data-hand="left" d="M1 1L2 1L2 2Z"/></g>',
      'a line of role "cut inside" of an unknown part p9 (left)',
    ],
    ['<text x="1" y="9">Hallo</text>', '<text>'],
    ['<use href="#mark"/>', '<use>'],
  ])('something added: %s', (element, words) => {
    const back = readCutSvg(changed(svg, '</svg>', `${element}</svg>`));
    expect(back.warnings).toMatchObject([{ code: 'cut-stray', severity: 'decision' }]);
    expect(back.warnings[0]!.message).toContain(words);
    expect(distance(back, clean)).toBeLessThan(1e-12);
  });

  test('arcs turned into cubics by another program', () => {
    const d = / d="(M40 30[^"]*)"/.exec(svg)![1]!;
    const cubics = new SVGPathData(d).aToC().encode();
    expect(cubics).not.toContain('A');
    const back = readCutSvg(changed(svg, d, cubics));
    expect(codes(back)).toEqual(['cut-changed']);
    expect(back.parts[1]!.contours[0]!.curve.segments.every((segment) => segment.kind === 'cubic')).toBe(
      true,
    );
    // An arc as cubics is off by up to 2.7e-4 of its radius (libraries' usual conversion).
    expect(distance(back, clean)).toBeLessThan(2.8e-4 * 13);
  });

  test('any changed digit of a path shows in a warning or leaves the geometry as it was', () => {
    const start = svg.indexOf('<g id="cut-inside"');
    const digits: number[] = [];
    for (const match of svg.matchAll(/ d="[^"]*"| (?:cx|cy|r)="[^"]*"/g)) {
      for (let i = match.index + 4; i < match.index + match[0].length; i++) {
        if (i > start && /\d/.test(svg[i]!)) digits.push(i);
      }
    }
    expect(digits.length).toBeGreaterThan(50);
    let noticed = 0;
    fc.assert(
      fc.property(fc.constantFrom(...digits), fc.integer({ min: 1, max: 9 }), (at, step) => {
        const digit = (Number(svg[at]) + step) % 10;
        let back: CutSheetRead;
        try {
          back = readCutSvg(svg.slice(0, at) + digit + svg.slice(at + 1));
        } catch (error) {
          // An arc flag of 7 is no path data.
          expect(error).toBeInstanceOf(FormatError);
          return;
        }
        if (codes(back).includes('cut-changed')) noticed++;
        else expect(distance(back, clean)).toBeLessThan(1e-12);
      }),
      { seed: SEED, numRuns: 200 },
    );
    expect(noticed).toBeGreaterThan(100);
  });
});

describe('an SVG saved again in other words is the same sheet', () => {
  test('sizes in centimetres, another scale of the numbers', () => {
    const scaled = changed(
      changed(svg, 'width="60mm" height="40mm"', 'width="6cm" height="4cm"'),
      'viewBox="0 0 60 40">',
      'viewBox="0 0 120 80"><g transform="scale(2)">',
    );
    const back = readCutSvg(changed(scaled, '</svg>', '</g></svg>'));
    expect(back.warnings).toEqual([]);
    expect(distance(back, clean)).toBeLessThan(1e-12);
  });

  test('relative path data, reordered attributes, no ids', () => {
    const relative = svg
      .replace(/ d="([^"]*)"/g, (_, d: string) => ` d="${new SVGPathData(d).toRel().encode()}"`)
      .replace(/<(path|circle) (data-part="[^"]*") (.*)\/>/g, '<$1 $3 $2></$1>')
      .replace(/ id="[^"]*"/g, '');
    expect(relative).not.toContain('L12');
    const back = readCutSvg(relative);
    expect(back.warnings).toEqual([]);
    expect(distance(back, clean)).toBeLessThan(1e-9);
  });
});

describe('a changed DXF is read as it is now, and says so', () => {
  test('a moved vertex, a changed bulge, a changed radius', () => {
    const vertex = readCutDxf(changed(dxf, '10\n12.0\n20\n20.0\n', '10\n12.5\n20\n20.0\n'));
    expect(vertex.warnings).toMatchObject([{ code: 'cut-changed', parts: ['p1'] }]);
    expect(distance(vertex, clean)).toBeGreaterThan(0.2);
    expect(codes(readCutDxf(changed(dxf, /\n42\n0\.5/, '\n42\n0.6')))).toEqual(['cut-changed']);
    expect(codes(readCutDxf(changed(dxf, '\n40\n4.5\n', '\n40\n4.4\n')))).toEqual(['cut-changed']);
  });

  test('an entity of another kind, on another layer, or without its part', () => {
    const point = '0\nPOINT\n5\nFFF\n8\nMARK\n10\n1.0\n20\n1.0\n0\nENDSEC\n0\nSECTION\n2\nOBJECTS\n';
    const added = readCutDxf(changed(dxf, '0\nENDSEC\n0\nSECTION\n2\nOBJECTS\n', point));
    expect(added.warnings).toMatchObject([{ code: 'cut-stray', severity: 'decision' }]);
    const other = readCutDxf(changed(dxf, '\n8\nCUT_INSIDE\n', '\n8\nSKETCH\n'));
    expect(codes(other)).toEqual(['cut-stray', 'cut-changed']);
    const nameless = readCutDxf(
      changed(dxf, '1000\npart=p1\n1000\nhand=left\n1000\nturned=false\n1000\ndirection=cw\n', ''),
    );
    expect(codes(nameless)).toEqual(['cut-stray', 'cut-changed']);
    expect(nameless.warnings[0]!.message).toContain('without a part id');
  });

  test('line ends and padding of other programs change nothing', () => {
    const padded = dxf.replace(
      /^(\d+)\n(.*)\n/gm,
      (_, code: string, value: string) => `${code.padStart(3)}\r\n${value}\r\n`,
    );
    expect(padded).not.toBe(dxf);
    expect(readCutDxf(padded)).toEqual(readCutDxf(dxf));
  });
});

test('SVG and DXF of a sheet read back the same to a few nanometres', () => {
  expect(distance(readCutDxf(dxf), clean)).toBeLessThan(5e-6);
});
