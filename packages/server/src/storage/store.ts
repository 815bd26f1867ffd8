import { createHash } from 'node:crypto';
import { idFrom, type Kind } from '@inlaywright/formats';
import { WorkspaceError } from '../errors.ts';
import { type Changes, openChangeLog } from './change-log.ts';
import type { Row, Sqlite } from './sqlite.ts';

/**
 * Documents of all kinds with every saved version. Content is JSON text that the caller has checked; nothing here
 * looks into it. Each call is one transaction: when it returns, it is on the disk.
 */

/** What a document says of itself. */
export interface Head {
  readonly kind: Kind;
  readonly id: string;
  readonly version: number;
  readonly name: string;
  readonly savedAt: string;
  readonly deletedAt: string | null;
  /** Came with the program and was never saved by the maker. */
  readonly demo: boolean;
  readonly copyOf?: { readonly id: string; readonly version: number };
}

export interface Stored extends Head {
  readonly content: string;
}

export interface VersionHead {
  readonly version: number;
  readonly basedOn: number;
  readonly savedAt: string;
  readonly name: string;
}

/** A document that another one names. */
export interface Link {
  readonly field: string;
  readonly kind: Kind;
  readonly id: string;
}

/** A request's idempotency key, with a fingerprint of the whole request. */
export interface OnceKey {
  readonly key: string;
  readonly requestHash: string;
}

export interface Draft {
  readonly kind: Kind;
  readonly name: string;
  readonly content: string;
  readonly links: readonly Link[];
}

export interface CreateOptions {
  /** Made from the name where absent. */
  readonly id?: string;
  readonly once?: OnceKey | undefined;
  readonly copyOf?: { readonly id: string; readonly version: number };
  readonly demo?: boolean;
  /** Ids that are taken by something that is not stored. */
  readonly taken?: (id: string) => boolean;
}

export interface Saved {
  readonly head: Head;
  /** The request had been done before: nothing was stored now. */
  readonly again: boolean;
}

export interface Store {
  get(kind: Kind, id: string): Stored | undefined;
  list(
    kind: Kind,
    options?: { readonly deleted?: boolean; readonly where?: Readonly<Record<string, string>> },
  ): Stored[];
  heads(kind: Kind, options?: { readonly deleted?: boolean }): Head[];
  versions(kind: Kind, id: string): VersionHead[];
  version(kind: Kind, id: string, version: number): Stored | undefined;
  /** @throws WorkspaceError reference-missing, key-reused */
  create(draft: Draft, options?: CreateOptions): Saved;
  /** @throws WorkspaceError no-such-document, stale-version, reference-missing */
  replace(id: string, draft: Draft, basedOn: number): Saved;
  /** @throws WorkspaceError no-such-document, stale-version, still-used */
  remove(kind: Kind, id: string, basedOn: number): Head;
  /** @throws WorkspaceError no-such-document, reference-missing */
  restore(kind: Kind, id: string): Head;
  /** Several calls in one transaction. */
  together<T>(work: () => T): T;
  readonly changes: Changes;
}

/** How long an idempotency key is remembered, ms: a phone may sleep over the weekend. */
const KEY_LIFE_MS = 7 * 86_400_000;

export function openStore(sqlite: Sqlite, now: () => Date = () => new Date()): Store {
  const log = openChangeLog(sqlite);
  let depth = 0;

  /** Runs work in a transaction, and tells of its changes when they are on the disk. */
  function together<T>(work: () => T): T {
    if (depth > 0) return work();
    depth += 1;
    log.forget();
    let result: T;
    try {
      result = sqlite.transaction(work);
    } finally {
      depth -= 1;
    }
    log.tell();
    return result;
  }

  function head(kind: Kind, id: string): Head | undefined {
    const row = sqlite.first('SELECT * FROM document WHERE kind = ? AND id = ?', [kind, id]);
    return row && headOf(row);
  }

  function existing(kind: Kind, id: string): Head {
    const found = head(kind, id);
    if (found) return found;
    throw noSuch(kind, id);
  }

  function freeId(kind: Kind, name: string, taken: (id: string) => boolean): string {
    const stem = idFrom(name, kind === 'batches' ? 'batch' : kind.replace(/s$/, ''));
    const used = (id: string): boolean => taken(id) || head(kind, id) !== undefined;
    if (!used(stem)) return stem;
    for (let n = 2; ; n++) if (!used(`${stem}-${n}`)) return `${stem}-${n}`;
  }

  function setLinks(kind: Kind, id: string, links: readonly Link[]): void {
    sqlite.run('DELETE FROM link WHERE kind = ? AND id = ?', [kind, id]);
    for (const link of links) {
      const target = head(link.kind, link.id);
      if (!target || target.deletedAt !== null) {
        throw new WorkspaceError(
          'reference-missing',
          `${link.field} names ${link.kind}/${link.id}, which ${target ? 'was put aside' : 'is not there'}.`,
          {
            where: link.field,
            hint: target ? 'Restore it, or name another.' : 'Store it first, or name another.',
          },
        );
      }
      sqlite.run(
        'INSERT OR IGNORE INTO link (kind, id, field, target_kind, target_id) VALUES (?, ?, ?, ?, ?)',
        [kind, id, link.field, link.kind, link.id],
      );
    }
  }

  function addVersion(id: string, draft: Draft, version: number, basedOn: number, at: string): void {
    sqlite.run(
      'INSERT INTO version (kind, id, number, based_on, saved_at, name, content) VALUES (?, ?, ?, ?, ?, ?, ?)',
      [draft.kind, id, version, basedOn, at, draft.name, draft.content],
    );
  }

  function doneBefore(once: OnceKey): Head | undefined {
    const cut = new Date(now().getTime() - KEY_LIFE_MS).toISOString();
    sqlite.run('DELETE FROM once WHERE at < ?', [cut]);
    const row = sqlite.first('SELECT * FROM once WHERE key = ?', [once.key]);
    if (!row) return undefined;
    if (row.request_hash !== once.requestHash) {
      throw new WorkspaceError('key-reused', `The key "${once.key}" came with another request before.`, {
        where: 'idempotency-key',
        hint: 'Make a new key for a new request; repeat a request with the very same content.',
      });
    }
    return head(String(row.kind) as Kind, String(row.id));
  }

  function stale(current: Head, basedOn: number): WorkspaceError {
    const stored = content(sqlite, current);
    return new WorkspaceError(
      'stale-version',
      current.deletedAt !== null
        ? `${current.kind}/${current.id} was put aside in between. Nothing was saved.`
        : `The newest version of ${current.kind}/${current.id} is ${current.version}; this change started from version ${basedOn}. Nothing was saved.`,
      {
        hint: 'Keep yours as the next version, keep theirs, or store yours as a copy beside it.',
        details: { current: stored, base: basedOn },
      },
    );
  }

  return {
    together,

    get(kind, id) {
      const found = head(kind, id);
      return found && content(sqlite, found);
    },

    list(kind, options = {}) {
      const clauses = ['document.kind = ?'];
      const values: string[] = [kind];
      if (!options.deleted) clauses.push('document.deleted_at IS NULL');
      for (const [field, id] of Object.entries(options.where ?? {})) {
        clauses.push(
          'EXISTS (SELECT 1 FROM link WHERE link.kind = document.kind AND link.id = document.id AND link.field = ? AND link.target_id = ?)',
        );
        values.push(field, id);
      }
      return sqlite
        .all(
          `SELECT document.*, version.content FROM document JOIN version
             ON version.kind = document.kind AND version.id = document.id AND version.number = document.version
           WHERE ${clauses.join(' AND ')} ORDER BY document.name, document.id`,
          values,
        )
        .map((row) => ({ ...headOf(row), content: String(row.content) }));
    },

    heads(kind, options = {}) {
      const live = options.deleted ? '' : 'AND deleted_at IS NULL';
      return sqlite
        .all(`SELECT * FROM document WHERE kind = ? ${live} ORDER BY name, id`, [kind])
        .map(headOf);
    },

    versions(kind, id) {
      existing(kind, id);
      return sqlite
        .all(
          'SELECT number, based_on, saved_at, name FROM version WHERE kind = ? AND id = ? ORDER BY number DESC',
          [kind, id],
        )
        .map((row) => ({
          version: Number(row.number),
          basedOn: Number(row.based_on),
          savedAt: String(row.saved_at),
          name: String(row.name),
        }));
    },

    version(kind, id, version) {
      const current = existing(kind, id);
      const row = sqlite.first(
        'SELECT name, saved_at, content FROM version WHERE kind = ? AND id = ? AND number = ?',
        [kind, id, version],
      );
      if (!row) return undefined;
      return {
        ...current,
        version,
        name: String(row.name),
        savedAt: String(row.saved_at),
        content: String(row.content),
      };
    },

    create(draft, options = {}) {
      return together(() => {
        if (options.once) {
          const before = doneBefore(options.once);
          if (before) return { head: before, again: true };
        }
        const at = now().toISOString();
        const id = options.id ?? freeId(draft.kind, draft.name, options.taken ?? (() => false));
        sqlite.run(
          `INSERT INTO document (kind, id, version, name, saved_at, demo, copy_of_id, copy_of_version)
           VALUES (?, ?, 1, ?, ?, ?, ?, ?)`,
          [
            draft.kind,
            id,
            draft.name,
            at,
            options.demo ? 1 : 0,
            options.copyOf?.id ?? null,
            options.copyOf?.version ?? null,
          ],
        );
        addVersion(id, draft, 1, 0, at);
        setLinks(draft.kind, id, draft.links);
        if (options.once) {
          sqlite.run(
            'INSERT INTO once (key, request_hash, kind, id, version, at) VALUES (?, ?, ?, ?, 1, ?)',
            [options.once.key, options.once.requestHash, draft.kind, id, at],
          );
        }
        log.add(draft.kind, id, 1, 'saved', at);
        return { head: head(draft.kind, id)!, again: false };
      });
    },

    replace(id, draft, basedOn) {
      return together(() => {
        const current = existing(draft.kind, id);
        if (current.version !== basedOn || current.deletedAt !== null) {
          if (repeated(sqlite, current, draft, basedOn)) return { head: current, again: true };
          throw stale(current, basedOn);
        }
        const at = now().toISOString();
        const version = current.version + 1;
        addVersion(id, draft, version, basedOn, at);
        sqlite.run(
          'UPDATE document SET version = ?, name = ?, saved_at = ?, demo = 0 WHERE kind = ? AND id = ?',
          [version, draft.name, at, draft.kind, id],
        );
        setLinks(draft.kind, id, draft.links);
        log.add(draft.kind, id, version, 'saved', at);
        return { head: head(draft.kind, id)!, again: false };
      });
    },

    remove(kind, id, basedOn) {
      return together(() => {
        const current = existing(kind, id);
        if (current.deletedAt !== null) return current;
        if (current.version !== basedOn) throw stale(current, basedOn);
        const users = sqlite.all(
          `SELECT DISTINCT document.kind, document.id, document.name FROM link JOIN document
             ON document.kind = link.kind AND document.id = link.id
           WHERE link.target_kind = ? AND link.target_id = ? AND document.deleted_at IS NULL
           ORDER BY document.kind, document.id LIMIT 20`,
          [kind, id],
        );
        if (users.length > 0) {
          throw new WorkspaceError(
            'still-used',
            `${current.name} is used by ${users.map((user) => `${user.kind}/${user.id}`).join(', ')}.`,
            {
              hint: 'Change or put aside what uses it first.',
              details: { usedBy: users.map(({ kind: k, id: i, name }) => ({ kind: k, id: i, name })) },
            },
          );
        }
        const at = now().toISOString();
        sqlite.run('UPDATE document SET deleted_at = ? WHERE kind = ? AND id = ?', [at, kind, id]);
        log.add(kind, id, current.version, 'deleted', at);
        return head(kind, id)!;
      });
    },

    restore(kind, id) {
      return together(() => {
        const current = existing(kind, id);
        if (current.deletedAt === null) return current;
        // What it names may have been put aside after it.
        setLinks(kind, id, linksOf(sqlite, kind, id));
        sqlite.run('UPDATE document SET deleted_at = NULL WHERE kind = ? AND id = ?', [kind, id]);
        log.add(kind, id, current.version, 'restored', now().toISOString());
        return head(kind, id)!;
      });
    },

    changes: log,
  };
}

export function noSuch(kind: Kind, id: string): WorkspaceError {
  const shown = id.slice(0, 80);
  return kind === 'pieces'
    ? new WorkspaceError('piece-missing', `The workspace has no piece "${shown}".`, {
        hint: 'Choose one from the list of pieces; it may have been renamed.',
      })
    : new WorkspaceError('no-such-document', `The workspace has no ${kind}/${shown}.`, {
        hint: 'Load the list again and choose from it.',
      });
}

/** A fingerprint of a request, to tell a repeated one from another that uses the same key. */
export function requestHash(...parts: readonly string[]): string {
  const hash = createHash('sha256');
  for (const part of parts) hash.update(`${part.length}:${part}`);
  return hash.digest('hex');
}

function content(sqlite: Sqlite, head: Head): Stored {
  const row = sqlite.first('SELECT content FROM version WHERE kind = ? AND id = ? AND number = ?', [
    head.kind,
    head.id,
    head.version,
  ]);
  return { ...head, content: String(row!.content) };
}

/** Whether the very same save is the newest version already: its answer was lost on the way. */
function repeated(sqlite: Sqlite, current: Head, draft: Draft, basedOn: number): boolean {
  if (current.deletedAt !== null || current.version !== basedOn + 1) return false;
  return content(sqlite, current).content === draft.content;
}

function linksOf(sqlite: Sqlite, kind: Kind, id: string): Link[] {
  return sqlite
    .all('SELECT field, target_kind, target_id FROM link WHERE kind = ? AND id = ?', [kind, id])
    .map((row) => ({
      field: String(row.field),
      kind: String(row.target_kind) as Kind,
      id: String(row.target_id),
    }));
}

function headOf(row: Row): Head {
  return {
    kind: String(row.kind) as Kind,
    id: String(row.id),
    version: Number(row.version),
    name: String(row.name),
    savedAt: String(row.saved_at),
    deletedAt: row.deleted_at === null ? null : String(row.deleted_at),
    demo: row.demo === 1,
    ...(row.copy_of_id === null
      ? {}
      : { copyOf: { id: String(row.copy_of_id), version: Number(row.copy_of_version) } }),
  };
}
