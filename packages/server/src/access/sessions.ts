import { randomUUID } from 'node:crypto';
import type { SessionList } from '@inlaywright/formats';
import type { Sqlite } from '../storage/sqlite.ts';
import { newToken, tokenHash } from './code.ts';

/** Days after which a device enters the code again. */
export const SESSION_DAYS = 30;
/** How exactly "last seen" is kept, ms: not every request is worth a write. */
const SEEN_EVERY_MS = 5 * 60_000;

/** Devices that entered the access code. */
export interface Sessions {
  /** Signs a device in and returns its token; the token is not stored and cannot be read back. */
  open(device: string): string;
  /** Id of the session that a token belongs to; undefined for an unknown, ended or expired one. */
  find(token: string): string | undefined;
  list(): SessionList['sessions'];
  /** Ends a session; false where there is none. */
  end(id: string): boolean;
  /** Calls back with the id of every session that is ended. */
  onEnd(listener: (id: string) => void): void;
}

export function openSessions(sqlite: Sqlite, now: () => Date): Sessions {
  const listeners: ((id: string) => void)[] = [];
  const dropExpired = (): void => {
    sqlite.run('DELETE FROM session WHERE expires_at <= ?', [now().toISOString()]);
  };
  return {
    open(device) {
      dropExpired();
      const token = newToken();
      const at = now();
      sqlite.run(
        'INSERT INTO session (id, token_hash, device, created_at, last_seen_at, expires_at) VALUES (?, ?, ?, ?, ?, ?)',
        [
          randomUUID(),
          tokenHash(token),
          device,
          at.toISOString(),
          at.toISOString(),
          new Date(at.getTime() + SESSION_DAYS * 86_400_000).toISOString(),
        ],
      );
      return token;
    },

    find(token) {
      // Looked up by hash: the time it takes tells nothing about tokens.
      const row = sqlite.first('SELECT id, last_seen_at, expires_at FROM session WHERE token_hash = ?', [
        tokenHash(token),
      ]);
      const at = now();
      if (!row || String(row.expires_at) <= at.toISOString()) return undefined;
      if (at.getTime() - Date.parse(String(row.last_seen_at)) > SEEN_EVERY_MS) {
        sqlite.run('UPDATE session SET last_seen_at = ? WHERE id = ?', [at.toISOString(), String(row.id)]);
      }
      return String(row.id);
    },

    list() {
      dropExpired();
      return sqlite.all('SELECT * FROM session ORDER BY created_at, id').map((row) => ({
        id: String(row.id),
        device: String(row.device),
        createdAt: String(row.created_at),
        lastSeenAt: String(row.last_seen_at),
        expiresAt: String(row.expires_at),
      }));
    },

    end(id) {
      const ended = sqlite.run('DELETE FROM session WHERE id = ?', [id]).changes > 0;
      if (ended) for (const listener of listeners) listener(id);
      return ended;
    },

    onEnd(listener) {
      listeners.push(listener);
    },
  };
}
