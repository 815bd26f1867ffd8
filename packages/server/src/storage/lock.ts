import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { WorkspaceError } from '../errors.ts';
import type { WorkspacePlace } from './place.ts';
import { openSqlite, sqliteCode } from './sqlite.ts';

/**
 * One program at a time writes a workspace. The lock is an open transaction on a file of its own: the system lets go of
 * it when the process ends, however it ends, so that no stale lock is left behind.
 */
export interface Lock {
  release(): void;
}

/** @throws WorkspaceError workspace-locked, naming the program that has it where that is known */
export function lockWorkspace(place: WorkspacePlace, doing: string): Lock {
  const sqlite = openSqlite(place.lock, { busyMs: 0 });
  try {
    sqlite.script('BEGIN EXCLUSIVE');
  } catch (error) {
    sqlite.close();
    const code = sqliteCode(error);
    if (code === undefined || !/^SQLITE_(BUSY|LOCKED)/.test(code)) throw error;
    throw new WorkspaceError(
      'workspace-locked',
      `The workspace ${place.folder} is open in ${holder(place)}.`,
      {
        where: place.folder,
        hint: 'Use the page of the program that has it, or end that program first.',
      },
    );
  }
  const text = JSON.stringify({ process: process.pid, doing, since: new Date().toISOString() });
  writeFileSync(place.holder, text);
  return {
    release() {
      rmSync(place.holder, { force: true });
      sqlite.script('ROLLBACK');
      sqlite.close();
    },
  };
}

function holder(place: WorkspacePlace): string {
  try {
    const {
      process: id,
      doing,
      since,
    } = JSON.parse(readFileSync(place.holder, 'utf8')) as Record<string, unknown>;
    return `another program (process ${id}, ${doing}, since ${since})`;
  } catch {
    return 'another program';
  }
}
