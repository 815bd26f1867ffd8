import { randomBytes } from 'node:crypto';
import { WorkspaceError } from '../errors.ts';
import { APPLICATION_ID, type Step } from './schema.ts';
import { pragmaNumber, type Sqlite } from './sqlite.ts';

/** Throws where the file is of a newer program. */
export function refuseNewer(sqlite: Sqlite, newest: number, path: string): void {
  const version = pragmaNumber(sqlite, 'user_version');
  if (version <= newest) return;
  throw new WorkspaceError(
    'workspace-newer',
    `${path} has schema version ${version}; this program knows versions up to ${newest}.`,
    { where: path, hint: 'Open it with a newer Inlaywright; nothing in it was touched.' },
  );
}

/**
 * Takes a file to the newest schema in one transaction: all steps or none.
 * @param keepCopy called before the first step of a file that holds something, to copy it
 */
export function migrate(
  sqlite: Sqlite,
  steps: readonly Step[],
  keepCopy: (from: number) => void,
): { readonly from: number; readonly to: number } {
  refuseNewer(sqlite, steps.length, sqlite.path);
  const from = pragmaNumber(sqlite, 'user_version');
  const to = steps.length;
  if (from === to) return { from, to };
  if (from > 0) keepCopy(from);
  sqlite.transaction(() => {
    // Another process may have been faster.
    if (pragmaNumber(sqlite, 'user_version') !== from) return;
    for (const step of steps.slice(from)) step(sqlite);
    if (from === 0) {
      sqlite.script(`PRAGMA application_id = ${APPLICATION_ID}`);
      newEpoch(sqlite);
    }
    sqlite.script(`PRAGMA user_version = ${to}`);
  });
  return { from, to };
}

/** Begins a new count of changes: readers of the old one load everything anew. */
export function newEpoch(sqlite: Sqlite): void {
  setMeta(sqlite, 'epoch', randomBytes(6).toString('hex'));
}

export function getMeta(sqlite: Sqlite, key: string): string | undefined {
  const row = sqlite.first('SELECT value FROM meta WHERE key = ?', [key]);
  return row === undefined ? undefined : String(row.value);
}

export function setMeta(sqlite: Sqlite, key: string, value: string): void {
  sqlite.run(
    'INSERT INTO meta (key, value) VALUES (?, ?) ON CONFLICT (key) DO UPDATE SET value = excluded.value',
    [key, value],
  );
}
