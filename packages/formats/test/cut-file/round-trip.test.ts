import { type Curve, directedHausdorff, isCircle, signedArea } from '@inlaywright/geometry';
import type { CutSheet } from '@inlaywright/workshop';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readCutDxf, readCutSvg, writeCutDxf, writeCutSvg } from '../../src/index.ts';
import { ANGLE_PIECE, bentPolygon, placedPart, randomSheet, SEED, seedPodSheet, sheetOf } from './sheets.ts';

const formats = [
  { name: 'SVG', write: (sheet: CutSheet) => writeCutSvg(sheet), read: readCutSvg },
  { name: 'DXF', write: writeCutDxf, read: readCutDxf },
];

/** Greatest distance found between two curves, either way, sampled at 200 points a segment or more. */
function measured(a: Curve, b: Curve): number {
  const length = Math.max(...[a, b].flatMap(({ segments }) => segments.map(spanOf)));
  const step = Math.max(length / 200, 1e-4);
  return Math.max(directedHausdorff([a], [b], step).lower, directedHausdorff([b], [a], step).lower);
}

function spanOf(segment: Curve['segments'][number]): number {
  if (segment.kind === 'arc') return segment.radius * Math.abs(segment.sweep);
  return Math.hypot(segment.to.x - segment.from.x, segment.to.y - segment.from.y);
}

function insideFirst(contours: CutSheet['parts'][number]['contours']): CutSheet['parts'][number]['contours'] {
  return [...contours.filter((c) => c.role === 'inside'), ...contours.filter((c) => c.role === 'outside')];
}

describe.each(formats)('$name', ({ write, read }) => {
  test('what is written comes back: parts, hands, labels, placements, marks, fit and seams', () => {
    const sheet = seedPodSheet();
    const back = read(write(sheet));
    expect(back.warnings).toEqual([]);
    expect({ ...back, warnings: undefined, parts: undefined }).toEqual({
      ...sheet,
      warnings: undefined,
      parts: undefined,
    });
    expect(back.parts.map(({ contours, ...part }) => part)).toEqual(
      sheet.parts.map(({ contours, ...part }) => part),
    );
    for (const [i, part] of sheet.parts.entries()) {
      expect(back.parts[i]!.contours.map((c) => c.role)).toEqual(part.contours.map((c) => c.role));
      for (const [j, { curve }] of part.contours.entries()) {
        expect(measured(back.parts[i]!.contours[j]!.curve, curve)).toBeLessThan(2e-6);
      }
    }
  });

  test('random sheets of lines, arcs and circles come back within 0.1 um, each contour in its own direction', () => {
    let worst = 0;
    let curves = 0;
    fc.assert(
      fc.property(randomSheet, (sheet) => {
        const back = read(write(sheet));
        expect(back.warnings).toEqual([]);
        expect(back.parts.length).toBe(sheet.parts.length);
        for (const [i, part] of sheet.parts.entries()) {
          const got = back.parts[i]!;
          expect({ ...got, contours: 0, marks: 0 }).toEqual({ ...part, contours: 0, marks: 0 });
          const wanted = insideFirst(part.contours);
          expect(got.contours.length).toBe(wanted.length);
          for (const [j, { role, curve }] of wanted.entries()) {
            const read = got.contours[j]!;
            expect(read.role).toBe(role);
            const distance = measured(read.curve, curve);
            expect(distance).toBeLessThan(1e-4);
            if (isCircle(curve, 1e-9))
              expect(Math.sign(signedArea(read.curve))).toBe(Math.sign(signedArea(curve)));
            worst = Math.max(worst, distance);
            curves++;
          }
          expect(got.marks.length).toBe(part.marks.length);
          for (const [j, { points }] of part.marks.entries()) {
            for (const [k, p] of points.entries()) {
              const q = got.marks[j]!.points[k]!;
              expect(Math.hypot(p.x - q.x, p.y - q.y)).toBeLessThan(5e-5);
            }
          }
        }
      }),
      { seed: SEED, numRuns: 150 },
    );
    expect(curves).toBeGreaterThan(300);
    // Known figure, kept tight: rounding to the 1 nm grid, some nanometres where the arcs turn most.
    expect(worst).toBeLessThan(1e-5);
  });

  test('writing what was read gives the same bytes', () => {
    fc.assert(
      fc.property(randomSheet, (sheet) => {
        const text = write(sheet);
        expect(write(sheet)).toBe(text);
        expect(write(read(text))).toBe(text);
      }),
      { seed: SEED, numRuns: 40 },
    );
  });

  test.each([
    ['a half turn', Math.PI],
    ['a hair under a half turn', Math.PI - 1e-9],
    ['a hair over a half turn', Math.PI + 1e-9],
    ['nearly a whole turn', 2 * Math.PI - 1e-4],
    ['nearly a whole turn, clockwise', -2 * Math.PI + 1e-4],
    ['a turn of exactly the longest written arc', (5 * Math.PI) / 6],
  ])('an arc of %s comes back within 0.1 um', (_, sweep) => {
    for (const size of [0.05, 3, 90]) {
      const chord = 2 * size * Math.abs(Math.sin(sweep / 2));
      const points = [
        { x: 450, y: 450 },
        { x: 450 + chord * 0.6, y: 450 + chord * 0.8 },
        { x: 450 + size, y: 450 - size },
      ];
      const curve = bentPolygon(points, [sweep]);
      const sheet = sheetOf([placedPart('p1', [{ role: 'outside', curve }])], {
        widthMm: 900,
        heightMm: 900,
      });
      const back = read(write(sheet)).parts[0]!.contours[0]!.curve;
      expect(measured(back, curve)).toBeLessThan(1e-5);
    }
  });

  test('an arc of 0.05 mm radius stays an arc of that radius', () => {
    const corner = bentPolygon(
      [
        { x: 10, y: 10 },
        { x: 20, y: 10 },
        { x: 20.05, y: 10.05 },
        { x: 20.05, y: 20 },
      ],
      [0, Math.PI / 2],
    );
    const back = read(write(sheetOf([placedPart('p1', [{ role: 'outside', curve: corner }])])));
    const arc = back.parts[0]!.contours[0]!.curve.segments[1]!;
    expect(arc.kind === 'arc' && Math.abs(arc.radius - 0.05) < 1e-9).toBe(true);
  });

  test('corners at all four edges of a 900 mm sheet keep their place', () => {
    const frame = bentPolygon(
      [
        { x: 0, y: 0 },
        { x: 900, y: 0 },
        { x: 900, y: 900 },
        { x: 0, y: 900 },
      ],
      [],
    );
    const sheet = sheetOf([placedPart('p1', [{ role: 'outside', curve: frame }])], {
      widthMm: 900,
      heightMm: 900,
    });
    const back = read(write(sheet));
    expect([back.widthMm, back.heightMm]).toEqual([900, 900]);
    expect(back.parts[0]!.contours[0]!.curve).toEqual(frame);
  });

  test('a shape without symmetry is neither mirrored nor turned over', () => {
    const back = read(write(sheetOf([placedPart('p1', [{ role: 'outside', curve: ANGLE_PIECE }])])));
    expect(back.parts[0]!.contours[0]!.curve).toEqual(ANGLE_PIECE);
  });

  test('unusual names come back unchanged and the file stays plain text', () => {
    const names = [
      'Mondphasen "für Übung" <& Söhne>',
      "]]> --> & 'q' \\u0041 ^J %%d",
      '\u{1F31B}\u{1F343} Blatt',
      ' leading and trailing ',
      'line\nbreak\ttab\u0001bell',
      'lone \ud800 half',
      '\ufffe\uffff',
      'a'.repeat(700),
      '',
    ];
    for (const name of names) {
      const part = placedPart('p1', [{ role: 'outside', curve: ANGLE_PIECE }], { label: name, tone: name });
      const sheet = sheetOf([part], { piece: name, stock: name });
      const back = read(write(sheet));
      expect(back.piece).toBe(name);
      expect(back.stock).toBe(name);
      expect(back.parts[0]!.label).toBe(name);
      expect(back.warnings).toEqual([]);
    }
    const odd = placedPart('p "ä" <&> ^ \\ ☾', [{ role: 'outside', curve: ANGLE_PIECE }]);
    expect(read(write(sheetOf([odd]))).parts[0]!.part).toBe('p "ä" <&> ^ \\ ☾');
  });

  test('circles stay circles, also those made of several arcs', () => {
    const half = bentPolygon(
      [
        { x: 20, y: 20 },
        { x: 26, y: 20 },
      ],
      [Math.PI, Math.PI],
    );
    const back = read(write(sheetOf([placedPart('p1', [{ role: 'outside', curve: half }])])));
    const curve = back.parts[0]!.contours[0]!.curve;
    expect(curve.segments.length).toBe(1);
    const circle = isCircle(curve, 1e-12);
    expect(circle?.centre.x).toBeCloseTo(23, 9);
    expect(circle?.centre.y).toBeCloseTo(20, 9);
    expect(circle?.radius).toBeCloseTo(3, 9);
    expect(signedArea(curve)).toBeGreaterThan(0);
  });
});
