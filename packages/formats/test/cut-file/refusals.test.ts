import { type Curve, circleCurve, type Segment } from '@inlaywright/geometry';
import type { CutSheet } from '@inlaywright/workshop';
import { describe, expect, test } from 'vitest';
import { FormatError, readCutDxf, readCutSvg, writeCutDxf, writeCutSvg } from '../../src/index.ts';
import { ANGLE_PIECE, arcBetween, bentPolygon, FIT, placedPart, seedPodSheet, sheetOf } from './sheets.ts';

const svg = writeCutSvg(seedPodSheet());
const dxf = writeCutDxf(seedPodSheet());

function refusal(work: () => unknown): FormatError {
  try {
    work();
  } catch (error) {
    if (error instanceof FormatError) return error;
    throw error;
  }
  throw new Error('nothing was refused');
}

/** The text with `from` replaced, which must be there. */
function changed(text: string, from: string | RegExp, to: string): string {
  const result = text.replace(from, to);
  expect(result).not.toBe(text);
  return result;
}

function outlined(curve: Curve): CutSheet {
  return sheetOf([placedPart('p7', [{ role: 'outside', curve }])]);
}

const line = (x0: number, y0: number, x1: number, y1: number): Segment => ({
  kind: 'line',
  from: { x: x0, y: y0 },
  to: { x: x1, y: y1 },
});

describe.each([
  ['SVG', (sheet: CutSheet) => writeCutSvg(sheet)],
  ['DXF', writeCutDxf],
] as const)('%s is not written', (_, write) => {
  const triangle = [line(1, 1, 9, 1), line(9, 1, 9, 9), line(9, 9, 1, 1)];
  test.each<[string, string, CutSheet]>([
    [
      'of a number that is not finite',
      'cut-number',
      outlined({ segments: [line(Number.NaN, 1, 9, 1), ...triangle.slice(1)] }),
    ],
    [
      'of an infinite radius',
      'cut-number',
      outlined({
        segments: [
          { ...arcBetween({ x: 1, y: 1 }, { x: 9, y: 1 }, 1), radius: Number.POSITIVE_INFINITY },
          ...triangle.slice(1),
        ],
      }),
    ],
    [
      'of a placement without a number',
      'cut-number',
      sheetOf([
        placedPart('p7', [{ role: 'outside', curve: ANGLE_PIECE }], {
          placement: { mirrored: false, angleDeg: Number.NaN, dxMm: 0, dyMm: 0 },
        }),
      ]),
    ],
    [
      'of a fit without a number',
      'cut-number',
      { ...seedPodSheet(), fit: { accent: { ...FIT, allowanceMm: Number.NaN } } },
    ],
    ['of an open contour', 'cut-open', outlined({ segments: triangle.slice(0, 2) })],
    [
      'of a gap between segments',
      'cut-open',
      outlined({ segments: [line(1, 1, 9, 1), line(9, 1.01, 9, 9), line(9, 9, 1, 1)] }),
    ],
    [
      'of a line there and back',
      'cut-collapsed',
      outlined({ segments: [line(1, 1, 9, 1), line(9, 1, 1, 1)] }),
    ],
    ['of no segments', 'cut-collapsed', outlined({ segments: [] })],
    ['of a circle without size', 'cut-collapsed', outlined(circleCurve({ x: 3, y: 3 }, 1e-7))],
    [
      'of a cubic',
      'cut-cubic',
      outlined({
        segments: [
          { kind: 'cubic', from: { x: 1, y: 1 }, c1: { x: 3, y: 0 }, c2: { x: 6, y: 0 }, to: { x: 9, y: 1 } },
          ...triangle.slice(1),
        ],
      }),
    ],
    [
      'of an arc off its own circle',
      'cut-arc',
      outlined({
        segments: [{ ...arcBetween({ x: 1, y: 1 }, { x: 9, y: 1 }, 1), sweep: 1.1 }, ...triangle.slice(1)],
      }),
    ],
    ['beyond the sheet', 'cut-off-sheet', outlined(circleCurve({ x: 58, y: 20 }, 2.001))],
    ['below the sheet', 'cut-off-sheet', outlined(circleCurve({ x: 30, y: 1.9 }, 2))],
    [
      'of a part without an outline',
      'cut-no-outline',
      sheetOf([placedPart('p7', [{ role: 'inside', curve: ANGLE_PIECE }])]),
    ],
    [
      'of a part twice',
      'cut-part-twice',
      sheetOf([0, 1].map(() => placedPart('p7', [{ role: 'outside', curve: ANGLE_PIECE }]))),
    ],
    [
      'of a mark of one point',
      'cut-mark-short',
      sheetOf([
        placedPart('p7', [{ role: 'outside', curve: ANGLE_PIECE }], {
          marks: [{ points: [{ x: 9, y: 5 }] }],
        }),
      ]),
    ],
    ['of a sheet without size', 'cut-size', { ...seedPodSheet(), widthMm: Number.NaN }],
  ])('%s', (_name, code, sheet) => {
    const error = refusal(() => write(sheet));
    expect(error.code).toBe(code);
    expect(error.where).not.toBe('');
    expect(error.hint.length).toBeGreaterThan(10);
    if (sheet.parts[0]?.part === 'p7' && code !== 'cut-number') expect(error.message).toContain('p7');
  });
});

const mixed = svg.replace(
  'data-part="p1" data-hand="left" data-turned="false"',
  'data-part="p1" data-hand="left" data-turned="true"',
);

describe('an SVG is not read', () => {
  test.each<[string, string, string, string]>([
    ['that is cut short', svg.slice(0, svg.length / 2), 'malformed-xml', 'line'],
    ['that is empty', '', 'empty-file', ''],
    ['that is another kind of XML', '<html></html>', 'not-svg', 'html'],
    ['in pixels', changed(svg, 'width="60mm"', 'width="60px"'), 'cut-svg-units', 'width="60px"'],
    ['without a unit', changed(svg, 'height="40mm"', 'height="40"'), 'cut-svg-units', 'height="40"'],
    ['in percent', changed(svg, 'width="60mm"', 'width="100%"'), 'cut-svg-units', '100%'],
    ['without a scale', changed(svg, ' viewBox="0 0 60 40"', ''), 'cut-svg-units', 'viewBox'],
    [
      'without its record',
      changed(svg, /<metadata.*<\/metadata>\n/, ''),
      'cut-record-missing',
      '1 cut inside, 3 cut outside, 1 mark',
    ],
    [
      'with a record of a later version',
      changed(svg, '"version":1,"readSince":"0.1.0"', '"version":3,"readSince":"0.9.0"'),
      'cut-version',
      'version 3',
    ],
    [
      'with half a record',
      changed(svg, /("seams":).*<\/metadata>/, '$1</metadata>'),
      'cut-record-broken',
      'JSON',
    ],
    [
      'with a wrong field in the record',
      changed(svg, '"allowanceMm":0.03', '"allowanceMm":"0.03"'),
      'cut-record-invalid',
      'fit.accent.allowanceMm',
    ],
    [
      'with an unknown field in the record',
      changed(svg, '"piece":', '"glue":1,"piece":'),
      'cut-record-invalid',
      'glue',
    ],
    [
      'with seams that cannot be decoded',
      changed(svg, /"points":"[^"]*"/, '"points":"A!"'),
      'cut-record-invalid',
      'seams.0.stretches.0.points',
    ],
    ['with NaN in a path', changed(svg, 'L30 37', 'LNaN 37'), 'cut-svg-shape', 'path'],
    ['with a radius that is not a number', changed(svg, 'r="4.5"', 'r="NaN"'), 'cut-svg-shape', 'NaN'],
    ['with a negative radius', changed(svg, 'r="4.5"', 'r="-4.5"'), 'cut-svg-shape', '-4.5'],
    ['with an open outline', changed(svg, /(L5 20)[^"]*"/, '$1"'), 'cut-open', 'open line'],
    [
      'with a transform that nobody knows',
      changed(svg, '<g id="mark"', '<g transform="bend(3)" id="mark"'),
      'cut-svg-transform',
      'bend(3)',
    ],
    [
      'with a transform as a style',
      changed(svg, '<g id="mark"', '<g style="transform: scale(2)" id="mark"'),
      'cut-svg-transform',
      'style',
    ],
    ['with lines of one part that disagree', mixed, 'cut-turned-mixed', 'p1'],
  ])('%s', (_, text, code, words) => {
    const error = refusal(() => readCutSvg(text));
    expect(error.code).toBe(code);
    expect(`${error.message} ${error.where}`).toContain(words);
    expect(error.hint.length).toBeGreaterThan(10);
  });

  test('of a later version without saying which release reads it', () => {
    const later = changed(svg, '"version":1,"readSince":"0.1.0"', '"version":3,"readSince":"0.9.0"');
    expect(refusal(() => readCutSvg(later)).hint).toContain('0.9.0');
  });
});

describe('a DXF is not read', () => {
  const upsideDown = changed(dxf, '\n40\n4.5\n', '\n40\n4.5\n230\n-1.0\n');
  test.each<[string, string, string, string]>([
    ['that is cut short', dxf.slice(0, -8), 'cut-dxf-short', 'EOF'],
    ['that is cut within a line', dxf.slice(0, 2500), 'cut-dxf-short', 'line'],
    ['that is no DXF', '<svg/>', 'cut-not-dxf', 'not a DXF'],
    ['that is empty', '', 'cut-not-dxf', 'not a DXF'],
    ['with a line missing', changed(dxf, '\nAcDbEntity\n', '\n'), 'cut-dxf-broken', 'AcDb'],
    ['in inches', changed(dxf, '$INSUNITS\n70\n4\n', '$INSUNITS\n70\n1\n'), 'cut-dxf-units', 'number 1'],
    ['without units', changed(dxf, '9\n$INSUNITS\n70\n4\n', ''), 'cut-dxf-units', 'does not say'],
    [
      'without the size of its sheet',
      changed(dxf, '9\n$LIMMAX\n10\n60.0\n20\n40.0\n', ''),
      'cut-dxf-limits',
      '0 x 0',
    ],
    [
      'without its record',
      changed(dxf, '3\nINLAYWRIGHT_CUT_RECORD\n', '3\nOTHER\n'),
      'cut-record-missing',
      '1 cut inside, 3 cut outside, 2 mark',
    ],
    [
      'with a record of a later version',
      changed(dxf, '"version":1,', '"version":2,'),
      'cut-version',
      'version 2',
    ],
    ['with NaN for a number', changed(dxf, '\n40\n4.5\n', '\n40\nNaN\n'), 'cut-dxf-number', 'NaN'],
    ['with a decimal comma', changed(dxf, '\n40\n4.5\n', '\n40\n4,5\n'), 'cut-dxf-number', '4,5'],
    ['with a radius of zero', changed(dxf, '\n40\n4.5\n', '\n40\n0.0\n'), 'cut-dxf-entity', 'radius'],
    [
      'with a vertex without y',
      changed(dxf, '10\n12.0\n20\n20.0\n', '10\n12.0\n'),
      'cut-dxf-entity',
      'without y',
    ],
    ['with an open outline', changed(dxf, '\n90\n6\n70\n1\n', '\n90\n6\n70\n0\n'), 'cut-open', 'open line'],
    ['with an entity seen from below', upsideDown, 'cut-dxf-plane', '-1.0'],
  ])('%s', (_, text, code, words) => {
    const error = refusal(() => readCutDxf(text));
    expect(error.code).toBe(code);
    expect(`${error.message} ${error.where}`).toContain(words);
    expect(error.hint.length).toBeGreaterThan(10);
  });
});

test('an arc too small or too flat for the grid is written as a line', () => {
  const curve = bentPolygon(
    [
      { x: 10, y: 10 },
      { x: 10.00002, y: 10 },
      { x: 20, y: 20 },
      { x: 10, y: 20 },
    ],
    [2, 0, 1e-8, 0],
  );
  const text = writeCutSvg(outlined(curve));
  expect(text).toContain('d="M10 30L10.00002 30L20 20L10 20L10 30Z"');
});
