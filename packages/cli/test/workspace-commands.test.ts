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
import { openWorkspace } from '@inlaywright/server';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { words } from '../src/commands/serve.ts';
import { run } from '../src/main.ts';

let folder: string;
let place: string;
let printed: string[];
let complained: string[];

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'inlaywright-cli-'));
  place = join(folder, 'workspace');
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

const at = (...argv: string[]): Promise<number> => run([...argv, '--workspace', place]);

function addMachine(name: string): void {
  const workspace = openWorkspace({ folder: place });
  const content = JSON.stringify({ name, bedWidthMm: 600, bedHeightMm: 400 });
  workspace.store.create({ kind: 'machines', name, content, links: [] });
  workspace.close();
}

function machines(): string[] {
  const workspace = openWorkspace({ folder: place });
  const names = workspace.store.heads('machines').map(({ name }) => name);
  workspace.close();
  return names;
}

test('backup, restore, export and import take a workspace there and back', async () => {
  addMachine('First');
  const copy = join(folder, 'copy.sqlite');
  expect(await at('backup', copy)).toBe(0);
  expect(printed.join('\n')).toMatch(/Backed up to .*copy\.sqlite \(\d+ kB\), checked\./);
  addMachine('Second');
  const out = join(folder, 'out');
  expect(await at('export', out)).toBe(0);
  expect(printed.join('\n')).toMatch(/Exported \d+ files/);
  expect(await at('restore', copy)).toBe(0);
  expect(printed.join('\n')).toMatch(/is kept as .*workspace\.replaced-\d{8}T\d{6}Z\.sqlite/);
  expect(machines()).toEqual(['First']);
  expect(await at('import', out)).toBe(2);
  expect(complained.join('\n')).toMatch(/holds 1 documents of yours[\s\S]*to do: Add --replace/);
  expect(machines()).toEqual(['First']);
  expect(await at('import', out, '--replace')).toBe(0);
  expect(machines()).toEqual(['First', 'Second']);
  const again = join(folder, 'again');
  expect(await at('export', again)).toBe(0);
  expect(readFileSync(join(again, 'manifest.json'), 'utf8')).toBe(
    readFileSync(join(out, 'manifest.json'), 'utf8'),
  );
});

const refusals: readonly (readonly [string, () => string[], RegExp])[] = [
  ['a backup of nothing', () => ['backup', join(folder, 'copy.sqlite')], /no workspace in/],
  ['an export of nothing', () => ['export', join(folder, 'out')], /no workspace in/],
  ['a backup that is not there', () => ['restore', join(folder, 'none.sqlite')], /no such file/],
  [
    'a backup that is none',
    () => {
      writeFileSync(join(folder, 'x.sqlite'), 'something else');
      return ['restore', join(folder, 'x.sqlite')];
    },
    /cannot be restored/,
  ],
  [
    'a folder that is no export',
    () => {
      mkdirSync(join(folder, 'x'));
      return ['import', join(folder, 'x')];
    },
    /no manifest\.json/,
  ],
  ['a port that is none', () => ['serve', '--port', 'eighty'], /eighty is not a port/],
  ['a port that is too large', () => ['serve', '--port', '70000'], /70000 is not a port/],
  [
    'an address of another machine',
    () => ['serve', '--port', '0', '--share', '192.0.2.1'],
    /no address 192\.0\.2\.1; it has|not built/,
  ],
];

test.each(refusals)('%s is refused with exit code 2, the place and what to do', async (_, argv, message) => {
  expect(await at(...argv())).toBe(2);
  expect(complained.join('\n')).toMatch(message);
  expect(complained.join('\n')).toContain('to do: ');
  expect(existsSync(join(place, 'workspace.sqlite'))).toBe(false);
});

test('a workspace that is being served can be backed up and exported, not restored or imported', async () => {
  addMachine('First');
  const workspace = openWorkspace({ folder: place });
  const [copy, out] = [join(folder, 'copy.sqlite'), join(folder, 'out')];
  expect(await at('backup', copy)).toBe(0);
  expect(await at('backup', copy)).toBe(2);
  expect(complained.join('\n')).toMatch(/is there already[\s\S]*--replace/);
  expect(await at('backup', copy, '--replace')).toBe(0);
  expect(await at('export', out)).toBe(0);
  for (const argv of [
    ['restore', copy],
    ['import', out, '--replace'],
  ]) {
    complained = [];
    expect(await at(...argv)).toBe(2);
    expect(complained.join('\n')).toMatch(/is open in another program \(process \d+, serving, since/);
  }
  workspace.close();
  expect(readdirSync(folder).sort()).toEqual(['copy.sqlite', 'out', 'workspace']);
});

test('the terminal shows address and workspace, and to others the code and a QR code', () => {
  const running = { address: 'http://127.0.0.1:4780/', workspace: '/data/inlaywright' };
  expect(words(running, true)).toBe(
    'Inlaywright is at http://127.0.0.1:4780/ (Ctrl+C ends it)\nThe workspace is in /data/inlaywright',
  );
  const shared = { address: 'http://192.168.1.20:4780/', code: 'AB12-CD34', qr: '█▀\n▄ \n' };
  const text = words({ ...running, shared }, false);
  expect(text).toContain('open http://192.168.1.20:4780/ and enter the code AB12-CD34');
  expect(text).toContain('\n█▀\n▄ \n');
  expect(text).toContain('not encrypted');
  expect(words({ ...running, shared }, true)).toContain('\u001b[30;107m█▀\u001b[0m');
});
