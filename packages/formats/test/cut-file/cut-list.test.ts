import { spawnSync } from 'node:child_process';
import { circleCurve } from '@inlaywright/geometry';
import { expect, test } from 'vitest';
import { cutListRows, writeCutList } from '../../src/index.ts';
import { ANGLE_PIECE, placedPart, seedPodSheet, sheetOf } from './sheets.ts';

const areas = [
  { id: 'p1', areaMm2: 208.9894 },
  { id: 'p2', areaMm2: 60.5 },
];

test('a row a part, with the sizes of the finished part', () => {
  // A disc of 8 mm: its beam path is half the mid-depth kerf (0.155 / 2 and 0.1475 / 2) larger all round.
  const disc = sheetOf([
    placedPart('p1', [{ role: 'outside', curve: circleCurve({ x: 20, y: 20 }, 4 + 0.155 / 2) }]),
  ]);
  const [row] = cutListRows([disc], areas);
  expect(row).toMatchObject({
    part: 'p1',
    stock: 'holly-3mm',
    hand: 'single',
    turned: false,
    areaMm2: 208.9894,
  });
  expect(row!.widthMm).toBeCloseTo(8, 12);
  expect(row!.heightMm).toBeCloseTo(8 + 0.155 - 0.1475, 12);
});

test('the list is CSV by RFC 4180', () => {
  const kerf = { kerfEntry: { xMm: 0.2, yMm: 0.2 }, kerfExit: { xMm: 0.1, yMm: 0.1 }, allowanceMm: 0.03 };
  const sheet = { ...seedPodSheet(), fit: { accent: kerf, vein: kerf } };
  // An L of 25 x 17, a leaf of two arcs of 1.9 rad over 20 (wide 2 * 10 tan(1.9 / 4)), a disc of 9; less 0.15 each.
  expect(writeCutList(cutListRows([sheet], areas))).toBe(
    'part,tone,stock,hand,turned,area_mm2,width_mm,height_mm,label\r\n' +
      'p1,accent,holly-3mm,left,no,208.989,24.850,16.850,1\r\n' +
      'p2,vein,holly-3mm,left,yes,60.500,10.135,19.850,2L\r\n' +
      'p2,vein,holly-3mm,right,yes,60.500,8.850,8.850,2R\r\n',
  );
});

test('unknown areas stay empty; commas, quotes and line ends are quoted', () => {
  const part = placedPart('p5', [{ role: 'outside', curve: ANGLE_PIECE }], {
    tone: 'a "b", c',
    label: '5\r\nL',
  });
  const text = writeCutList(cutListRows([sheetOf([part], { stock: 'cherry, 3 mm' })], areas));
  expect(text.split('\r\np5')[1]).toBe(',"a ""b"", c","cherry, 3 mm",single,no,,25.000,17.000,"5\r\nL"\r\n');
});

const python = spawnSync('/usr/bin/python3', ['-c', 'import csv']).status === 0;
test.skipIf(!python)(
  `Python's csv module, an independent reader, finds the same fields${python ? '' : ' (skipped: no /usr/bin/python3)'}`,
  () => {
    const label = 'line\nbreak "quoted", ☾';
    const part = placedPart('p5', [{ role: 'outside', curve: ANGLE_PIECE }], { label });
    const script =
      'import csv,io,json,sys; print(json.dumps(list(csv.DictReader(io.StringIO(sys.stdin.buffer.read().decode("utf-8"), newline="")))))';
    const { stdout } = spawnSync('/usr/bin/python3', ['-c', script], {
      input: writeCutList(cutListRows([sheetOf([part])], areas)),
      encoding: 'utf8',
    });
    const rows = JSON.parse(stdout) as Record<string, string>[];
    expect(rows.length).toBe(1);
    expect(rows[0]).toMatchObject({ part: 'p5', stock: 'holly-3mm', turned: 'no', label });
  },
);
