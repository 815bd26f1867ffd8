import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { readCutDxf, readCutSvg } from '@inlaywright/formats';
import { curveBounds } from '@inlaywright/geometry';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { run } from '../src/main.ts';

/** A drop with a disc and a star in it: the star is inlaid in the disc, the small white disc can be a ring hole. */
const artwork = `<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="40mm" viewBox="0 0 30 40">
<path id="drop" fill="#8c5a2b" d="M15 1 C20 10 28 18 28 26 A13 13 0 0 1 2 26 C2 18 10 10 15 1Z"/>
<circle cx="15" cy="26" r="8" fill="#f4ead6"/>
<path d="M15 20l2 4 4.5.6-3.3 3 .9 4.4-4.1-2.2-4.1 2.2.9-4.4-3.3-3 4.5-.6z" fill="#3b2a20"/>
<circle cx="15" cy="8" r=".75" fill="#fff"/></svg>`;

let folder: string;
let printed: string[];
let complained: string[];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'inlaywright-'));
  printed = [];
  complained = [];
  vi.spyOn(console, 'log').mockImplementation((text: string) => void printed.push(text));
  vi.spyOn(console, 'error').mockImplementation((text: string) => void complained.push(text));
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => complained.push(String(text)) > 0);
});
afterEach(() => {
  vi.restoreAllMocks();
  rmSync(folder, { recursive: true, force: true });
});

function file(name: string, text: string): string {
  const path = join(folder, name);
  writeFileSync(path, text);
  return path;
}

async function json(...argv: string[]): Promise<{ code: number; result: ReturnType<typeof JSON.parse> }> {
  const code = await run([...argv, '--json']);
  return { code, result: JSON.parse(printed.join('\n')) };
}

const mapping = [
  '--tone',
  '#8c5a2b=ground',
  '--tone',
  '#f4ead6=moon',
  '--tone',
  '#3B2A20=star',
  '--pierce',
  '#fff',
];

test('artwork becomes cut files whose seams press by the allowance', async () => {
  const out = join(folder, 'cut');
  const { code, result } = await json(
    'make',
    file('drop.svg', artwork),
    '--out',
    out,
    '--kerf',
    '0,16 mm',
    '--allowance',
    '0.03',
    ...mapping,
  );
  expect(code).toBe(0);
  expect(result.parts.map((part: { tone: string }) => part.tone)).toEqual(['ground', 'moon', 'star']);
  expect(result.seams.map((seam: { id: string }) => seam.id)).toEqual(['p1-p2', 'p2-p3']);
  for (const seam of result.seams) {
    expect(seam.gapShowMm.mean).toBeCloseTo(-0.03, 3);
    expect(seam.gapShowMm.worst).toBeLessThan(0);
    expect(seam.pressShare).toBe(1);
  }
  // The circles of the drawing, checked by hand: seam of the disc 2 pi 8, its area less that of the star.
  expect(result.seams[0].lengthMm).toBeCloseTo(2 * Math.PI * 8, 1);
  expect(readdirSync(out).sort()).toEqual([
    'drop-cut-list.csv',
    ...['ground', 'moon', 'star'].flatMap((stock) => [`drop-${stock}.dxf`, `drop-${stock}.svg`]),
  ]);
  // The ring hole stays a circle, narrower by the kerf: 1.5 - 0.16 mm.
  const ground = readCutSvg(readFileSync(join(out, 'drop-ground.svg'), 'utf8')).parts[0]!;
  const holes = ground.contours
    .filter((contour) => contour.role === 'inside')
    .map((contour) => curveBounds(contour.curve));
  const widths = holes.map((box) => box.maxX - box.minX).sort((a, b) => a - b);
  expect(widths[0]).toBeCloseTo(1.34, 4);
  expect(widths[1]).toBeCloseTo(15.84, 4);
});

test('the dry fit of the folder, of its DXF files and of make itself agree', async () => {
  const out = join(folder, 'cut');
  const made = await json(
    'make',
    file('drop.svg', artwork),
    '--out',
    out,
    '--kerf',
    '0.2',
    '--allowance',
    '0.025',
    '--pair',
    ...mapping,
  );
  printed = [];
  const again = await json('dryfit', out);
  expect(again.code).toBe(0);
  expect(again.result.seams).toEqual(made.result.seams);
  expect(again.result.seams).toHaveLength(4);
  for (const name of readdirSync(out)) if (name.endsWith('.svg')) rmSync(join(out, name));
  printed = [];
  const fromDxf = await json('dryfit', out);
  fromDxf.result.seams.forEach((seam: { gapShowMm: { mean: number } }, i: number) => {
    expect(seam.gapShowMm.mean).toBeCloseTo(made.result.seams[i].gapShowMm.mean, 4);
  });
});

test('a kerf guessed wrong shows as that much gap in the dry fit of the files', async () => {
  const out = join(folder, 'cut');
  await run([
    'make',
    file('drop.svg', artwork),
    '--out',
    out,
    '--kerf',
    '0.16',
    '--allowance',
    '0.03',
    ...mapping,
  ]);
  printed = [];
  const { code, result } = await json('dryfit', out, '--kerf', '0.22', '--allowance', '0.03');
  // Each wall stands back by half of the 0.06 mm: gap = -0.03 + 0.06.
  for (const seam of result.seams) expect(seam.gapShowMm.mean).toBeCloseTo(0.03, 3);
  expect(result.seams.every((seam: { pressShare: number }) => seam.pressShare < 0.05)).toBe(true);
  expect([0, 1]).toContain(code);
});

test('stocks, turned tones and left and right partners reach the files', async () => {
  const out = join(folder, 'cut');
  const { result } = await json(
    'make',
    file('drop.svg', artwork),
    '--out',
    out,
    '--pair',
    ...mapping,
    '--stock',
    'ground=Cherry 3 mm',
    '--stock',
    'moon=holly',
    '--stock',
    'star=holly',
    '--turn',
    'star',
  );
  expect(readdirSync(out)).toEqual(expect.arrayContaining(['drop-cherry-3-mm.svg', 'drop-holly.dxf']));
  const holly = readCutDxf(readFileSync(join(out, 'drop-holly.dxf'), 'utf8'));
  expect(holly.parts.map((part) => [part.tone, part.hand, part.turned]).sort()).toEqual([
    ['moon', 'left', false],
    ['moon', 'right', false],
    ['star', 'left', true],
    ['star', 'right', true],
  ]);
  expect(new Set(result.parts.map((part: { hand: string }) => part.hand))).toEqual(
    new Set(['left', 'right']),
  );
});

test('a width sets the size of the artwork, a fit file the kerf of each tone', async () => {
  const fit = {
    format: 'inlaywright-fit',
    version: 1,
    default: { kerfEntryMm: 0.18, kerfExitMm: 0.14, allowanceMm: 0.02 },
    byTone: { star: { kerfEntryMm: 0.22, kerfExitMm: 0.18, allowanceMm: 0.04 } },
  };
  const out = join(folder, 'cut');
  const { result } = await json(
    'make',
    file('drop.svg', artwork),
    '--out',
    out,
    '--fit',
    file('fit.json', JSON.stringify(fit)),
    '--width',
    '60mm',
    ...mapping,
  );
  expect(result.parts[0].widthMm).toBeGreaterThan(52);
  const [disc, star] = result.seams;
  expect(disc.gapMiddleMm.mean).toBeCloseTo(-0.02, 3);
  expect(star.gapMiddleMm.mean).toBeCloseTo(-0.04, 3);
});

const refusals: [string, () => string[], RegExp][] = [
  ['a missing file', () => ['make', join(folder, 'none.svg')], /There is no .*none\.svg/],
  ['a folder instead of a file', () => ['make', folder], /folder/],
  ['neither SVG nor JSON', () => ['make', file('x.txt', 'hello')], /neither a piece file nor SVG/],
  [
    'broken SVG',
    () => ['make', file('x.svg', '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0"')],
    /line|column/i,
  ],
  ['broken JSON', () => ['make', file('x.json', '{ "format": ')], /JSON/],
  [
    'a piece of a newer version',
    () => ['make', file('x.json', '{"format":"inlaywright-piece","version":99}')],
    /version/,
  ],
  ['a negative kerf', () => ['make', file('d.svg', artwork), '--kerf', '-0.1'], /kerf of -0.1 mm/],
  ['a kerf that is no number', () => ['make', file('d.svg', artwork), '--kerf', 'NaN'], /not a length/],
  ['an ambiguous number', () => ['make', file('d.svg', artwork), '--kerf', '1.000,16'], /two decimal marks/],
  [
    'a fill that is not there',
    () => ['make', file('d.svg', artwork), '--pierce', '#123456'],
    /No area .*#123456/,
  ],
  ['a stock for no tone', () => ['make', file('d.svg', artwork), '--stock', 'lid=oak'], /no tone "lid"/],
  [
    'a fit file beside a kerf',
    () => ['make', file('d.svg', artwork), '--fit', 'f.json', '--kerf', '0.1'],
    /already holds/,
  ],
  ['an unknown option', () => ['make', file('d.svg', artwork), '--kerv', '0.1'], /unknown option/],
  [
    'an empty drawing',
    () => ['make', file('e.svg', '<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"/>')],
    /./,
  ],
];

test.each(refusals)('%s is refused with exit code 2, and nothing is written', async (_, argv, message) => {
  const out = join(folder, 'out');
  const code = await run([...argv(), '--out', out]);
  expect(code).toBe(2);
  expect(complained.join('\n')).toMatch(message);
  expect(existsSync(out)).toBe(false);
});

test('a coupon is drawn, its trial filled in and weighed into a fit file that make takes', async () => {
  const out = join(folder, 'coupon');
  expect(await run(['coupon', '--out', out, '--stock', 'cherry-3mm', '--thickness', '3.05'])).toBe(0);
  const trial = JSON.parse(readFileSync(join(out, 'coupon-cherry-3mm.trial.json'), 'utf8'));
  const grades = [
    'falls through',
    'slides',
    'slides',
    'presses by hand',
    'presses by hand',
    'presses by hand',
    'needs a mallet',
    'will not go',
  ];
  trial.steps.forEach((step: { grade?: string }, i: number) => {
    step.grade = grades[i]!;
  });
  trial.readings = [
    { kind: 'slats', axis: 'x', face: 'entry', cuts: 10, drawnMm: 40, measuredMm: [38.3, 38.31] },
  ];
  const fit = join(folder, 'fit.json');
  printed = [];
  const { code, result } = await json('fit', file('t.json', JSON.stringify(trial)), '--out', fit);
  expect(code).toBe(0);
  expect(result.record.kerfEntry.xMm).toBeCloseTo(0.17, 2);
  expect(result.probability).toBeGreaterThan(0.5);
  printed = [];
  const made = await json(
    'make',
    file('drop.svg', artwork),
    '--out',
    join(folder, 'cut'),
    '--fit',
    fit,
    ...mapping,
  );
  expect(made.code).toBe(0);
  expect(made.result.seams[0].gapMiddleMm.mean).toBeCloseTo(-result.record.allowanceMm, 3);
  expect(made.result.seams[0].gradeProbability).toBeGreaterThan(0.5);
});

test('a trial without results and one of another stock are refused', async () => {
  const out = join(folder, 'coupon');
  await run(['coupon', '--out', out, '--stock', 'cherry-3mm', '--thickness', '3']);
  const empty = join(out, 'coupon-cherry-3mm.trial.json');
  expect(await run(['fit', empty])).toBe(2);
  expect(complained.join('\n')).toMatch(/no result/);
  const other = file('other.json', readFileSync(empty, 'utf8').replace('cherry-3mm', 'holly-3mm'));
  expect(await run(['fit', empty, '--older', other])).toBe(2);
  expect(complained.join('\n')).toMatch(/another stock/);
});

test('a coupon is not drawn for an unsafe material, nor with sizes that its trial file could not hold', async () => {
  const coupon = (...changed: string[]): Promise<number> =>
    run(['coupon', '--out', join(folder, 'none'), '--stock', 'cherry-3mm', '--thickness', '3', ...changed]);
  expect(await coupon('--stock', 'PVC 3 mm')).toBe(2);
  expect(complained.join('\n')).toContain('hydrogen chloride');
  for (const wrong of [
    ['--thickness', '-3'],
    ['--kerf', '9'],
    ['--steps', '0.02;5'],
  ]) {
    complained.length = 0;
    expect(await coupon(...wrong), wrong.join(' ')).toBe(2);
    expect(complained.join('\n')).toContain('out of range');
  }
  expect(existsSync(join(folder, 'none'))).toBe(false);
});
