import { expect, test } from 'vitest';
import { cutFiles, fileStem, readCutDxf, readCutSvg } from '../../src/index.ts';
import { seedPodSheet } from './sheets.ts';

const areas = [
  { id: 'p1', areaMm2: 209 },
  { id: 'p2', areaMm2: 60 },
];

test('a piece gives an SVG and a DXF per stock and one cut list', () => {
  const sheets = [seedPodSheet(), { ...seedPodSheet(), stock: 'Räuchereiche 3 mm' }];
  const files = cutFiles('Seed pod', sheets, areas);
  expect(files.map((file) => file.name)).toEqual([
    'seed-pod-holly-3mm.svg',
    'seed-pod-holly-3mm.dxf',
    'seed-pod-rauchereiche-3-mm.svg',
    'seed-pod-rauchereiche-3-mm.dxf',
    'seed-pod-cut-list.csv',
  ]);
  expect(readCutSvg(files[2]!.text).stock).toBe('Räuchereiche 3 mm');
  expect(readCutDxf(files[3]!.text).stock).toBe('Räuchereiche 3 mm');
  expect(files[4]!.text.split('\r\n').length).toBe(1 + 6 + 1);
});

test('no two files share a name, whatever the stocks are called', () => {
  const stocks = ['holly', 'Holly!', 'holly 2', 'holly', '', '☾'];
  const files = cutFiles(
    'Moon',
    stocks.map((stock) => ({ ...seedPodSheet(), stock })),
    areas,
  );
  expect(new Set(files.map((file) => file.name)).size).toBe(2 * stocks.length + 1);
});

test('file names hold letters, digits and hyphens only', () => {
  expect(fileStem('../Übung & <Söhne>/"ä" \u{1F31B}')).toBe('ubung-sohne-a');
  expect(fileStem('\u{1F31B}')).toBe('piece');
  expect(fileStem('x'.repeat(500)).length).toBe(60);
});
