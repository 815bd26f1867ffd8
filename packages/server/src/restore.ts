import { copyFileSync, existsSync, linkSync, mkdirSync, renameSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { syncFile } from './backup.ts';
import { WorkspaceError } from './errors.ts';
import { lockWorkspace } from './storage/lock.ts';
import { newEpoch, refuseNewer } from './storage/migrate.ts';
import { timeInName, type WorkspacePlace, workspacePlace } from './storage/place.ts';
import { APPLICATION_ID, STEPS } from './storage/schema.ts';
import { faultsOf, openSqlite, pragmaNumber, type Sqlite, sqliteCode } from './storage/sqlite.ts';
import { syncFolder } from './write-file.ts';

export interface Restored {
  /** Where the replaced workspace is kept; undefined where there was none. */
  readonly kept: string | undefined;
}

/**
 * Puts a backup in the place of a workspace. The backup is copied and checked first; the workspace before it stays
 * beside it under another name. A crash at any moment leaves the one or the other in place.
 * @throws WorkspaceError backup-invalid, workspace-newer, workspace-locked
 */
export function restoreWorkspace(folder: string, file: string, now: Date = new Date()): Restored {
  const place = workspacePlace(folder);
  mkdirSync(place.folder, { recursive: true });
  const lock = lockWorkspace(place, 'restoring');
  const incoming = join(place.folder, '.restoring.sqlite');
  try {
    removeDatabase(incoming);
    copyFileSync(backupFile(file), incoming);
    // A workspace file of a program that was killed has a part of itself in its log.
    if (existsSync(`${file}-wal`)) copyFileSync(`${file}-wal`, `${incoming}-wal`);
    prepare(incoming, file);
    return { kept: putInPlace(place, incoming, now) };
  } finally {
    removeDatabase(incoming);
    lock.release();
  }
}

function backupFile(file: string): string {
  if (existsSync(file) && statSync(file).isFile()) return file;
  throw invalid(file, 'there is no such file');
}

function invalid(file: string, why: string): WorkspaceError {
  return new WorkspaceError('backup-invalid', `${file} cannot be restored: ${why}.`, {
    where: file,
    hint: 'Try an older backup. The workspace was not touched.',
  });
}

function prepare(incoming: string, file: string): void {
  const sqlite = openSqlite(incoming);
  try {
    if (pragmaNumber(sqlite, 'application_id') !== APPLICATION_ID) {
      throw invalid(file, 'it is not a workspace of Inlaywright');
    }
    refuseNewer(sqlite, STEPS.length, file);
    const faults = faultsOf(sqlite);
    if (faults.length > 0) throw invalid(file, faults.slice(0, 3).join('; '));
    forgetDevices(sqlite);
    newEpoch(sqlite);
  } catch (error) {
    if (/^SQLITE_(NOTADB|CORRUPT)/.test(sqliteCode(error) ?? '')) {
      throw invalid(file, (error as Error).message);
    }
    throw error;
  } finally {
    sqlite.close();
  }
  syncFile(incoming);
}

/** Devices and repeated requests belong to the workspace that was served, not to a copy of it. */
function forgetDevices(sqlite: Sqlite): void {
  sqlite.script('DELETE FROM session; DELETE FROM once;');
}

/**
 * Gives a prepared file the name of the workspace. The old one gets a second name before, so that the name is never
 * without a file; its write-ahead log is folded in first, since a log must not meet another file.
 */
export function putInPlace(place: WorkspacePlace, incoming: string, now: Date): string | undefined {
  let kept: string | undefined;
  if (existsSync(place.database)) {
    kept = join(place.folder, `workspace.replaced-${timeInName(now)}.sqlite`);
    foldLog(place.database);
    for (const rest of ['', '-wal']) {
      if (existsSync(place.database + rest)) secondName(place.database + rest, kept + rest);
    }
    rmSync(`${place.database}-wal`, { force: true });
    rmSync(`${place.database}-shm`, { force: true });
  }
  renameSync(incoming, place.database);
  syncFolder(place.folder);
  return kept;
}

/** Opening reads the log, closing folds it in; a damaged workspace keeps its log beside it. */
function foldLog(database: string): void {
  const sqlite = openSqlite(database);
  try {
    sqlite.first('SELECT count(*) AS count FROM sqlite_master');
  } catch (error) {
    if (sqliteCode(error) === undefined) throw error;
  } finally {
    sqlite.close();
  }
}

function secondName(path: string, name: string): void {
  try {
    linkSync(path, name);
  } catch {
    // File systems without links.
    copyFileSync(path, name);
    syncFile(name);
  }
}

export function removeDatabase(path: string): void {
  for (const rest of ['', '-journal', '-wal', '-shm']) rmSync(path + rest, { force: true });
}
