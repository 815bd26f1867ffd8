import { existsSync, mkdirSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import {
  ALL_KINDS,
  BODY_SCHEMAS,
  FormatError,
  idSchema,
  type Kind,
  readPiece,
  writePiece,
} from '@inlaywright/formats';
import { z } from 'zod';
import { syncFile } from './backup.ts';
import { WorkspaceError } from './errors.ts';
import { EXPORT_FORMAT, EXPORT_VERSION, OWN_FILES, sha256 } from './export.ts';
import { draftOf } from './kinds.ts';
import { putInPlace, removeDatabase } from './restore.ts';
import { lockWorkspace } from './storage/lock.ts';
import { migrate, setMeta } from './storage/migrate.ts';
import { workspacePlace } from './storage/place.ts';
import { STEPS } from './storage/schema.ts';
import { faultsOf, openSqlite, type Sqlite } from './storage/sqlite.ts';
import type { Draft } from './storage/store.ts';

const manifestSchema = z.strictObject({
  format: z.literal(EXPORT_FORMAT),
  version: z.int(),
  needs: z.string().optional(),
  files: z.array(
    z.strictObject({ path: z.string(), bytes: z.int().min(0), sha256: z.string().regex(/^[0-9a-f]{64}$/) }),
  ),
});

const historySchema = z.strictObject({
  id: idSchema,
  deletedAt: z.iso.datetime().nullable(),
  demo: z.boolean(),
  copyOf: z.strictObject({ id: idSchema, version: z.int().min(0) }).nullable(),
  versions: z
    .array(z.strictObject({ version: z.int().min(1), basedOn: z.int().min(0), savedAt: z.iso.datetime() }))
    .min(1),
});

const PATH = new RegExp(
  `^(${ALL_KINDS.join('|')})/([a-z0-9-]{1,64})/(history|[1-9]\\d{0,8})(\\.(?:trial|fit))?\\.json$`,
);

export interface Imported {
  readonly documents: number;
  readonly versions: number;
  /** Where the replaced workspace is kept; undefined where there was none. */
  readonly kept: string | undefined;
}

/**
 * Makes a workspace of an export. Everything is checked and built in a file of its own first; nothing of the present
 * workspace is touched before that stands.
 * @throws WorkspaceError export-invalid, workspace-not-empty, workspace-locked
 */
export function importWorkspace(
  folder: string,
  source: string,
  options: { readonly replace?: boolean; readonly now?: Date } = {},
): Imported {
  const files = readExport(source);
  const place = workspacePlace(folder);
  mkdirSync(place.folder, { recursive: true });
  const lock = lockWorkspace(place, 'importing');
  const incoming = join(place.folder, '.importing.sqlite');
  try {
    if (options.replace !== true) refuseFilled(place.database);
    removeDatabase(incoming);
    const sqlite = openSqlite(incoming);
    let counts: { documents: number; versions: number };
    try {
      sqlite.all('PRAGMA foreign_keys = ON');
      migrate(sqlite, STEPS, () => {});
      counts = sqlite.transaction(() => fill(sqlite, files));
      const faults = faultsOf(sqlite);
      if (faults.length > 0) throw invalid(source, faults.slice(0, 3).join('; '));
    } finally {
      sqlite.close();
    }
    syncFile(incoming);
    return { ...counts, kept: putInPlace(place, incoming, options.now ?? new Date()) };
  } finally {
    removeDatabase(incoming);
    lock.release();
  }
}

function invalid(where: string, why: string): WorkspaceError {
  return new WorkspaceError('export-invalid', `The export cannot be imported: ${why}.`, {
    where,
    hint: 'Import an unchanged export, or mend the file that is named. The workspace was not touched.',
  });
}

/** A workspace that holds nothing of the maker's may be replaced without asking. */
function refuseFilled(database: string): void {
  if (!existsSync(database)) return;
  const sqlite = openSqlite(database);
  try {
    if (sqlite.first("SELECT 1 FROM sqlite_master WHERE name = 'document'") === undefined) return;
    const own = sqlite.first(
      "SELECT count(*) AS count FROM document WHERE demo = 0 AND NOT (kind = 'preferences' AND version = 1)",
    );
    if (own?.count === 0) return;
    throw new WorkspaceError('workspace-not-empty', `${database} holds ${own?.count} documents of yours.`, {
      where: database,
      hint: 'Add --replace to put the import in its place (the present one is kept beside it), or name another --workspace.',
    });
  } finally {
    sqlite.close();
  }
}

/** Every file of the manifest, checked against its hash; a file too few or too many is told. */
function readExport(source: string): ReadonlyMap<string, string> {
  const manifestFile = join(source, 'manifest.json');
  if (!existsSync(manifestFile)) throw invalid(source, `there is no manifest.json in ${source}`);
  const manifest = parsed(manifestSchema, readFileSync(manifestFile, 'utf8'), 'manifest.json');
  if (manifest.version > EXPORT_VERSION) {
    throw invalid(
      'manifest.json',
      `it has version ${manifest.version}, this program reads version ${EXPORT_VERSION}`,
    );
  }
  const files = new Map<string, string>();
  for (const { path, bytes, sha256: hash } of manifest.files) {
    if (!PATH.test(path))
      throw invalid('manifest.json', `it names "${path.slice(0, 120)}", which is no file of an export`);
    const file = join(source, path);
    if (!existsSync(file)) throw invalid(path, `${path} is missing`);
    const text = readFileSync(file, 'utf8');
    if (Buffer.byteLength(text) !== bytes || sha256(text) !== hash) {
      throw invalid(path, `${path} is not as it was exported: its hash differs from the manifest's`);
    }
    files.set(path, text);
  }
  const extra = filesBelow(source, '').find((path) => path !== 'manifest.json' && !files.has(path));
  if (extra !== undefined) throw invalid(extra, `${extra} is not in the manifest`);
  return files;
}

function filesBelow(root: string, path: string): string[] {
  return readdirSync(join(root, path)).flatMap((name) => {
    const below = path === '' ? name : `${path}/${name}`;
    return statSync(join(root, below)).isDirectory() ? filesBelow(root, below) : [below];
  });
}

function parsed<T>(schema: z.ZodType<T>, text: string, path: string): T {
  const result = schema.safeParse(json(text, path));
  if (result.success) return result.data;
  const issue = result.error.issues[0]!;
  throw invalid(path, `${path} is wrong at ${issue.path.join('.') || 'its start'}: ${issue.message}`);
}

function json(text: string, path: string): unknown {
  try {
    return JSON.parse(text);
  } catch (error) {
    throw invalid(path, `${path} is not JSON: ${(error as Error).message}`);
  }
}

function fill(sqlite: Sqlite, files: ReadonlyMap<string, string>): { documents: number; versions: number } {
  let [documents, versions] = [0, 0];
  const used = new Set<string>();
  const take = (path: string): string => {
    const text = files.get(path);
    if (text === undefined) throw invalid(path, `${path} is missing`);
    used.add(path);
    return text;
  };
  const links: { kind: Kind; id: string; draft: Draft }[] = [];
  for (const path of [...files.keys()].sort()) {
    const [, kindName, id, what] = PATH.exec(path)!;
    if (what !== 'history') continue;
    const kind = kindName as Kind;
    const history = parsed(historySchema, take(path), path);
    if (history.id !== id) throw invalid(path, `${path} is the history of "${history.id}"`);
    const drafts = history.versions.map(({ version }) => readVersion(kind, `${kind}/${id}/${version}`, take));
    const newest = history.versions.at(-1)!;
    history.versions.forEach(({ version, basedOn, savedAt }, i) => {
      if (version !== i + 1 || basedOn >= version) {
        throw invalid(path, `${path} does not count its versions from 1 upward`);
      }
      sqlite.run(
        'INSERT INTO version (kind, id, number, based_on, saved_at, name, content) VALUES (?, ?, ?, ?, ?, ?, ?)',
        // Referenced rows come later: the keys are checked at the end of the transaction.
        [kind, history.id, version, basedOn, savedAt, drafts[i]!.name, drafts[i]!.content],
      );
      versions += 1;
    });
    sqlite.run(
      `INSERT INTO document (kind, id, version, name, saved_at, deleted_at, demo, copy_of_id, copy_of_version)
       VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
      [
        kind,
        history.id,
        newest.version,
        drafts.at(-1)!.name,
        newest.savedAt,
        history.deletedAt,
        history.demo ? 1 : 0,
        history.copyOf?.id ?? null,
        history.copyOf?.version ?? null,
      ],
    );
    links.push({ kind, id: history.id, draft: drafts.at(-1)! });
    documents += 1;
  }
  const unused = [...files.keys()].find((path) => !used.has(path));
  if (unused !== undefined) throw invalid(unused, `${unused} is not in its history`);
  addLinks(sqlite, links);
  // An import is a workspace with a past: it is not given the demo pieces.
  setMeta(sqlite, 'demos', 'imported');
  return { documents, versions };
}

function addLinks(sqlite: Sqlite, all: readonly { kind: Kind; id: string; draft: Draft }[]): void {
  const known = new Set(all.map(({ kind, id }) => `${kind}/${id}`));
  for (const { kind, id, draft } of all) {
    for (const link of draft.links) {
      if (!known.has(`${link.kind}/${link.id}`)) {
        throw invalid(
          `${kind}/${id}`,
          `${kind}/${id} names ${link.kind}/${link.id}, which is not in the export`,
        );
      }
      sqlite.run(
        'INSERT OR IGNORE INTO link (kind, id, field, target_kind, target_id) VALUES (?, ?, ?, ?, ?)',
        [kind, id, link.field, link.kind, link.id],
      );
    }
  }
}

/** One saved version from its files, checked as a save would be. */
function readVersion(kind: Kind, stem: string, take: (path: string) => string): Draft {
  const path = `${stem}.json`;
  const text = take(path);
  if (kind === 'pieces') {
    try {
      const piece = readPiece(text);
      return { kind, name: piece.name, content: writePiece(piece), links: [] };
    } catch (error) {
      if (error instanceof FormatError) throw invalid(path, `${path}: ${error.message}`);
      throw error;
    }
  }
  const own = OWN_FILES[kind];
  const body = json(text, path) as Record<string, unknown>;
  const part = own && json(take(`${stem}.${own.ending}`), `${stem}.${own.ending}`);
  const whole = own
    ? { ...body, [own.field]: kind === 'records' ? (part as { default?: unknown } | null)?.default : part }
    : body;
  const result = BODY_SCHEMAS[kind].safeParse(whole);
  if (result.success) return draftOf(kind, result.data);
  const issue = result.error.issues[0]!;
  throw invalid(path, `${path} is wrong at ${issue.path.join('.') || 'its start'}: ${issue.message}`);
}
