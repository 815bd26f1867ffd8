import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import type { NamedText } from '@inlaywright/formats';
import { writeFileAtomically } from '@inlaywright/server';

/** Writes files into a folder, each whole or not at all; returns their paths. */
export function writeFiles(folder: string, files: readonly NamedText[]): string[] {
  mkdirSync(folder, { recursive: true });
  return files.map((file) => {
    const path = join(folder, file.name);
    writeFileAtomically(path, file.text);
    return path;
  });
}
