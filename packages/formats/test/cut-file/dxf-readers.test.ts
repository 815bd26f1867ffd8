import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type ArcSegment, circleCurve, polygonCurve, reverseCurve } from '@inlaywright/geometry';
import type { CutSheet } from '@inlaywright/workshop';
import DxfParser, { type ICircleEntity, type IEntity, type ILwpolylineEntity } from 'dxf-parser';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readCutDxf, writeCutDxf } from '../../src/index.ts';
import { ANGLE_PIECE, bentPolygon, placedPart, randomSheet, SEED, seedPodSheet, sheetOf } from './sheets.ts';

const reference = JSON.parse(
  readFileSync(new URL('../reference/cut-file-formats.json', import.meta.url), 'utf8'),
) as { dxf: { checks?: { b: number; c: number; R: number; s?: number; angle_deg?: number }[] }[] };

const LAYER = { inside: 'CUT_INSIDE', outside: 'CUT_OUTSIDE' } as const;

/** Sheets that try the format: the plain one, extremes of size, unusual names, and twelve random ones. */
const sheets: { name: string; sheet: CutSheet }[] = [
  { name: 'seed pod', sheet: seedPodSheet() },
  {
    name: 'half turns, tiny arcs and a large sheet',
    sheet: sheetOf(
      [
        placedPart('p1', [
          {
            role: 'outside',
            curve: bentPolygon(
              [
                { x: 1, y: 450 },
                { x: 899, y: 450 },
              ],
              [Math.PI * 0.9, Math.PI * 0.9],
            ),
          },
          {
            role: 'inside',
            curve: reverseCurve(
              bentPolygon(
                [
                  { x: 400, y: 400 },
                  { x: 400.1, y: 400 },
                  { x: 400.1, y: 401 },
                  { x: 400, y: 401 },
                ],
                [-Math.PI, 0, -Math.PI, 0],
              ),
            ),
          },
        ]),
        placedPart('p2', [{ role: 'outside', curve: circleCurve({ x: 0.05, y: 0.05 }, 0.05) }]),
      ],
      { widthMm: 900, heightMm: 900 },
    ),
  },
  {
    name: 'unusual names',
    sheet: sheetOf([placedPart('p1', [{ role: 'outside', curve: ANGLE_PIECE }], { label: '1L\u21ba "ß"' })], {
      piece: 'Mondphasen "für Übung" <& Söhne> \u{1F31B} %%c ^J \\U+00C4',
      stock: 'Kirsche, 3 mm\nzweite Zeile',
    }),
  },
  ...fc
    .sample(randomSheet, { seed: SEED, numRuns: 12 })
    .map((sheet, i) => ({ name: `random sheet ${i}`, sheet })),
];

/** Contours in the order of the file with their layer: inside ones of all parts, then outside ones. */
function contoursInOrder(sheet: CutSheet) {
  return (['inside', 'outside'] as const).flatMap((role) =>
    sheet.parts.flatMap((part) =>
      part.contours.filter((contour) => contour.role === role).map(({ curve }) => ({ role, curve, part })),
    ),
  );
}

describe('dxf-parser (npm), an independent reader', () => {
  test.each(sheets)('$name: units, layers, every vertex, bulge and circle', ({ sheet }) => {
    const dxf = new DxfParser().parseSync(writeCutDxf(sheet))!;
    expect(dxf.header).toMatchObject({ $ACADVER: 'AC1015', $INSUNITS: 4, $MEASUREMENT: 1 });
    expect(dxf.header.$LIMMAX).toEqual({ x: sheet.widthMm, y: sheet.heightMm });
    expect(Object.keys(dxf.tables.layer.layers).sort()).toEqual(['0', 'CUT_INSIDE', 'CUT_OUTSIDE', 'MARK']);

    const back = readCutDxf(writeCutDxf(sheet));
    const wanted = contoursInOrder(back);
    const marks = back.parts.flatMap((part) => part.marks);
    expect(dxf.entities.length).toBe(wanted.length + marks.length);
    for (const [i, mark] of marks.entries()) {
      const entity = dxf.entities[i] as ILwpolylineEntity;
      expect(entity.layer).toBe('MARK');
      expect(entity.shape).toBe(false);
      expect(entity.vertices.map(({ x, y }) => ({ x, y }))).toEqual(mark.points);
    }
    for (const [i, { role, curve }] of wanted.entries()) {
      const entity = dxf.entities[marks.length + i] as IEntity;
      expect(entity.layer).toBe(LAYER[role]);
      const first = curve.segments[0]!;
      if (entity.type === 'CIRCLE') {
        const circle = entity as ICircleEntity;
        expect([circle.center.x, circle.center.y, circle.radius]).toEqual(
          numbersOfCircle(first as ArcSegment),
        );
        continue;
      }
      const polyline = entity as ILwpolylineEntity;
      expect(polyline.type).toBe('LWPOLYLINE');
      expect(polyline.shape).toBe(true);
      expect(polyline.vertices.length).toBe(curve.segments.length);
      for (const [k, vertex] of polyline.vertices.entries()) {
        const segment = curve.segments[k]!;
        expect([vertex.x, vertex.y]).toEqual([segment.from.x, segment.from.y]);
        const bulge = segment.kind === 'arc' ? Math.tan(segment.sweep / 4) : 0;
        expect(vertex.bulge ?? 0).toBeCloseTo(bulge, 11);
      }
    }
  });
});

function numbersOfCircle(circle: ArcSegment): number[] {
  return [circle.centre.x, circle.centre.y, circle.radius];
}

interface EzdxfEntity {
  type: string;
  layer: string;
  data: string[];
  points: [number, number, number][];
  closed: boolean;
  arcs: ({ x: number; y: number; radius: number; start: number; end: number } | null)[];
  x: number;
  y: number;
  radius: number;
}
interface EzdxfReport {
  version: string;
  units: number;
  measurement: number;
  limits: [number, number];
  extents: [[number, number], [number, number]];
  layers: string[];
  errors: string[];
  fixes: string[];
  entities: EzdxfEntity[];
  record: string;
}

const PYTHON = '/usr/bin/python3';
const hasEzdxf = spawnSync(PYTHON, ['-c', 'import ezdxf']).status === 0;
const mustRun = process.env.CI === 'true';

test.runIf(mustRun)('ezdxf is there for the checks of DXF files', () => {
  expect(hasEzdxf, 'install the Debian package python3-ezdxf').toBe(true);
});

function ezdxfReports(texts: readonly string[]): EzdxfReport[] {
  const folder = mkdtempSync(join(tmpdir(), 'cut-dxf-'));
  try {
    const paths = texts.map((text, i) => {
      const path = join(folder, `${i}.dxf`);
      writeFileSync(path, text);
      return path;
    });
    const script = fileURLToPath(new URL('./ezdxf-report.py', import.meta.url));
    return JSON.parse(
      execFileSync(PYTHON, [script, ...paths], { encoding: 'utf8', maxBuffer: 1e8 }),
    ) as EzdxfReport[];
  } finally {
    rmSync(folder, { recursive: true });
  }
}

test.skipIf(!hasEzdxf && !mustRun)(
  `ezdxf (python3-ezdxf), an independent reader: strict reading, audit and arc geometry${hasEzdxf ? '' : ' (skipped: ezdxf cannot be imported by /usr/bin/python3)'}`,
  () => {
    const texts = sheets.map(({ sheet }) => writeCutDxf(sheet));
    // A fault that the audit must find, so that its silence about the others means something.
    const faulty = texts[0]!.replace('\n8\nCUT_INSIDE\n', '\n8\nCUT_INSIDE\n6\nNoSuchLine\n');
    expect(faulty).not.toBe(texts[0]);
    const [control, ...reports] = ezdxfReports([faulty, ...texts]);
    expect(control!.errors.length + control!.fixes.length).toBeGreaterThan(0);
    expect(reports.length).toBe(sheets.length);
    let arcs = 0;
    for (const [i, report] of reports.entries()) {
      const { sheet } = sheets[i]!;
      expect(report.errors).toEqual([]);
      expect(report.fixes).toEqual([]);
      expect(report).toMatchObject({ version: 'AC1015', units: 4, measurement: 1 });
      expect(report.limits).toEqual([sheet.widthMm, sheet.heightMm]);
      expect(report.layers).toEqual(
        ['0', 'CUT_INSIDE', 'CUT_OUTSIDE', 'Defpoints', 'MARK'].filter((l) => report.layers.includes(l)),
      );
      for (const layer of ['CUT_INSIDE', 'CUT_OUTSIDE', 'MARK']) expect(report.layers).toContain(layer);
      expect((JSON.parse(report.record) as { piece: string }).piece).toBe(sheet.piece);

      const back = readCutDxf(writeCutDxf(sheet));
      const wanted = contoursInOrder(back);
      const cuts = report.entities.filter((entity) => entity.layer !== 'MARK');
      expect(cuts.length).toBe(wanted.length);
      for (const [j, { role, curve, part }] of wanted.entries()) {
        const entity = cuts[j]!;
        expect(entity.layer).toBe(LAYER[role]);
        expect(entity.data.slice(0, 3)).toEqual([
          `part=${part.part}`,
          `hand=${part.hand}`,
          `turned=${part.turned}`,
        ]);
        if (entity.type === 'CIRCLE') {
          expect([entity.x, entity.y, entity.radius]).toEqual(
            numbersOfCircle(curve.segments[0] as ArcSegment),
          );
          continue;
        }
        expect(entity.closed).toBe(true);
        for (const [k, segment] of curve.segments.entries()) {
          expect(entity.points[k]!.slice(0, 2)).toEqual([segment.from.x, segment.from.y]);
          const arc = entity.arcs[k]!;
          if (segment.kind !== 'arc') {
            expect(arc).toBeNull();
            continue;
          }
          arcs++;
          // ezdxf's own centre and radius; nearly straight arcs have far centres, so relative to the radius.
          const scale = 1e-9 * Math.max(1, segment.radius);
          expect(Math.hypot(arc!.x - segment.centre.x, arc!.y - segment.centre.y)).toBeLessThan(scale);
          expect(Math.abs(arc!.radius - segment.radius)).toBeLessThan(scale);
          const turn = (arc!.end - arc!.start + 4 * Math.PI) % (2 * Math.PI);
          expect(turn).toBeCloseTo(Math.abs(segment.sweep), 6);
        }
      }
      expect(extentsHold(report, back)).toBe(true);
    }
    expect(arcs).toBeGreaterThan(50);
  },
);

/** Every vertex within the header's extents, and each of the four extents touched by something within its own arcs. */
function extentsHold(report: EzdxfReport, sheet: CutSheet): boolean {
  const [[minX, minY], [maxX, maxY]] = report.extents;
  const xs: number[] = [];
  const ys: number[] = [];
  for (const { curve } of contoursInOrder(sheet)) {
    for (const segment of curve.segments) {
      for (let i = 0; i <= 2000; i++) {
        const p = pointOn(segment, i / 2000);
        xs.push(p.x);
        ys.push(p.y);
      }
    }
  }
  for (const { points } of sheet.parts.flatMap((part) => part.marks)) {
    for (const p of points) {
      xs.push(p.x);
      ys.push(p.y);
    }
  }
  const close = (a: number, b: number): boolean => Math.abs(a - b) < 1e-3;
  const least = (values: number[]): number => values.reduce((a, b) => Math.min(a, b));
  const most = (values: number[]): number => values.reduce((a, b) => Math.max(a, b));
  return close(least(xs), minX) && close(least(ys), minY) && close(most(xs), maxX) && close(most(ys), maxY);
}

function pointOn(
  segment: ReturnType<typeof contoursInOrder>[number]['curve']['segments'][number],
  t: number,
) {
  const { from, to } = segment;
  if (segment.kind !== 'arc') return { x: from.x + t * (to.x - from.x), y: from.y + t * (to.y - from.y) };
  const { centre, radius, sweep } = segment;
  const angle = Math.atan2(from.y - centre.y, from.x - centre.x) + t * sweep;
  return { x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) };
}

test('bulges agree with the published rule, radius and sagitta', () => {
  // DXF Reference, VERTEX: bulge = tan(included angle / 4); R = c (1 + b^2) / (4 b), s = b c / 2 (reference file).
  const checks = reference.dxf.flatMap((entry) => entry.checks ?? []);
  expect(checks.length).toBe(2);
  for (const { b, c, R, s, angle_deg } of checks) {
    const sweep = 4 * Math.atan(b);
    if (angle_deg !== undefined) expect((sweep * 180) / Math.PI).toBeCloseTo(angle_deg, 6);
    const text = writeCutDxf(
      sheetOf([
        placedPart('p1', [
          {
            role: 'outside',
            curve: bentPolygon(
              [
                { x: 10, y: 10 },
                { x: 10 + c, y: 10 },
                { x: 10 + c, y: 20 },
                { x: 10, y: 20 },
              ],
              [sweep],
            ),
          },
        ]),
      ]),
    );
    const arcs = readCutDxf(text).parts[0]!.contours[0]!.curve.segments.filter(
      (x): x is ArcSegment => x.kind === 'arc',
    );
    // A half turn is written in two halves.
    expect(arcs.reduce((sum, arc) => sum + arc.sweep, 0)).toBeCloseTo(sweep, 6);
    for (const arc of arcs) {
      expect(arc.radius).toBeCloseTo(R, 6);
      if (s !== undefined) expect(arc.centre.y - arc.radius).toBeCloseTo(10 - s, 6);
    }
  }
});

test('the file carries the cautions and only ASCII, in lines short enough for every reader', () => {
  for (const { sheet } of sheets) {
    const text = writeCutDxf(sheet);
    expect(text.startsWith('999\nCAUTION.')).toBe(true);
    expect(text).toContain('Never leave a running machine unattended');
    expect(/^[\n -~]*$/.test(text)).toBe(true);
    expect(text.split('\n').every((line) => line.length <= 250)).toBe(true);
    expect(text.endsWith('0\nEOF\n')).toBe(true);
  }
});

test('no handle occurs twice, and the header names the next free one', () => {
  const text = writeCutDxf(seedPodSheet());
  const lines = text.split('\n');
  const handles: string[] = [];
  let next = '';
  for (let i = 0; i + 1 < lines.length; i += 2) {
    if (lines[i] === '9' && lines[i + 1] === '$HANDSEED') next = lines[i + 3]!;
    else if ((lines[i] === '5' && lines[i - 1] !== '$HANDSEED') || lines[i] === '105')
      handles.push(lines[i + 1]!);
  }
  expect(handles.length).toBeGreaterThan(30);
  expect(new Set(handles).size).toBe(handles.length);
  expect(Math.max(...handles.map((handle) => Number.parseInt(handle, 16)))).toBeLessThan(
    Number.parseInt(next, 16),
  );
});

test('numbers stand in plain decimals', () => {
  const curve = polygonCurve([
    { x: 1e-7, y: 0 },
    { x: 12, y: 0.000001 },
    { x: 3, y: 7.25 },
  ]);
  const text = writeCutDxf(sheetOf([placedPart('p1', [{ role: 'outside', curve }])]));
  expect(text).toContain('10\n0.0\n20\n0.0\n10\n12.0\n20\n0.000001\n10\n3.0\n20\n7.25\n');
  const flat = bentPolygon(
    [
      { x: 10, y: 10 },
      { x: 20, y: 10 },
      { x: 20, y: 20 },
    ],
    [1e-6],
  );
  expect(writeCutDxf(sheetOf([placedPart('p1', [{ role: 'outside', curve: flat }])]))).toContain(
    '\n42\n0.000000250000\n',
  );
});
