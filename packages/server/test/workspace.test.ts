import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { homedir, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { openWorkspace, userDataFolder, type Workspace } from '../src/index.ts';
import { STEPS, type Step } from '../src/storage/schema.ts';
import { faultsOf, openSqlite, pragmaNumber } from '../src/storage/sqlite.ts';
import { moonText } from './workshop-bench.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'inlaywright-workspace-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const file = (): string => join(folder, 'workspace.sqlite');

function withPiece(id: string, workspace: Workspace): Workspace {
  workspace.store.create({ kind: 'pieces', name: id, content: moonText, links: [] }, { id });
  return workspace;
}

describe('the file', () => {
  test('is kept in a write-ahead log with full synchronisation, and is marked as ours', () => {
    const { sqlite, close } = openWorkspace({ folder });
    expect(sqlite.first('PRAGMA journal_mode')!.journal_mode).toBe('wal');
    // SQLite, pragma synchronous: 2 is FULL.
    expect(pragmaNumber(sqlite, 'synchronous')).toBe(2);
    expect(pragmaNumber(sqlite, 'foreign_keys')).toBe(1);
    expect(pragmaNumber(sqlite, 'user_version')).toBe(STEPS.length);
    expect(sqlite.first('PRAGMA busy_timeout')!.timeout).toBe(5000);
    close();
    // SQLite file format, 1.3: bytes 68 to 71 hold the application id, big-endian; "file" shows it.
    expect(readFileSync(file()).subarray(68, 72).toString('latin1')).toBe('INLW');
  });

  test('lies in the user data folder of each system unless told otherwise', () => {
    const home = homedir();
    // XDG Base Directory Specification: $XDG_DATA_HOME, or ~/.local/share where unset or empty.
    expect(userDataFolder({ XDG_DATA_HOME: '/data' }, 'linux')).toBe('/data/inlaywright');
    expect(userDataFolder({ XDG_DATA_HOME: '' }, 'linux')).toBe(join(home, '.local/share/inlaywright'));
    expect(userDataFolder({}, 'darwin')).toBe(join(home, 'Library/Application Support/Inlaywright'));
    expect(userDataFolder({ APPDATA: 'C:\\Data' }, 'win32')).toBe(join('C:\\Data', 'Inlaywright'));
  });

  test('has a readable view of every kind', () => {
    const { sqlite, store, close } = openWorkspace({ folder });
    const body = JSON.stringify({ name: 'Bench laser', bedWidthMm: 600, bedHeightMm: 400 });
    store.create({ kind: 'machines', name: 'Bench laser', content: body, links: [] });
    expect(sqlite.all('SELECT id, bedWidthMm FROM machine')).toEqual([
      { id: 'bench-laser', bedWidthMm: 600 },
    ]);
    const views = sqlite.all("SELECT name FROM sqlite_master WHERE type = 'view'").map(({ name }) => name);
    expect(views).toHaveLength(12);
    for (const view of views) sqlite.all(`SELECT * FROM "${view}"`);
    close();
  });

  test('that is no database, or is damaged, is refused and left as it is', () => {
    writeFileSync(file(), 'not a database at all, but long enough to be read as a header of one'.repeat(20));
    expect(() => openWorkspace({ folder })).toThrow(expect.objectContaining({ code: 'workspace-damaged' }));
    expect(readFileSync(file(), 'utf8')).toMatch(/^not a database/);
    rmSync(file());
    const workspace = openWorkspace({ folder });
    for (let i = 0; i < 60; i++) withPiece(`piece-${i}`, workspace);
    workspace.close();
    const bytes = readFileSync(file());
    // Noise over a page in the middle.
    bytes.fill(0x5a, 5 * 4096, 6 * 4096);
    writeFileSync(file(), bytes);
    expect(() => openWorkspace({ folder })).toThrow(expect.objectContaining({ code: 'workspace-damaged' }));
    expect(readFileSync(file()).equals(bytes)).toBe(true);
  });
});

describe('a new workspace', () => {
  const demos = (): string => {
    const path = join(folder, 'demos');
    mkdirSync(path);
    writeFileSync(join(path, 'moon.json'), moonText);
    return path;
  };

  test('starts with the demo pieces and a stocked demo workshop, once', () => {
    const path = demos();
    const first = openWorkspace({ folder, demos: path });
    expect(first.store.heads('pieces').map(({ id, demo }) => [id, demo])).toEqual([['moon', true]]);
    for (const kind of ['machines', 'settings', 'materials', 'stocks', 'sheets', 'findings'] as const) {
      expect(first.store.heads(kind).length, kind).toBeGreaterThan(0);
    }
    const tones = ['cherry', 'holly', 'sapele', 'bog-oak'].map((wood) => `${wood}-3-mm`);
    expect(
      first.store
        .heads('stocks')
        .map(({ id }) => id)
        .sort(),
    ).toEqual([...tones].sort());
    first.store.remove('pieces', 'moon', 1);
    first.close();
    const again = openWorkspace({ folder, demos: path });
    expect(again.store.heads('pieces')).toEqual([]);
    again.close();
  });

  test('is empty where there are no demos', () => {
    const { store, close } = openWorkspace({ folder, demos: join(folder, 'nowhere') });
    expect(store.heads('stocks')).toEqual([]);
    expect(store.heads('preferences').map(({ id }) => id)).toEqual(['workshop']);
    close();
  });
});

describe('the lock', () => {
  test('lets one program in at a time, and says who has it', () => {
    const first = openWorkspace({ folder, doing: 'trying' });
    expect(() => openWorkspace({ folder })).toThrow(
      expect.objectContaining({
        code: 'workspace-locked',
        message: expect.stringMatching(new RegExp(`process ${process.pid}, trying, since 20`)),
      }),
    );
    first.close();
    openWorkspace({ folder }).close();
    expect(existsSync(join(folder, 'workspace.open.json'))).toBe(false);
  });
});

describe('migration', () => {
  /** A step that a later program might bring. */
  const later: Step = (sqlite) => sqlite.script('CREATE TABLE later (id TEXT PRIMARY KEY) STRICT');
  const fails: Step = (sqlite) => {
    sqlite.script('CREATE TABLE half (id TEXT)');
    throw new Error('this step fails');
  };

  test('takes an older file to the newest schema and keeps a copy of the older one', () => {
    withPiece('moon', openWorkspace({ folder })).close();
    const now = () => new Date('2026-11-20T09:00:00.000Z');
    const { sqlite, store, close } = openWorkspace({ folder, now, steps: [...STEPS, later] });
    expect(pragmaNumber(sqlite, 'user_version')).toBe(STEPS.length + 1);
    expect(sqlite.all('SELECT * FROM later')).toEqual([]);
    expect(store.get('pieces', 'moon')!.content).toBe(moonText);
    close();
    const copy = join(folder, `backups/before-schema-${STEPS.length + 1}-20261120T090000Z.sqlite`);
    const old = openSqlite(copy);
    expect(pragmaNumber(old, 'user_version')).toBe(STEPS.length);
    expect(faultsOf(old)).toEqual([]);
    expect(old.first("SELECT content FROM version WHERE kind = 'pieces'")!.content).toBe(moonText);
    old.close();
  });

  test('that fails changes nothing: all steps or none', () => {
    withPiece('moon', openWorkspace({ folder })).close();
    expect(() => openWorkspace({ folder, steps: [...STEPS, later, fails] })).toThrow('this step fails');
    const { sqlite, store, close } = openWorkspace({ folder });
    expect(pragmaNumber(sqlite, 'user_version')).toBe(STEPS.length);
    expect(sqlite.all("SELECT name FROM sqlite_master WHERE name IN ('later', 'half')")).toEqual([]);
    expect(store.get('pieces', 'moon')!.content).toBe(moonText);
    close();
  });

  test('refuses a file of a newer program and does not touch it', () => {
    openWorkspace({ folder, steps: [...STEPS, later] }).close();
    const before = readFileSync(file());
    expect(() => openWorkspace({ folder })).toThrow(
      expect.objectContaining({
        code: 'workspace-newer',
        message: expect.stringContaining(
          `schema version ${STEPS.length + 1}; this program knows versions up to ${STEPS.length}`,
        ),
      }),
    );
    expect(readFileSync(file()).equals(before)).toBe(true);
    expect(readdirSync(folder)).not.toContain('backups');
    expect(statSync(file()).size).toBe(before.length);
  });
});
