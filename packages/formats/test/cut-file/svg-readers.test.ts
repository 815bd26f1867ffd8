import { readFileSync } from 'node:fs';
import { type ArcSegment, circleCurve, reverseCurve } from '@inlaywright/geometry';
import type { CutSheet } from '@inlaywright/workshop';
import { Resvg } from '@resvg/resvg-js';
import fc from 'fast-check';
import { type SaxesAttributePlain, SaxesParser } from 'saxes';
import { type CommandA, SVGPathData, SVGPathDataTransformer } from 'svg-pathdata';
import { describe, expect, test } from 'vitest';
import { CUT_ROLES, readCutSvg, writeCutSvg } from '../../src/index.ts';
import { ANGLE_PIECE, bentPolygon, placedPart, randomSheet, SEED, seedPodSheet, sheetOf } from './sheets.ts';

const reference = JSON.parse(
  readFileSync(new URL('../reference/cut-file-formats.json', import.meta.url), 'utf8'),
) as { svg: { pxPerMm?: number }[] };

interface Element {
  readonly tag: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly group: string | undefined;
}

/** The elements of a file by a plain XML parser, each with the id of its group. */
function elementsOf(text: string): Element[] {
  const elements: Element[] = [];
  const groups: (string | undefined)[] = [];
  const parser = new SaxesParser();
  parser.on('error', (error) => {
    throw error;
  });
  parser.on('opentag', ({ name, attributes }) => {
    const plain = attributes as Record<string, Extract<SaxesAttributePlain['value'], string>>;
    elements.push({ tag: name, attributes: plain, group: groups.findLast((id) => id !== undefined) });
    groups.push(name === 'g' ? plain.id : undefined);
  });
  parser.on('closetag', () => groups.pop());
  parser.write(text).close();
  return elements;
}

test('one user unit is one millimetre', () => {
  for (const [widthMm, heightMm] of [
    [60, 40],
    [900, 900],
    [120.5, 80.000001],
  ] as const) {
    const root = elementsOf(writeCutSvg({ ...seedPodSheet(), widthMm, heightMm }))[0]!;
    expect(root.attributes).toMatchObject({
      width: `${widthMm}mm`,
      height: `${heightMm}mm`,
      viewBox: `0 0 ${widthMm} ${heightMm}`,
    });
  }
});

test('one named group a role, in the order they are run, told apart by word and width as well as by colour', () => {
  const groups = elementsOf(writeCutSvg(seedPodSheet())).filter((element) => element.tag === 'g');
  expect(groups.map(({ attributes }) => attributes.id)).toEqual(['mark', 'cut-inside', 'cut-outside']);
  expect(groups.map(({ attributes }) => attributes['data-role'])).toEqual([
    'mark',
    'cut inside',
    'cut outside',
  ]);
  for (const name of ['stroke', 'stroke-width', 'aria-label']) {
    expect(new Set(groups.map(({ attributes }) => attributes[name])).size).toBe(3);
  }
  for (const { attributes } of groups) {
    expect(attributes.fill).toBe('none');
    expect(Number(attributes['stroke-width'])).toBeLessThanOrEqual(0.025);
    expect(attributes['stroke-dasharray']).toBeUndefined();
  }
});

test('lines of a role can be given another colour, width and dashes', () => {
  const text = writeCutSvg(seedPodSheet(), {
    lines: { mark: { colour: '#d55e00', widthMm: 0.1, dashMm: [1, 0.5] } },
  });
  const groups = elementsOf(text).filter((element) => element.tag === 'g');
  expect(groups[0]!.attributes).toMatchObject({
    stroke: '#d55e00',
    'stroke-width': '0.1',
    'stroke-dasharray': '1 0.5',
  });
  expect(groups[1]!.attributes.stroke).toBe(CUT_ROLES[1]!.line.colour);
  expect(readCutSvg(text).warnings).toEqual([]);
});

test('every line carries its part, hand and whether it is turned', () => {
  const lines = elementsOf(writeCutSvg(seedPodSheet())).filter(
    ({ tag }) => tag === 'path' || tag === 'circle',
  );
  const owners = lines.map(({ group, tag, attributes: a }) =>
    [group, tag, a['data-part'], a['data-hand'], a['data-turned']].join(' '),
  );
  expect(owners).toEqual([
    'mark path p1 left false',
    'cut-inside circle p1 left false',
    'cut-outside path p1 left false',
    'cut-outside path p2 left true',
    'cut-outside circle p2 right true',
  ]);
});

test('the cautions stand at the head as a comment that XML allows', () => {
  const text = writeCutSvg(seedPodSheet());
  const comment = /<!--([\s\S]*?)-->/.exec(text)![1]!;
  expect(comment).toContain('Never leave a running machine unattended');
  expect(comment).toContain('manual');
  expect(comment.includes('--')).toBe(false);
  expect(text.indexOf('<!--')).toBeLessThan(text.indexOf('<svg'));
});

const randomSheets = fc.sample(randomSheet, { seed: SEED, numRuns: 25 });

describe('svg-pathdata (npm), an independent reader of path data', () => {
  test('every arc has the centre and radius that the sheet has', () => {
    let arcs = 0;
    for (const sheet of randomSheets) {
      const paths = elementsOf(writeCutSvg(sheet)).filter(
        ({ tag, group }) => tag === 'path' && group !== 'mark',
      );
      const curves = cutCurves(readCutSvg(writeCutSvg(sheet))).filter((curve) => curve.segments.length > 1);
      expect(paths.length).toBe(curves.length);
      for (const [i, path] of paths.entries()) {
        const commands = new SVGPathData(path.attributes.d!).transform(
          SVGPathDataTransformer.ANNOTATE_ARCS(),
        ).commands;
        // A move, one command a segment, and the closing Z.
        const drawn = commands.slice(1, -1);
        expect(drawn.length).toBe(curves[i]!.segments.length);
        for (const [k, command] of drawn.entries()) {
          if (command.type !== SVGPathData.ARC) continue;
          arcs++;
          const { cX, cY, rX, rY } = command as CommandA;
          const arc = curves[i]!.segments[k] as ArcSegment;
          expect(arc.kind).toBe('arc');
          // Nearly straight arcs have far centres: relative to the radius.
          const slack = 1e-9 * Math.max(1, arc.radius);
          expect(rX).toBe(rY);
          expect(Math.abs(rX - arc.radius)).toBeLessThan(slack);
          expect(Math.hypot(cX! - arc.centre.x, sheet.heightMm - cY! - arc.centre.y)).toBeLessThan(slack);
          expect(command.lArcFlag).toBe(0);
          expect(command.sweepFlag === 1).toBe(arc.sweep < 0);
        }
      }
    }
    expect(arcs).toBeGreaterThan(150);
  });

  test('no number has more than six decimals or an exponent', () => {
    for (const sheet of randomSheets) {
      for (const { tag, attributes } of elementsOf(writeCutSvg(sheet))) {
        const numbers = tag === 'path' ? attributes.d! : `${attributes.cx ?? ''} ${attributes.r ?? ''}`;
        expect(numbers).not.toMatch(/\d\.\d{7,}|\d[eE]|NaN|Infinity/);
      }
    }
  });
});

function cutCurves(sheet: CutSheet) {
  return (['inside', 'outside'] as const).flatMap((role) =>
    sheet.parts.flatMap((part) =>
      part.contours.filter((contour) => contour.role === role).map((contour) => contour.curve),
    ),
  );
}

/** Extents of what is inked, px from the upper left corner: first and one past the last column and row. */
function inked(text: string, pxPerMm: number) {
  const image = new Resvg(text, { dpi: pxPerMm * 25.4 }).render();
  const { width, height, pixels } = image;
  let left = width;
  let right = 0;
  let top = height;
  let bottom = 0;
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      if (pixels[4 * (y * width + x) + 3] === 0) continue;
      left = Math.min(left, x);
      right = Math.max(right, x + 1);
      top = Math.min(top, y);
      bottom = Math.max(bottom, y + 1);
    }
  }
  return { width, height, left, right, top, bottom };
}

describe('resvg, an independent renderer', () => {
  test('the page has its true size in mm', () => {
    // CSS Values 3: 96 px to the inch, 1 mm = 3.7795 px (reference file).
    const { pxPerMm } = reference.svg.find((entry) => entry.pxPerMm !== undefined)!;
    const image = new Resvg(writeCutSvg({ ...seedPodSheet(), widthMm: 200, heightMm: 100 })).render();
    expect(Math.abs(image.width - 200 * pxPerMm!)).toBeLessThan(1);
    expect(Math.abs(image.height - 100 * pxPerMm!)).toBeLessThan(1);
  });

  test.each([
    ['a circle', circleCurve({ x: 6, y: 5 }, 4), { left: 2, right: 10, top: 3, bottom: 11 }],
    [
      'a clockwise circle',
      reverseCurve(circleCurve({ x: 6, y: 5 }, 4)),
      { left: 2, right: 10, top: 3, bottom: 11 },
    ],
    [
      'a half disc, its arc below',
      bentPolygon(
        [
          { x: 2, y: 10 },
          { x: 12, y: 10 },
        ],
        [Math.PI, 0],
      ),
      { left: 2, right: 12, top: 2, bottom: 7 },
    ],
    [
      'nearly a whole turn',
      bentPolygon(
        [
          { x: 9.9, y: 6 },
          { x: 10.1, y: 6 },
        ],
        [2 * Math.PI - 0.1, 0],
      ),
      nearlyCircleBox(),
    ],
  ])('%s lies where the sheet has it, to a hundredth of a millimetre', (_, curve, box) => {
    const sheet = sheetOf([placedPart('p1', [{ role: 'outside', curve }])], { widthMm: 20, heightMm: 12 });
    const pxPerMm = 100;
    const found = inked(writeCutSvg(sheet), pxPerMm);
    expect([found.width, found.height]).toEqual([2000, 1200]);
    const half = (0.025 / 2) * pxPerMm;
    expect(Math.abs(found.left - (box.left * pxPerMm - half))).toBeLessThan(1.01);
    expect(Math.abs(found.right - (box.right * pxPerMm + half))).toBeLessThan(1.01);
    expect(Math.abs(found.top - (box.top * pxPerMm - half))).toBeLessThan(1.01);
    expect(Math.abs(found.bottom - (box.bottom * pxPerMm + half))).toBeLessThan(1.01);
  });

  test('a shape without symmetry is drawn upright', () => {
    const sheet = sheetOf([placedPart('p1', [{ role: 'outside', curve: ANGLE_PIECE }])], {
      widthMm: 40,
      heightMm: 25,
    });
    const image = new Resvg(writeCutSvg(sheet), { dpi: 20 * 25.4 }).render();
    const inkAt = (x: number, y: number): boolean => {
      const centre = Math.round(y * 20) * image.width + Math.round(x * 20);
      return [-image.width, 0, image.width].some((row) =>
        [-1, 0, 1].some((column) => (image.pixels[4 * (centre + row + column) + 3] ?? 0) > 0),
      );
    };
    // The long leg lies at the bottom (model y 3 to 8), the short one stands on the left.
    expect(inkAt(20, 25 - 3)).toBe(true);
    expect(inkAt(30, 25 - 5)).toBe(true);
    expect(inkAt(8, 25 - 20)).toBe(true);
    expect(inkAt(30, 25 - 15)).toBe(false);
    expect(inkAt(20, 25 - 20)).toBe(false);
  });

  test('a file with unusual names is drawn like one with plain names', () => {
    const plain = seedPodSheet();
    const odd = { ...plain, piece: '<&"> \u{1F31B} ä \u0001 ]]> --', stock: "it's & <svg>" };
    const draw = (sheet: CutSheet): Buffer =>
      Buffer.from(new Resvg(writeCutSvg(sheet), { dpi: 254 }).render().pixels);
    expect(draw(odd).equals(draw(plain))).toBe(true);
    expect(draw(plain).some((byte) => byte !== 0)).toBe(true);
  });
});

/** The box of the arc that turns by 2 pi - 0.1 from (9.9, 6) to (10.1, 6), in mm from the upper left corner. */
function nearlyCircleBox() {
  const radius = 0.1 / Math.sin(0.05);
  // Turning left by more than half a turn, it keeps its centre on the right of its chord: below it.
  const centreY = 6 - radius * Math.cos(0.05);
  return { left: 10 - radius, right: 10 + radius, top: 12 - centreY - radius, bottom: 12 - centreY + radius };
}
