import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { ALL_KINDS, BODY_SCHEMAS, type Kind } from '@inlaywright/formats';
import { syncFile } from './backup.ts';
import { WorkspaceError } from './errors.ts';
import { refuseNewer } from './storage/migrate.ts';
import { workspacePlace } from './storage/place.ts';
import { STEPS } from './storage/schema.ts';
import { openSqlite, pragmaNumber, type Sqlite } from './storage/sqlite.ts';
import { openStore, type Store } from './storage/store.ts';
import { syncFolder } from './write-file.ts';

/**
 * The whole workspace as a folder of readable files, which outlive this program: `KIND/ID/N.json` for every saved
 * version, `history.json` beside them, and a manifest with the hash of each. Pieces are piece files, trials have their
 * trial file and fit records their fit file in a file of their own. docs/workspace.md describes it. The same workspace gives
 * the same bytes.
 */
export const EXPORT_FORMAT = 'inlaywright-workspace';
export const EXPORT_VERSION = 1;

export interface ExportFile {
  /** Below the folder, with forward slashes. */
  readonly path: string;
  readonly text: string;
}

export interface History {
  readonly id: string;
  readonly deletedAt: string | null;
  readonly demo: boolean;
  readonly copyOf: { readonly id: string; readonly version: number } | null;
  readonly versions: readonly {
    readonly version: number;
    readonly basedOn: number;
    readonly savedAt: string;
  }[];
}

/** Parts of a body that are files in their own right: by kind, the field and the ending of its file. */
export const OWN_FILES: Readonly<Partial<Record<Kind, { readonly field: string; readonly ending: string }>>> =
  {
    trials: { field: 'trial', ending: 'trial.json' },
    records: { field: 'fit', ending: 'fit.json' },
  };

/** Every file of an export but the manifest, in the order of their paths. */
export function exportFiles(sqlite: Sqlite, store: Store = openStore(sqlite)): ExportFile[] {
  return sqlite.snapshot(() => {
    const files: ExportFile[] = [];
    for (const kind of ALL_KINDS) {
      for (const head of store.heads(kind, { deleted: true })) {
        const versions = store.versions(kind, head.id).reverse();
        const history: History = {
          id: head.id,
          deletedAt: head.deletedAt,
          demo: head.demo,
          copyOf: head.copyOf ?? null,
          versions: versions.map(({ version, basedOn, savedAt }) => ({ version, basedOn, savedAt })),
        };
        files.push({ path: `${kind}/${head.id}/history.json`, text: pretty(history) });
        for (const { version } of versions) {
          const { content } = store.version(kind, head.id, version)!;
          files.push(...versionFiles(kind, `${kind}/${head.id}/${version}`, content));
        }
      }
    }
    return files.sort((a, b) => (a.path < b.path ? -1 : 1));
  });
}

function versionFiles(kind: Kind, stem: string, content: string): ExportFile[] {
  if (kind === 'pieces') return [{ path: `${stem}.json`, text: content }];
  const body = BODY_SCHEMAS[kind].parse(JSON.parse(content)) as Record<string, unknown>;
  const own = OWN_FILES[kind];
  if (!own) return [{ path: `${stem}.json`, text: pretty(body) }];
  const { [own.field]: part, ...rest } = body;
  const text = kind === 'records' ? pretty(fitFileOf(part)) : pretty(part);
  return [
    { path: `${stem}.json`, text: pretty(rest) },
    { path: `${stem}.${own.ending}`, text },
  ];
}

/** A fit file whose only record is this one. */
function fitFileOf(record: unknown): unknown {
  return { format: 'inlaywright-fit', version: 1, default: record, byTone: {} };
}

export function pretty(value: unknown): string {
  return `${JSON.stringify(value, null, 2)}\n`;
}

export function sha256(text: string): string {
  return createHash('sha256').update(text, 'utf8').digest('hex');
}

export function manifestOf(files: readonly ExportFile[]): string {
  return pretty({
    format: EXPORT_FORMAT,
    version: EXPORT_VERSION,
    needs: '0.1.0',
    files: files.map(({ path, text }) => ({ path, bytes: Buffer.byteLength(text), sha256: sha256(text) })),
  });
}

export interface Exported {
  readonly files: number;
  readonly bytes: number;
}

/**
 * Writes an export, also while a server has the workspace open. The folder appears whole or not at all.
 * @throws WorkspaceError workspace-missing, workspace-newer, file-exists
 */
export function exportWorkspace(folder: string, target: string): Exported {
  const place = workspacePlace(folder);
  if (!existsSync(place.database)) {
    throw new WorkspaceError('workspace-missing', `There is no workspace in ${folder}.`, {
      where: folder,
      hint: 'Name its folder with --workspace.',
    });
  }
  if (existsSync(target) && readdirSync(target).length > 0) {
    throw new WorkspaceError('file-exists', `${target} is there already, and not empty.`, {
      where: target,
      hint: 'Name a folder that is not there yet, or an empty one.',
    });
  }
  const sqlite = openSqlite(place.database);
  try {
    const files = readable(sqlite, place.database);
    return writeExport(files, target);
  } finally {
    sqlite.close();
  }
}

function readable(sqlite: Sqlite, path: string): ExportFile[] {
  refuseNewer(sqlite, STEPS.length, path);
  if (pragmaNumber(sqlite, 'user_version') < STEPS.length) {
    throw new WorkspaceError('workspace-missing', `${path} is of an older version of the program.`, {
      where: path,
      hint: 'Open it once with "inlaywright serve", which brings it up to date, and export it then.',
    });
  }
  return exportFiles(sqlite);
}

function writeExport(files: readonly ExportFile[], target: string): Exported {
  const all = [...files, { path: 'manifest.json', text: manifestOf(files) }];
  const parent = dirname(join(target, '.'));
  const temporary = join(parent, `.${basename(target)}.${process.pid}.part`);
  mkdirSync(parent, { recursive: true });
  try {
    for (const { path, text } of all) {
      const file = join(temporary, path);
      mkdirSync(dirname(file), { recursive: true });
      writeFileSync(file, text);
      syncFile(file);
    }
    if (existsSync(target)) rmSync(target, { recursive: true });
    renameSync(temporary, target);
    syncFolder(parent);
  } catch (error) {
    rmSync(temporary, { recursive: true, force: true });
    throw error;
  }
  return { files: all.length, bytes: all.reduce((sum, { text }) => sum + Buffer.byteLength(text), 0) };
}
