import { existsSync, mkdirSync } from 'node:fs';
import { BODY_SCHEMAS } from '@inlaywright/formats';
import { copyDatabase } from './backup.ts';
import { loadDemos } from './demo/load-demos.ts';
import { WorkspaceError } from './errors.ts';
import { draftOf } from './kinds.ts';
import { type Lock, lockWorkspace } from './storage/lock.ts';
import { migrate, refuseNewer } from './storage/migrate.ts';
import { timeInName, type WorkspacePlace, workspacePlace } from './storage/place.ts';
import { STEPS, type Step } from './storage/schema.ts';
import { keepSafely, openSqlite, type Sqlite, sqliteCode } from './storage/sqlite.ts';
import { openStore, type Store } from './storage/store.ts';

/** An open workspace; nobody else opens it until it is closed. */
export interface Workspace {
  readonly place: WorkspacePlace;
  readonly sqlite: Sqlite;
  readonly store: Store;
  close(): void;
}

export interface WorkspaceOptions {
  /** Where the workspace is kept; made when missing. */
  readonly folder: string;
  /** Piece files that a new workspace starts with; absent for none, and for no demo materials. */
  readonly demos?: string;
  /** What the program is doing, told to whoever finds the workspace locked. */
  readonly doing?: string;
  readonly now?: () => Date;
  /** Steps of the schema; those of this program where absent. */
  readonly steps?: readonly Step[];
}

/**
 * Opens a workspace, or makes one.
 * @throws WorkspaceError workspace-locked, workspace-newer, workspace-damaged
 */
export function openWorkspace(options: WorkspaceOptions): Workspace {
  const place = workspacePlace(options.folder);
  // Names of customers are in it: a new folder is for its owner only.
  mkdirSync(place.folder, { recursive: true, mode: 0o700 });
  const lock = lockWorkspace(place, options.doing ?? 'serving');
  try {
    return opened(place, lock, options);
  } catch (error) {
    lock.release();
    throw error;
  }
}

function opened(place: WorkspacePlace, lock: Lock, options: WorkspaceOptions): Workspace {
  const now = options.now ?? (() => new Date());
  const sqlite = openSqlite(place.database);
  try {
    const steps = options.steps ?? STEPS;
    refuseDamaged(sqlite, place);
    refuseNewer(sqlite, steps.length, place.database);
    keepSafely(sqlite);
    migrate(sqlite, steps, (from) => {
      mkdirSync(place.backups, { recursive: true });
      copyDatabase(sqlite, `${place.backups}/before-schema-${from + 1}-${timeInName(now())}.sqlite`);
    });
    const store = openStore(sqlite, now);
    if (!store.get('preferences', 'workshop')) {
      store.create(draftOf('preferences', BODY_SCHEMAS.preferences.parse({})), { id: 'workshop' });
    }
    if (options.demos !== undefined && existsSync(options.demos)) loadDemos(sqlite, store, options.demos);
    return {
      place,
      sqlite,
      store,
      close() {
        sqlite.close();
        lock.release();
      },
    };
  } catch (error) {
    sqlite.close();
    throw error;
  }
}

function refuseDamaged(sqlite: Sqlite, place: WorkspacePlace): void {
  let faults: string[];
  try {
    faults = sqlite
      .all('PRAGMA quick_check(5)')
      .map((row) => String(Object.values(row)[0]))
      .filter((line) => line !== 'ok');
  } catch (error) {
    if (!/^SQLITE_(NOTADB|CORRUPT)/.test(sqliteCode(error) ?? '')) throw error;
    faults = [(error as Error).message];
  }
  if (faults.length === 0) return;
  throw new WorkspaceError('workspace-damaged', `${place.database} is damaged: ${faults.join('; ')}.`, {
    where: place.database,
    hint: `Restore a backup: "inlaywright restore FILE"; daily ones are in ${place.backups}.`,
  });
}
