import { randomUUID } from 'node:crypto';
import { mkdirSync, renameSync, rmSync, type Stats, statSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import type { NamedText } from '@inlaywright/formats';
import { writeFileAtomically } from '@inlaywright/server';
import { InputError } from './fail.ts';

/**
 * Writes files into a folder and returns their paths. All of them are complete on the disk before the first one takes
 * its name: a full disk or a fault leaves the folder as it was, and files of two runs do not mix.
 * @throws InputError where the folder or a name cannot be used; the file system's error otherwise
 */
export function writeFiles(folder: string, files: readonly NamedText[]): string[] {
  makeFolder(folder);
  const paths = files.map((file) => join(folder, file.name));
  for (const path of paths) {
    if (!statsOf(path)?.isDirectory()) continue;
    throw new InputError(
      `${path} is a folder; a file of that name is to be written.`,
      path,
      'Rename that folder, or choose another one for the files.',
    );
  }
  const waiting = join(folder, `.unfinished-${randomUUID()}`);
  try {
    mkdirSync(waiting);
    for (const file of files) writeFileAtomically(join(waiting, file.name), file.text);
    for (const [i, file] of files.entries()) renameSync(join(waiting, file.name), paths[i]!);
  } finally {
    rmSync(waiting, { recursive: true, force: true });
  }
  return paths;
}

/** Makes a folder and those above it, one by one: where one cannot be made, mkdir's recursive form may never return. */
function makeFolder(folder: string): void {
  const missing: string[] = [];
  let at = resolve(folder);
  for (let stats = statsOf(at); !stats?.isDirectory(); stats = statsOf(at)) {
    if (stats) {
      throw new InputError(
        `${at} is a file; a folder was expected.`,
        folder,
        'Choose another folder, or move the file.',
      );
    }
    missing.push(at);
    at = dirname(at);
  }
  for (const path of missing.reverse()) {
    try {
      mkdirSync(path);
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException;
      if (code === 'EEXIST' && statsOf(path)?.isDirectory()) continue;
      if (code === 'ENOSPC') throw error;
      throw new InputError(
        `The folder ${path} cannot be made (${code}).`,
        folder,
        'Choose a folder that you may write to.',
      );
    }
  }
}

/** What is at a path; undefined where nothing is, also where a file stands in the way of the path. */
function statsOf(path: string): Stats | undefined {
  try {
    return statSync(path, { throwIfNoEntry: false });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOTDIR') return undefined;
    throw error;
  }
}
