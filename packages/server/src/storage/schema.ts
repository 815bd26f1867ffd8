import type { Sqlite } from './sqlite.ts';

/**
 * The workspace's tables, as numbered steps: step n takes a file of schema version n - 1 to n. Steps that were
 * released are never changed; a new one is added. docs/workspace.md describes the tables.
 */
export type Step = (sqlite: Sqlite) => void;

/** Marks a file as a workspace of ours (`PRAGMA application_id`): the letters INLW. */
export const APPLICATION_ID = 0x494e4c57;

/** Fields shown as columns by the view of each kind, so that any SQLite program reads the workspace. */
const VIEWS: Readonly<Record<string, readonly string[]>> = {
  machine: ['source', 'bedWidthMm', 'bedHeightMm', 'axisNotes', 'motion', 'notes'],
  setting: ['machine', 'powerPercent', 'speedMmPerS', 'passes', 'lens', 'air', 'notes'],
  material: ['type', 'botanicalName', 'densityKgM3', 'source', 'notes'],
  stock: ['material', 'thicknessMm', 'widthMm', 'heightMm', 'supplier', 'price', 'grain', 'notes'],
  sheet: ['stock', 'kind', 'outline', 'thicknessMm', 'grainDeg', 'place', 'price', 'from', 'usedUp', 'notes'],
  finding: ['type', 'wireMm', 'innerDiameterMm', 'massG', 'metal', 'count', 'supplier', 'price', 'notes'],
  trial: ['machine', 'stock', 'setting', 'sheet', 'trial', 'notes'],
  record: ['machine', 'stock', 'setting', 'grade', 'fit', 'thicknessMm', 'createdAt', 'supersedes', 'notes'],
  outcome: ['record', 'batch', 'date', 'seams', 'notes'],
  batch: ['order', 'machine', 'setting', 'lines', 'state', 'date', 'notes'],
  order: ['customer', 'due', 'lines', 'state', 'notes'],
  piece: [],
};

const PLURAL: Readonly<Record<string, string>> = { batch: 'batches' };

/** Name of a kind, as in the interface, from the singular used for views. */
function kindOf(singular: string): string {
  return PLURAL[singular] ?? `${singular}s`;
}

function viewOf(singular: string, fields: readonly string[]): string {
  const columns = fields
    .map((field) => `, json_extract(version.content, '$.${field}') AS "${field}"`)
    .join('');
  return `CREATE VIEW "${singular}" AS
    SELECT document.id, document.name, document.version, document.saved_at, document.deleted_at${columns}
    FROM document JOIN version ON version.kind = document.kind AND version.id = document.id
      AND version.number = document.version
    WHERE document.kind = '${kindOf(singular)}';`;
}

const documents: Step = (sqlite) => {
  sqlite.script(`
    CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;

    -- One row a document; content is in version. "version" is the pointer to the newest one.
    CREATE TABLE document (
      kind TEXT NOT NULL,
      id TEXT NOT NULL,
      version INTEGER NOT NULL CHECK (version >= 1),
      name TEXT NOT NULL,
      saved_at TEXT NOT NULL,
      deleted_at TEXT,
      demo INTEGER NOT NULL DEFAULT 0 CHECK (demo IN (0, 1)),
      copy_of_id TEXT,
      copy_of_version INTEGER,
      PRIMARY KEY (kind, id),
      FOREIGN KEY (kind, id, version) REFERENCES version (kind, id, number) DEFERRABLE INITIALLY DEFERRED
    ) STRICT;

    CREATE TABLE version (
      kind TEXT NOT NULL,
      id TEXT NOT NULL,
      number INTEGER NOT NULL CHECK (number >= 1),
      based_on INTEGER NOT NULL CHECK (based_on >= 0 AND based_on < number),
      saved_at TEXT NOT NULL,
      name TEXT NOT NULL,
      content TEXT NOT NULL CHECK (json_valid(content)),
      PRIMARY KEY (kind, id, number),
      FOREIGN KEY (kind, id) REFERENCES document (kind, id) DEFERRABLE INITIALLY DEFERRED
    ) STRICT;
    CREATE TRIGGER version_stays BEFORE UPDATE ON version
      BEGIN SELECT RAISE(ABORT, 'a saved version is never changed'); END;
    CREATE TRIGGER version_is_kept BEFORE DELETE ON version
      BEGIN SELECT RAISE(ABORT, 'a saved version is never removed'); END;

    -- What the newest version of a document names: a setting its machine, an order line its piece.
    CREATE TABLE link (
      kind TEXT NOT NULL,
      id TEXT NOT NULL,
      field TEXT NOT NULL,
      target_kind TEXT NOT NULL,
      target_id TEXT NOT NULL,
      PRIMARY KEY (kind, id, field, target_kind, target_id),
      FOREIGN KEY (kind, id) REFERENCES document (kind, id) DEFERRABLE INITIALLY DEFERRED,
      FOREIGN KEY (target_kind, target_id) REFERENCES document (kind, id) DEFERRABLE INITIALLY DEFERRED
    ) STRICT, WITHOUT ROWID;
    CREATE INDEX link_target ON link (target_kind, target_id, field);

    CREATE TABLE change (
      number INTEGER PRIMARY KEY AUTOINCREMENT,
      kind TEXT NOT NULL,
      id TEXT NOT NULL,
      version INTEGER NOT NULL,
      action TEXT NOT NULL CHECK (action IN ('saved', 'deleted', 'restored')),
      at TEXT NOT NULL
    ) STRICT;

    -- Requests that carried an idempotency key, and what they stored.
    CREATE TABLE once (
      key TEXT PRIMARY KEY,
      request_hash TEXT NOT NULL,
      kind TEXT NOT NULL,
      id TEXT NOT NULL,
      version INTEGER NOT NULL,
      at TEXT NOT NULL
    ) STRICT;

    -- Devices that entered the access code; the token itself is never stored.
    CREATE TABLE session (
      id TEXT PRIMARY KEY,
      token_hash TEXT NOT NULL UNIQUE,
      device TEXT NOT NULL,
      created_at TEXT NOT NULL,
      last_seen_at TEXT NOT NULL,
      expires_at TEXT NOT NULL
    ) STRICT;
  `);
  for (const [singular, fields] of Object.entries(VIEWS)) sqlite.script(viewOf(singular, fields));
};

export const STEPS: readonly Step[] = [documents];
