import { mkdirSync, readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import {
  PIECE_FORMAT,
  type PieceEntry,
  type PieceRegister,
  pieceIdFrom,
  pieceIdSchema,
  readPiece,
} from '@inlaywright/formats';
import { writeFileAtomically } from './write-file.ts';

/**
 * The maker's pieces. Every save is a new file `pieces/<id>/<version>.json` in the workspace folder, so an
 * older version is never written over. The demo pieces are read from their own folder and never changed:
 * saving one starts its history in the workspace with version 2.
 */
export interface Workspace {
  list(): PieceRegister;
  /** The newest version, or undefined where there is no such piece. */
  get(id: string): StoredPiece | undefined;
  /**
   * Saves the text of a piece file, which must be readable (the caller has checked it).
   * `basedOn` is the version the change started from, 0 for a new piece.
   */
  save(id: string, text: string, basedOn: number): Saved;
  /** An id made from the name that no piece has yet. */
  freeId(name: string): string;
}

export interface StoredPiece {
  readonly entry: PieceEntry;
  readonly text: string;
}

/** `stale`: somebody saved another version in between; `current` is its number, 0 where the piece is gone. */
export type Saved =
  | { readonly ok: true; readonly entry: PieceEntry }
  | { readonly ok: false; readonly reason: 'stale'; readonly current: number };

export interface WorkspaceFolders {
  /** Where saved pieces are kept; made when missing. */
  readonly folder: string;
  /** Piece files shown to everyone who starts; absent for none. */
  readonly demos?: string;
}

interface Place {
  readonly path: string;
  readonly version: number;
  readonly demo: boolean;
}

export function openWorkspace({ folder, demos }: WorkspaceFolders): Workspace {
  const home = join(folder, 'pieces');
  mkdirSync(home, { recursive: true });

  /** Newest file of each piece, by id. */
  function places(): Map<string, Place> {
    const found = new Map<string, Place>();
    for (const [id, path] of demoFiles(demos)) found.set(id, { path, version: 1, demo: true });
    for (const id of readdirSync(home)) {
      if (!pieceIdSchema.safeParse(id).success) continue;
      const version = newestVersion(join(home, id));
      if (version > 0) found.set(id, { path: join(home, id, `${version}.json`), version, demo: false });
    }
    return found;
  }

  function entryOf(id: string, place: Place, name: string): PieceEntry {
    const savedAt = place.demo ? null : statSync(place.path).mtime.toISOString();
    return { id, name, version: place.version, savedAt };
  }

  return {
    list() {
      const pieces: PieceEntry[] = [];
      const unreadable: { id: string; detail: string }[] = [];
      for (const [id, place] of places()) {
        try {
          pieces.push(entryOf(id, place, readPiece(readFileSync(place.path, 'utf8')).name));
        } catch (error) {
          unreadable.push({ id, detail: (error as Error).message });
        }
      }
      pieces.sort((a, b) => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0));
      return { pieces, unreadable };
    },

    get(id) {
      const place = places().get(id);
      if (!place) return undefined;
      const text = readFileSync(place.path, 'utf8');
      return { entry: entryOf(id, place, readPiece(text).name), text };
    },

    save(id, text, basedOn) {
      const current = places().get(id)?.version ?? 0;
      if (current !== basedOn) return { ok: false, reason: 'stale', current };
      const place = { path: join(home, id, `${current + 1}.json`), version: current + 1, demo: false };
      mkdirSync(join(home, id), { recursive: true });
      writeFileAtomically(place.path, text);
      return { ok: true, entry: entryOf(id, place, readPiece(text).name) };
    },

    freeId(name) {
      const taken = places();
      const stem = pieceIdFrom(name);
      if (!taken.has(stem)) return stem;
      for (let n = 2; ; n++) if (!taken.has(`${stem}-${n}`)) return `${stem}-${n}`;
    },
  };
}

/** The demo folder holds other files too (fit files, artwork): a piece file says itself that it is one. */
function demoFiles(folder: string | undefined): [string, string][] {
  if (folder === undefined) return [];
  const files: [string, string][] = [];
  for (const name of readdirSync(folder)) {
    const id = name.replace(/\.json$/, '');
    const path = join(folder, name);
    if (id === name || !pieceIdSchema.safeParse(id).success) continue;
    if (readFileSync(path, 'utf8').includes(`"${PIECE_FORMAT}"`)) files.push([id, path]);
  }
  return files;
}

function newestVersion(folder: string): number {
  let newest = 0;
  for (const name of readdirSync(folder)) {
    const match = /^([1-9]\d*)\.json$/.exec(name);
    if (match) newest = Math.max(newest, Number(match[1]));
  }
  return newest;
}
