import { createHash } from 'node:crypto';
import {
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { readFit, readPiece, readTrial, writePiece } from '@inlaywright/formats';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { exportWorkspace, importWorkspace, openWorkspace } from '../src/index.ts';
import { accepted, type Bench, fill, moon, moonText, openBench } from './workshop-bench.ts';

let bench: Bench;
let first: string;
beforeEach(async () => {
  bench = await openBench({ demos: [['moon-over-fern.json', moonText]] });
  first = join(bench.folder, 'export-1');
});
afterEach(() => bench.close());

const source = (): string => bench.workspace.place.folder;

/** A workspace with a bit of everything: several versions, copies, things put aside, German letters. */
async function busy(): Promise<void> {
  const { client, clock } = bench;
  await fill(client);
  accepted(await client.savePiece('moon-over-fern', 1, writePiece({ ...moon, name: 'Mond über Farn' })));
  clock.now = new Date('2026-11-20T10:00:00.000Z');
  accepted(await client.savePiece('moon-over-fern', 2, moonText));
  accepted(await client.copyPiece('moon-over-fern', 1, moonText));
  accepted(await client.createPiece(writePiece({ ...moon, name: 'Put aside' })));
  accepted(await client.remove('pieces', 'put-aside', 1));
  accepted(await client.create('orders', { name: 'Shop', lines: [{ piece: 'moon-over-fern', count: 3 }] }));
  accepted(
    await client.replace('preferences', 'workshop', 1, {
      workshopName: 'Werkstatt "Ahorn"',
      recordLimitDays: 30,
    }),
  );
}

function tree(root: string, path = ''): Map<string, string> {
  const files = new Map<string, string>();
  for (const name of readdirSync(join(root, path)).sort()) {
    const below = path === '' ? name : `${path}/${name}`;
    if (statSync(join(root, below)).isDirectory())
      for (const [file, text] of tree(root, below)) files.set(file, text);
    else files.set(below, readFileSync(join(root, below), 'utf8'));
  }
  return files;
}

test('export, import into an empty workspace, export: the same bytes', async () => {
  await busy();
  const exported = exportWorkspace(source(), first);
  const other = join(bench.folder, 'other');
  const imported = importWorkspace(other, first);
  expect(imported.kept).toBeUndefined();
  const second = join(bench.folder, 'export-2');
  exportWorkspace(other, second);
  const [a, b] = [tree(first), tree(second)];
  expect(a.size).toBe(exported.files);
  expect([...b.keys()]).toEqual([...a.keys()]);
  for (const [path, text] of a) expect(b.get(path), path).toBe(text);
  console.log(
    `round trip of ${a.size} files, ${exported.bytes} bytes, ${imported.documents} documents in ${imported.versions} versions`,
  );

  // And the imported workspace works: links hold, history is there, the demos do not come again.
  const again = openWorkspace({ folder: other, demos: join(bench.folder, 'demos') });
  expect(again.store.heads('pieces').map(({ id }) => id)).toEqual(['moon-over-fern', 'moon-over-fern-2']);
  expect(again.store.versions('pieces', 'moon-over-fern').map(({ name }) => name)).toEqual([
    'Moon over fern',
    'Mond über Farn',
    'Moon over fern',
  ]);
  expect(() => again.store.remove('machines', 'bench-laser', 1)).toThrow(
    expect.objectContaining({ code: 'still-used' }),
  );
  expect(again.store.restore('pieces', 'put-aside').deletedAt).toBeNull();
  again.close();
});

test('the files of an export are what their names say, and the manifest holds their hashes', async () => {
  await busy();
  exportWorkspace(source(), first);
  const files = tree(first);
  expect(readPiece(files.get('pieces/moon-over-fern/2.json')!).name).toBe('Mond über Farn');
  const trial = readTrial(files.get('trials/cherry-first-coupon/1.trial.json')!);
  expect(trial.steps).toHaveLength(8);
  const fit = readFit(files.get('records/cherry-typed-in/1.fit.json')!);
  expect(fit.default).toMatchObject({ kerfEntry: { xMm: 0.19, yMm: 0.17 }, allowanceMm: 0.03 });
  expect(files.get('records/cherry-typed-in/1.fit.json')).toContain('from a friend');
  expect(JSON.parse(files.get('machines/bench-laser/1.json')!)).toMatchObject({ bedWidthMm: 600 });
  const manifest = JSON.parse(files.get('manifest.json')!);
  expect(manifest).toMatchObject({ format: 'inlaywright-workspace', version: 1 });
  expect(manifest.files).toHaveLength(files.size - 1);
  for (const { path, bytes, sha256 } of manifest.files) {
    const text = files.get(path)!;
    expect(createHash('sha256').update(text).digest('hex'), path).toBe(sha256);
    expect(Buffer.byteLength(text), path).toBe(bytes);
  }
  // Nothing computed is stored with a piece: the file is the piece file, and no more.
  expect(files.get('pieces/moon-over-fern/3.json')).toBe(moonText);
});

test('the demo pieces of the project survive the way out and back, byte by byte', async () => {
  const examples = fileURLToPath(new URL('../../../examples', import.meta.url));
  const from = join(bench.folder, 'with-examples');
  const workspace = openWorkspace({ folder: from, demos: examples });
  const count = workspace.store.heads('pieces').length;
  workspace.close();
  expect(count).toBeGreaterThan(0);
  exportWorkspace(from, first);
  importWorkspace(join(bench.folder, 'other'), first);
  exportWorkspace(join(bench.folder, 'other'), join(bench.folder, 'export-2'));
  expect(tree(join(bench.folder, 'export-2'))).toEqual(tree(first));
});

test('an export appears whole, in a folder that is not there or empty', async () => {
  await busy();
  const full = join(bench.folder, 'full');
  mkdirSync(full);
  writeFileSync(join(full, 'mine.txt'), 'kept');
  expect(() => exportWorkspace(source(), full)).toThrow(expect.objectContaining({ code: 'file-exists' }));
  expect(readdirSync(full)).toEqual(['mine.txt']);
  const empty = join(bench.folder, 'empty');
  mkdirSync(empty);
  exportWorkspace(source(), empty);
  expect(existsSync(join(empty, 'manifest.json'))).toBe(true);
  expect(() => exportWorkspace(join(bench.folder, 'nowhere'), join(bench.folder, 'x'))).toThrow(
    expect.objectContaining({ code: 'workspace-missing' }),
  );
  expect(readdirSync(bench.folder).filter((name) => name.endsWith('.part'))).toEqual([]);
});

test('an import replaces a workspace of the maker only when told to, and keeps it', async () => {
  await busy();
  exportWorkspace(source(), first);
  const other = join(bench.folder, 'other');
  const mine = openWorkspace({ folder: other, demos: join(bench.folder, 'demos') });
  mine.close();
  // Demos alone are nothing of the maker's.
  importWorkspace(other, first);
  expect(() => importWorkspace(other, first)).toThrow(
    expect.objectContaining({ code: 'workspace-not-empty' }),
  );
  const { kept } = importWorkspace(other, first, { replace: true });
  expect(existsSync(kept!)).toBe(true);
  expect(() => importWorkspace(source(), first, { replace: true })).toThrow(
    expect.objectContaining({ code: 'workspace-locked' }),
  );
});

test('an export that was changed is refused, with the file that is wrong', async () => {
  await busy();
  exportWorkspace(source(), first);
  const copy = join(bench.folder, 'copy');
  const rehash = (path: string): void => {
    const manifest = JSON.parse(readFileSync(join(copy, 'manifest.json'), 'utf8'));
    const text = readFileSync(join(copy, path), 'utf8');
    for (const file of manifest.files) {
      if (file.path !== path) continue;
      file.bytes = Buffer.byteLength(text);
      file.sha256 = createHash('sha256').update(text).digest('hex');
    }
    writeFileSync(join(copy, 'manifest.json'), JSON.stringify(manifest));
  };
  const edit = (path: string, change: (text: string) => string): void => {
    writeFileSync(join(copy, path), change(readFileSync(join(copy, path), 'utf8')));
  };
  const manifest = (change: (manifest: { files: { path: string }[]; version: number }) => unknown) => () => {
    const parsed = JSON.parse(readFileSync(join(copy, 'manifest.json'), 'utf8'));
    change(parsed);
    writeFileSync(join(copy, 'manifest.json'), JSON.stringify(parsed));
  };
  const cases: readonly (readonly [string, () => void, RegExp])[] = [
    [
      'a changed file',
      () => edit('machines/bench-laser/1.json', (text) => text.replace('600', '700')),
      /hash differs/,
    ],
    ['a missing file', () => rmSync(join(copy, 'pieces/moon-over-fern/2.json')), /2\.json is missing/],
    ['a file too many', () => writeFileSync(join(copy, 'pieces/extra.json'), '{}'), /not in the manifest/],
    ['no manifest', () => rmSync(join(copy, 'manifest.json')), /no manifest\.json/],
    ['a newer manifest', manifest((m) => Object.assign(m, { version: 9 })), /version 9/],
    [
      'a path outside',
      manifest((m) => Object.assign(m.files[0]!, { path: '../../etc/passwd' })),
      /no file of an export/,
    ],
    [
      'an absolute path',
      manifest((m) => Object.assign(m.files[0]!, { path: '/etc/passwd' })),
      /no file of an export/,
    ],
    [
      'a body that is wrong, with a right hash',
      () => {
        edit('machines/bench-laser/1.json', (text) => text.replace('600', '-600'));
        rehash('machines/bench-laser/1.json');
      },
      /machines\/bench-laser\/1\.json is wrong at bedWidthMm/,
    ],
    [
      'a piece that is none',
      () => {
        edit('pieces/moon-over-fern/2.json', () => '{}');
        rehash('pieces/moon-over-fern/2.json');
      },
      /pieces\/moon-over-fern\/2\.json: This is not a piece file/,
    ],
    [
      'a link that leads nowhere',
      () => {
        edit('settings/hardwood/1.json', (text) => text.replace('bench-laser', 'gone'));
        rehash('settings/hardwood/1.json');
      },
      /names machines\/gone/,
    ],
    [
      'a history that does not count',
      () => {
        edit('pieces/moon-over-fern/history.json', (text) => text.replace('"version": 2', '"version": 7'));
        rehash('pieces/moon-over-fern/history.json');
      },
      /7\.json is missing/,
    ],
  ];
  const other = join(bench.folder, 'other');
  for (const [name, spoil, why] of cases) {
    cpSync(first, copy, { recursive: true });
    spoil();
    let refusal: Error & { code?: string } = new Error('it was imported');
    try {
      importWorkspace(other, copy);
    } catch (error) {
      refusal = error as Error;
    }
    expect(refusal.message, name).toMatch(why);
    expect(refusal.code, name).toBe('export-invalid');
    expect(existsSync(join(other, 'workspace.sqlite')), name).toBe(false);
    rmSync(copy, { recursive: true });
  }
});
