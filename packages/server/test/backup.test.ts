import { randomUUID } from 'node:crypto';
import {
  copyFileSync,
  existsSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { newToken } from '../src/access/code.ts';
import { openSessions } from '../src/access/sessions.ts';
import {
  backupWorkspace,
  dailyBackup,
  openWorkspace,
  restoreWorkspace,
  type Workspace,
} from '../src/index.ts';
import { faultsOf, openSqlite } from '../src/storage/sqlite.ts';
import { moonText } from './workshop-bench.ts';

let folder: string;
let place: string;
let file: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'inlaywright-backup-'));
  place = join(folder, 'workspace');
  file = join(folder, 'copy.sqlite');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const open = (): Workspace => openWorkspace({ folder: place });
const add = ({ store }: Workspace, id: string): void =>
  void store.create({ kind: 'pieces', name: id, content: moonText, links: [] }, { id });
const pieces = (): string[] => {
  const workspace = open();
  const ids = workspace.store.heads('pieces').map(({ id }) => id);
  workspace.close();
  return ids;
};

describe('a backup', () => {
  test('is a sound copy of a workspace that is open and being written', () => {
    const workspace = open();
    for (let i = 0; i < 50; i++) add(workspace, `piece-${i}`);
    // The other connection is in the middle of a change that it does not keep.
    workspace.sqlite.script("BEGIN IMMEDIATE; INSERT INTO meta VALUES ('half', 'done');");
    backupWorkspace(place, file);
    workspace.sqlite.script('ROLLBACK');
    workspace.close();
    const copy = openSqlite(file);
    expect(faultsOf(copy)).toEqual([]);
    expect(copy.first("SELECT count(*) AS count FROM document WHERE kind = 'pieces'")!.count).toBe(50);
    expect(copy.first("SELECT 1 FROM meta WHERE key = 'half'")).toBeUndefined();
    copy.close();
    expect(readdirSync(folder).sort()).toEqual(['copy.sqlite', 'workspace']);
  });

  test('holds no session of a device', () => {
    const workspace = open();
    openSessions(workspace.sqlite, () => new Date()).open('Phone');
    const hash = String(workspace.sqlite.first('SELECT token_hash FROM session')!.token_hash);
    backupWorkspace(place, file);
    workspace.close();
    expect(readFileSync(file).includes(hash)).toBe(false);
    expect(newToken()).toHaveLength(43);
  });

  test('does not write over a file unless told to, and needs a workspace', () => {
    expect(() => backupWorkspace(place, file)).toThrow(
      expect.objectContaining({ code: 'workspace-missing' }),
    );
    expect(existsSync(place)).toBe(false);
    open().close();
    writeFileSync(file, 'kept');
    expect(() => backupWorkspace(place, file)).toThrow(expect.objectContaining({ code: 'file-exists' }));
    expect(readFileSync(file, 'utf8')).toBe('kept');
    backupWorkspace(place, file, { replace: true });
    expect(readFileSync(file).subarray(0, 15).toString()).toBe('SQLite format 3');
  });

  test('that fails leaves nothing beside it', () => {
    const workspace = open();
    writeFileSync(join(folder, 'taken'), '');
    expect(() => backupWorkspace(place, join(folder, 'taken/copy.sqlite'))).toThrow();
    workspace.close();
    expect(readdirSync(folder).sort()).toEqual(['taken', 'workspace']);
  });

  test('is made daily, and those of the last fourteen days are kept', () => {
    const workspace = open();
    const made: (string | undefined)[] = [];
    for (let day = 1; day <= 30; day++) {
      const now = new Date(Date.UTC(2026, 10, day, 8));
      made.push(dailyBackup(workspace.sqlite, workspace.place, now));
      expect(
        dailyBackup(workspace.sqlite, workspace.place, new Date(now.getTime() + 3_600_000)),
      ).toBeUndefined();
    }
    writeFileSync(join(workspace.place.backups, 'my-own.sqlite'), '');
    // As a program leaves it that is killed in the middle of a backup.
    writeFileSync(join(workspace.place.backups, `.2026-11-30.sqlite.${randomUUID()}.part`), '');
    writeFileSync(join(workspace.place.backups, `.2026-11-30.sqlite.${randomUUID()}.part-journal`), '');
    dailyBackup(workspace.sqlite, workspace.place, new Date('2026-12-01T08:00:00Z'));
    workspace.close();
    expect(made.filter(Boolean)).toHaveLength(30);
    const kept = readdirSync(workspace.place.backups).sort();
    expect(kept).toHaveLength(15);
    expect([kept[0], kept[13], kept[14]]).toEqual([
      '2026-11-18.sqlite',
      '2026-12-01.sqlite',
      'my-own.sqlite',
    ]);
  });
});

describe('restoring', () => {
  test('puts the backup in place, keeps what it replaced, and starts a new count of changes', () => {
    const workspace = open();
    add(workspace, 'old');
    const before = workspace.store.changes.position();
    backupWorkspace(place, file);
    add(workspace, 'new');
    workspace.close();
    const { kept } = restoreWorkspace(place, file, new Date('2026-11-20T09:00:00Z'));
    expect(kept).toBe(join(place, 'workspace.replaced-20261120T090000Z.sqlite'));
    expect(pieces()).toEqual(['old']);
    const again = open();
    expect(again.store.changes.after(before)).toBeUndefined();
    again.close();
    // The replaced one can be restored in turn.
    restoreWorkspace(place, kept!, new Date('2026-11-20T10:00:00Z'));
    expect(pieces()).toEqual(['new', 'old']);
  });

  test('also saves what was only in the write-ahead log of a program that was killed', () => {
    const workspace = open();
    add(workspace, 'old');
    backupWorkspace(place, file);
    add(workspace, 'only-in-the-log');
    // As after a kill: the log still beside the file, nobody holding it.
    const crashed = join(folder, 'crashed');
    const copy = openWorkspace({ folder: crashed });
    copy.close();
    for (const rest of ['', '-wal'])
      copyFileSync(`${workspace.place.database}${rest}`, join(crashed, `workspace.sqlite${rest}`));
    workspace.close();
    const { kept } = restoreWorkspace(crashed, file);
    expect(existsSync(join(crashed, 'workspace.sqlite-wal'))).toBe(false);
    const old = openSqlite(kept!);
    expect(old.all("SELECT id FROM document WHERE kind = 'pieces' ORDER BY id").map(({ id }) => id)).toEqual([
      'old',
      'only-in-the-log',
    ]);
    old.close();
  });

  test('replaces a workspace that is damaged, and keeps that too', () => {
    const workspace = open();
    add(workspace, 'old');
    backupWorkspace(place, file);
    workspace.close();
    writeFileSync(workspace.place.database, 'scrambled '.repeat(2000));
    const { kept } = restoreWorkspace(place, file);
    expect(readFileSync(kept!, 'utf8')).toMatch(/^scrambled/);
    expect(pieces()).toEqual(['old']);
  });

  test('refuses what is no sound backup, and touches nothing', () => {
    const workspace = open();
    for (let i = 0; i < 40; i++) add(workspace, `piece-${i}`);
    backupWorkspace(place, file);
    workspace.close();
    const before = readFileSync(workspace.place.database);
    const broken = join(folder, 'broken.sqlite');
    const bytes = readFileSync(file);
    const refuse = (path: string, code = 'backup-invalid'): void => {
      expect(() => restoreWorkspace(place, path), path).toThrow(expect.objectContaining({ code }));
      expect(readFileSync(workspace.place.database).equals(before), path).toBe(true);
      expect(readdirSync(place).filter((name) => /restoring|replaced/.test(name))).toEqual([]);
    };
    refuse(join(folder, 'nowhere.sqlite'));
    writeFileSync(broken, 'no database');
    refuse(broken);
    writeFileSync(broken, bytes.subarray(0, bytes.length / 2));
    refuse(broken);
    const noisy = Buffer.from(bytes);
    noisy.fill(0x5a, 5 * 4096, 6 * 4096);
    writeFileSync(broken, noisy);
    refuse(broken);
    rmSync(broken);
    const other = openSqlite(broken);
    other.script('CREATE TABLE mine (id TEXT)');
    other.close();
    refuse(broken);
    copyFileSync(file, join(folder, 'newer.sqlite'));
    const newer = openSqlite(join(folder, 'newer.sqlite'));
    newer.script('PRAGMA user_version = 999');
    newer.close();
    refuse(join(folder, 'newer.sqlite'), 'workspace-newer');
    const dangling = join(folder, 'dangling.sqlite');
    copyFileSync(file, dangling);
    const loose = openSqlite(dangling);
    loose.script("PRAGMA foreign_keys = OFF; DELETE FROM document WHERE id = 'piece-1';");
    loose.close();
    refuse(dangling);
  });

  test('is refused while a server has the workspace', () => {
    const workspace = open();
    backupWorkspace(place, file);
    expect(() => restoreWorkspace(place, file)).toThrow(
      expect.objectContaining({ code: 'workspace-locked' }),
    );
    workspace.close();
  });
});
