import { type ErrorCode, WorkspaceError } from '../errors.ts';
import { sqliteCode } from './sqlite.ts';

/** Trouble of the disk and the database file, in words; undefined for every other error. */
export function storageTrouble(error: unknown): WorkspaceError | undefined {
  const code = codeOf(error);
  return code && new WorkspaceError(code, `${(error as Error).message}.`, { hint: HINTS[code] });
}

const HINTS = {
  'workspace-busy': 'Another program writes the workspace; try again in a few seconds.',
  'workspace-full': 'Free some space on the disk and try again.',
  'workspace-unwritable': 'Give yourself the right to write there, or use another workspace folder.',
  'workspace-damaged': 'Restore a backup: "inlaywright restore FILE".',
} as const satisfies Partial<Record<ErrorCode, string>>;

function codeOf(error: unknown): keyof typeof HINTS | undefined {
  const sqlite = sqliteCode(error);
  if (sqlite !== undefined) {
    if (/^SQLITE_(BUSY|LOCKED)/.test(sqlite)) return 'workspace-busy';
    if (/^SQLITE_FULL/.test(sqlite)) return 'workspace-full';
    if (/^SQLITE_(CORRUPT|NOTADB)/.test(sqlite)) return 'workspace-damaged';
    if (/^SQLITE_(READONLY|CANTOPEN|PERM|IOERR)/.test(sqlite)) return 'workspace-unwritable';
    return undefined;
  }
  const system = (error as NodeJS.ErrnoException | null)?.code;
  if (system === 'ENOSPC') return 'workspace-full';
  if (system === 'EACCES' || system === 'EPERM' || system === 'EROFS') return 'workspace-unwritable';
  return undefined;
}
