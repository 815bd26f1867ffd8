import type { Change, Kind } from '@inlaywright/formats';
import { getMeta } from './migrate.ts';
import type { Sqlite } from './sqlite.ts';

/** The log of changes, oldest first. A position in it is `EPOCH.NUMBER`. */
export interface Changes {
  /** Position after the newest change. */
  position(): string;
  /** Changes after a position, each with its own; undefined where the log does not reach back to it. */
  after(position: string): { readonly position: string; readonly change: Change }[] | undefined;
  /** Calls back after every change that is on the disk. Returns what ends it. */
  listen(on: (position: string, change: Change) => void): () => void;
}

/** The log with its writing side, which belongs to the store. */
export interface ChangeLog extends Changes {
  /** Within a transaction: notes a change. */
  add(kind: Kind, id: string, version: number, action: Change['action'], at: string): void;
  /** After the transaction: tells the listeners what was noted. */
  tell(): void;
  /** Before a transaction: drops what one that failed had noted. */
  forget(): void;
}

/** How many changes the log keeps; whoever was away for longer loads everything anew. */
const LOG_LENGTH = 10_000;
export function openChangeLog(sqlite: Sqlite): ChangeLog {
  const listeners = new Set<(position: string, change: Change) => void>();
  let noted: { position: string; change: Change }[] = [];
  const epoch = (): string => getMeta(sqlite, 'epoch') ?? '';
  const newest = (): number =>
    Number(sqlite.first("SELECT seq FROM sqlite_sequence WHERE name = 'change'")?.seq ?? 0);

  return {
    add(kind, id, version, action, at) {
      sqlite.run('INSERT INTO change (kind, id, version, action, at) VALUES (?, ?, ?, ?, ?)', [
        kind,
        id,
        version,
        action,
        at,
      ]);
      const number = newest();
      sqlite.run('DELETE FROM change WHERE number <= ?', [number - LOG_LENGTH]);
      noted.push({ position: `${epoch()}.${number}`, change: { kind, id, version, action, at } });
    },

    tell() {
      const told = noted;
      noted = [];
      for (const { position, change } of told) for (const listener of listeners) listener(position, change);
    },

    forget() {
      noted = [];
    },

    position: () => `${epoch()}.${newest()}`,

    after(position) {
      const match = /^([0-9a-f]{12})\.(\d{1,15})$/.exec(position);
      if (!match || match[1] !== epoch()) return undefined;
      const from = Number(match[2]);
      const last = newest();
      const oldest = Number(sqlite.first('SELECT min(number) AS number FROM change')?.number ?? last + 1);
      if (from > last || (from < last && from + 1 < oldest)) return undefined;
      return sqlite.all('SELECT * FROM change WHERE number > ? ORDER BY number', [from]).map((row) => ({
        position: `${match[1]}.${row.number}`,
        change: {
          kind: String(row.kind) as Kind,
          id: String(row.id),
          version: Number(row.version),
          action: String(row.action) as Change['action'],
          at: String(row.at),
        },
      }));
    },

    listen(on) {
      listeners.add(on);
      return () => listeners.delete(on);
    },
  };
}
