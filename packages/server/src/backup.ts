import { randomUUID } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  renameSync,
  rmSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { WorkspaceError } from './errors.ts';
import { type WorkspacePlace, workspacePlace } from './storage/place.ts';
import { copyInto, faultsOf, keepSafely, openSqlite, type Sqlite } from './storage/sqlite.ts';
import { syncFolder } from './write-file.ts';

/** How long daily backups are kept, days. */
export const BACKUPS_KEPT_DAYS = 14;

/**
 * Writes a consistent copy of a workspace to a file, also while a server has it open: SQLite copies it within one read
 * transaction, the copy is checked, reaches the disk, and takes its name only then. Sessions of devices are left out.
 * @throws WorkspaceError workspace-missing, file-exists, backup-invalid
 */
export function backupWorkspace(
  folder: string,
  file: string,
  options: { readonly replace?: boolean } = {},
): void {
  const place = workspacePlace(folder);
  if (!existsSync(place.database)) {
    throw new WorkspaceError('workspace-missing', `There is no workspace in ${folder}.`, {
      where: folder,
      hint: 'Name its folder with --workspace.',
    });
  }
  if (existsSync(file) && options.replace !== true) throw fileExists(file);
  const sqlite = openSqlite(place.database);
  try {
    keepSafely(sqlite);
    copyDatabase(sqlite, file);
  } finally {
    sqlite.close();
  }
}

export function fileExists(file: string): WorkspaceError {
  return new WorkspaceError('file-exists', `${file} is there already.`, {
    where: file,
    hint: 'Choose another name, or add --replace.',
  });
}

/** The copy itself, through an open connection; whatever has the file's name is replaced. */
export function copyDatabase(sqlite: Sqlite, file: string): void {
  const folder = dirname(file);
  mkdirSync(folder, { recursive: true });
  const temporary = join(folder, `.${basename(file)}.${randomUUID()}.part`);
  try {
    copyInto(sqlite, temporary);
    checkCopy(temporary, sqlite.path);
    syncFile(temporary);
    renameSync(temporary, file);
  } catch (error) {
    for (const rest of ['', '-journal', '-wal', '-shm']) rmSync(temporary + rest, { force: true });
    throw error;
  }
  syncFolder(folder);
}

function checkCopy(temporary: string, source: string): void {
  const copy = openSqlite(temporary);
  try {
    const faults = faultsOf(copy);
    if (faults.length > 0) {
      throw new WorkspaceError('backup-invalid', `The copy of ${source} is not sound: ${faults[0]}.`, {
        where: source,
        hint: 'Check the disk; keep the older backups.',
      });
    }
    if (copy.first("SELECT 1 FROM sqlite_master WHERE name = 'session'")) {
      copy.script('PRAGMA secure_delete = ON; DELETE FROM session;');
    }
  } finally {
    copy.close();
  }
}

export function syncFile(path: string): void {
  const handle = openSync(path, 'r+');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** Makes today's backup where there is none, and drops the daily ones that are too old. Returns the file it made. */
export function dailyBackup(sqlite: Sqlite, place: WorkspacePlace, now: Date): string | undefined {
  const today = now.toISOString().slice(0, 10);
  const file = join(place.backups, `${today}.sqlite`);
  const made = existsSync(file) ? undefined : file;
  if (made) copyDatabase(sqlite, made);
  // Old ones go only when today's is safe.
  const oldest = new Date(now.getTime() - (BACKUPS_KEPT_DAYS - 1) * 86_400_000).toISOString().slice(0, 10);
  for (const name of readdirSync(place.backups)) {
    // What a killed program left half done; nobody else makes these while we have the workspace.
    if (/^\.\d{4}-\d{2}-\d{2}\.sqlite\.[0-9a-f-]{36}\.part/.test(name)) rmSync(join(place.backups, name));
    const day = /^(\d{4}-\d{2}-\d{2})\.sqlite$/.exec(name)?.[1];
    if (day !== undefined && day < oldest) rmSync(join(place.backups, name), { force: true });
  }
  return made;
}
