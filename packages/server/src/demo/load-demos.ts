import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { BODY_SCHEMAS, idSchema, PIECE_FORMAT, readPiece, writePiece } from '@inlaywright/formats';
import { draftOf } from '../kinds.ts';
import { getMeta, setMeta } from '../storage/migrate.ts';
import type { Sqlite } from '../storage/sqlite.ts';
import type { Store } from '../storage/store.ts';
import { DEMO_WORKSHOP } from './demo-workshop.ts';

/**
 * Gives a new workspace the demo pieces of a folder, and the machine, materials and stocks of an invented workshop,
 * once: what the maker puts aside does not come back with the next start.
 */
export function loadDemos(sqlite: Sqlite, store: Store, folder: string): void {
  if (getMeta(sqlite, 'demos') !== undefined) return;
  store.together(() => {
    for (const [id, text] of pieceFiles(folder)) {
      const piece = readPiece(text);
      store.create(
        { kind: 'pieces', name: piece.name, content: writePiece(piece), links: [] },
        { id, demo: true },
      );
    }
    for (const { kind, id, body } of DEMO_WORKSHOP) {
      store.create(draftOf(kind, BODY_SCHEMAS[kind].parse(body)), { id, demo: true });
    }
    setMeta(sqlite, 'demos', 'loaded');
  });
}

/** The folder holds other files too (fit files, artwork): a piece file says itself that it is one. */
function pieceFiles(folder: string): [string, string][] {
  const files: [string, string][] = [];
  for (const name of readdirSync(folder).sort()) {
    const id = name.replace(/\.json$/, '');
    if (id === name || !idSchema.safeParse(id).success) continue;
    const text = readFileSync(join(folder, name), 'utf8');
    if (text.includes(`"${PIECE_FORMAT}"`)) files.push([id, text]);
  }
  return files;
}
