import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { run } from '../src/main.ts';
import { writeFiles } from '../src/write-files.ts';

const artwork = `<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20">
<rect width="20" height="20" fill="#8c5a2b"/><circle cx="10" cy="10" r="6" fill="#fff"/></svg>`;

let folder: string;
let drawing: string;
let complained: string[];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'inlaywright-'));
  drawing = join(folder, 'moon.svg');
  writeFileSync(drawing, artwork);
  complained = [];
  vi.spyOn(console, 'log').mockImplementation(() => {});
  vi.spyOn(console, 'error').mockImplementation((text: string) => void complained.push(text));
});
afterEach(() => {
  vi.restoreAllMocks();
  rmSync(folder, { recursive: true, force: true });
});

function contents(of: string): Record<string, string> {
  return Object.fromEntries(readdirSync(of).map((name) => [name, readFileSync(join(of, name), 'utf8')]));
}

test('a folder for the files that is a file, or lies under one, is refused', async () => {
  const out = join(folder, 'out');
  writeFileSync(out, 'mine');
  for (const path of [out, join(out, 'deep', 'er')]) {
    complained = [];
    expect(await run(['make', drawing, '--out', path])).toBe(2);
    expect(complained.join('\n')).toMatch(/out is a file; a folder was expected/);
  }
  expect(readFileSync(out, 'utf8')).toBe('mine');
});

test.runIf(existsSync('/proc/self'))(
  'a folder that the system does not let anybody make is refused',
  async () => {
    expect(await run(['make', drawing, '--out', '/proc/inlaywright/cut'])).toBe(2);
    expect(complained.join('\n')).toMatch(/folder \/proc\/inlaywright cannot be made/);
  },
);

test('deep folders are made; files of an earlier run are replaced; nothing else is left or touched', async () => {
  const out = join(folder, 'a', 'b', 'c');
  expect(await run(['make', drawing, '--out', out, '--kerf', '0.1', '--allowance', '0.02'])).toBe(0);
  const before = contents(out);
  writeFileSync(join(out, 'notes.txt'), 'mine');
  expect(await run(['make', drawing, '--out', out, '--kerf', '0.2', '--allowance', '0.02'])).toBe(0);
  const after = contents(out);
  expect(Object.keys(after).sort()).toEqual([...Object.keys(before), 'notes.txt'].sort());
  for (const name of Object.keys(before)) {
    if (!name.endsWith('.csv')) expect(after[name], name).not.toBe(before[name]);
  }
});

test('where one file cannot be written, none is: files of two runs do not mix', () => {
  const out = join(folder, 'out');
  writeFiles(out, [
    { name: 'a.svg', text: 'old a' },
    { name: 'b.svg', text: 'old b' },
  ]);
  // No file system takes a name of 300 bytes.
  const files = [
    { name: 'a.svg', text: 'new a' },
    { name: `${'x'.repeat(300)}.svg`, text: 'new b' },
  ];
  expect(() => writeFiles(out, files)).toThrow(/ENAMETOOLONG/);
  expect(contents(out)).toEqual({ 'a.svg': 'old a', 'b.svg': 'old b' });
});

test('a folder in the place of a file is refused before anything is written', async () => {
  const out = join(folder, 'out');
  mkdirSync(join(out, 'moon-white.dxf'), { recursive: true });
  expect(await run(['make', drawing, '--out', out])).toBe(2);
  expect(complained.join('\n')).toMatch(/moon-white\.dxf is a folder/);
  expect(readdirSync(out)).toEqual(['moon-white.dxf']);
});

test('the dry fit names the file that it cannot take', async () => {
  const out = join(folder, 'out');
  await run(['make', drawing, '--out', out]);
  writeFileSync(join(out, 'a-drawing.svg'), artwork);
  expect(await run(['dryfit', out])).toBe(2);
  expect(complained.join('\n')).toMatch(/no cut record.*where: [^\n]*a-drawing\.svg/s);
  complained = [];
  expect(await run(['dryfit', join(out, 'moon-cut-list.csv')])).toBe(2);
  expect(complained.join('\n')).toMatch(/moon-cut-list\.csv is neither SVG nor DXF/);
  complained = [];
  expect(await run(['dryfit', out, '--allowance', '0.1'])).toBe(2);
  expect(complained.join('\n')).toMatch(/only together with --kerf/);
});

test('one colour or tone given twice with different values is refused', async () => {
  const out = join(folder, 'out');
  for (const [options, message] of [
    [['--tone', '#fff=a', '--tone', '#fff=b'], /given twice: as a and as b/],
    [['--tone', '#fff=a', '--tone', 'white=b'], /two tones: "a" and "b"/],
    [['--stock', 'white=oak', '--stock', 'white=ash'], /given twice/],
  ] as const) {
    complained = [];
    expect(await run(['make', drawing, '--out', out, ...options])).toBe(2);
    expect(complained.join('\n')).toMatch(message);
  }
  expect(await run(['make', drawing, '--out', out, '--tone', 'white=moon', '--tone', 'white=moon'])).toBe(0);
  expect(readdirSync(out)).toContain('moon-moon.svg');
});
