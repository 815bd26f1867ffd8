import Database from 'libsql';

/**
 * The one place that talks to libsql. Values are bound as one list of text, numbers, null and bytes: a boolean or a
 * date must become 0/1 or ISO text before (the binding aborts the whole process on a boolean, so the type refuses it).
 */
export type Bound = string | number | null | Uint8Array;
export type Row = Readonly<Record<string, string | number | null>>;

/** An open SQLite file. Synchronous; belongs to one thread. */
export interface Sqlite {
  readonly path: string;
  run(sql: string, values?: readonly Bound[]): { readonly changes: number };
  all(sql: string, values?: readonly Bound[]): Row[];
  first(sql: string, values?: readonly Bound[]): Row | undefined;
  /** Several statements without values. */
  script(sql: string): void;
  /** Runs work in a transaction that takes the write lock at once; an error undoes all of it. */
  transaction<T>(work: () => T): T;
  /** Runs work on one unchanging view of the file, without keeping writers out. */
  snapshot<T>(work: () => T): T;
  close(): void;
}

/** How long a statement waits for another process (a backup, a command) that holds the file, ms. */
const BUSY_MS = 5000;

/**
 * Opens a file; makes it where there is none.
 * In the write-ahead log every commit reaches the disk before it is acknowledged (synchronous=FULL).
 */
export function openSqlite(path: string, options: { readonly busyMs?: number } = {}): Sqlite {
  const database = new Database(path);
  const statements = new Map<string, Database.Statement>();
  function statement(sql: string): Database.Statement {
    let found = statements.get(sql);
    if (!found) {
      found = database.prepare(sql);
      statements.set(sql, found);
    }
    return found;
  }
  function within<T>(begin: string, work: () => T): T {
    database.exec(begin);
    try {
      const result = work();
      database.exec('COMMIT');
      return result;
    } catch (error) {
      // A full disk may have ended the transaction already.
      if (database.inTransaction) database.exec('ROLLBACK');
      throw error;
    }
  }
  const sqlite: Sqlite = {
    path,
    run: (sql, values = []) => ({ changes: Number(statement(sql).run(values).changes) }),
    all: (sql, values = []) => statement(sql).all(values) as Row[],
    first: (sql, values = []) => (statement(sql).all(values) as Row[])[0],
    script: (sql) => database.exec(sql),
    transaction: (work) => within('BEGIN IMMEDIATE', work),
    snapshot: (work) => within('BEGIN', work),
    close() {
      foldLog(database);
      statements.clear();
      database.close();
    },
  };
  database.exec(`PRAGMA busy_timeout = ${options.busyMs ?? BUSY_MS}`);
  return sqlite;
}

/**
 * The binding keeps a closed connection alive until its statements are garbage collected. Its log must not stay with
 * it: folded in now, the file is whole by itself, and nothing is done to whatever has its name later. Where another
 * program still reads, the log stays and that program folds it.
 */
function foldLog(database: Database.Database): void {
  try {
    database.exec('PRAGMA busy_timeout = 0; PRAGMA journal_mode = DELETE;');
  } catch (error) {
    // A file that is busy, damaged or no database is closed as it is.
    if (sqliteCode(error) === undefined) throw error;
  }
}

/** How a workspace file is kept; said anew for every connection, except the first part, which stays in the file. */
export function keepSafely(sqlite: Sqlite): void {
  sqlite.script('PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;');
}

/** A consistent copy in a new file, within one read transaction. Leaves no statement behind, so that closing closes. */
export function copyInto(sqlite: Sqlite, path: string): void {
  sqlite.script(`VACUUM INTO '${path.replaceAll("'", "''")}'`);
}

/** A number that a pragma tells. */
export function pragmaNumber(
  sqlite: Sqlite,
  name: 'user_version' | 'application_id' | 'synchronous' | 'foreign_keys',
): number {
  return Number(Object.values(sqlite.first(`PRAGMA ${name}`) ?? {})[0]);
}

/** What is wrong inside a file, a line each; none for a sound one. Throws where it is no database at all. */
export function faultsOf(sqlite: Sqlite): string[] {
  const integrity = sqlite.all('PRAGMA integrity_check').map((row) => String(Object.values(row)[0]));
  const broken = sqlite
    .all('PRAGMA foreign_key_check')
    .map((row) => `${row.table} names a row of ${row.parent} that is not there`);
  return [...integrity.filter((line) => line !== 'ok'), ...broken];
}

/** The code of an SQLite error, such as SQLITE_BUSY; undefined for other errors. */
export function sqliteCode(error: unknown): string | undefined {
  const code = (error as { code?: unknown } | null)?.code;
  return typeof code === 'string' && code.startsWith('SQLITE_') ? code : undefined;
}
