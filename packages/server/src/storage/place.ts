import { homedir } from 'node:os';
import { join } from 'node:path';

/** Where the system keeps a user's data (XDG base directories; their customary places elsewhere). */
export function userDataFolder(
  environment: Readonly<Record<string, string | undefined>> = process.env,
  platform: string = process.platform,
): string {
  const home = homedir();
  if (platform === 'win32') {
    return join(environment.APPDATA || join(home, 'AppData', 'Roaming'), 'Inlaywright');
  }
  if (platform === 'darwin') return join(home, 'Library', 'Application Support', 'Inlaywright');
  return join(environment.XDG_DATA_HOME || join(home, '.local', 'share'), 'inlaywright');
}

/** Files of a workspace folder. */
export interface WorkspacePlace {
  readonly folder: string;
  /** The database; beside it stand its `-wal` and `-shm` while it is open. */
  readonly database: string;
  readonly lock: string;
  /** Who holds the lock, in words, for whoever is turned away. */
  readonly holder: string;
  /** Daily backups. */
  readonly backups: string;
}

export function workspacePlace(folder: string): WorkspacePlace {
  return {
    folder,
    database: join(folder, 'workspace.sqlite'),
    lock: join(folder, 'workspace.lock'),
    holder: join(folder, 'workspace.open.json'),
    backups: join(folder, 'backups'),
  };
}

/** A time as it can stand in a file's name. */
export function timeInName(now: Date): string {
  return now
    .toISOString()
    .replace(/[-:]/g, '')
    .replace(/\.\d+Z$/, 'Z');
}
