import { randomUUID } from 'node:crypto';
import { closeSync, fsyncSync, openSync, renameSync, rmSync, writeSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';

/**
 * Writes a file whole or not at all: the text goes to a new file beside it, reaches the disk, and takes
 * the name only then. Whoever reads the name sees the old text or the new one, also after a power cut.
 * Throws the file system's error; the old file is then untouched and nothing is left behind.
 */
export function writeFileAtomically(path: string, text: string): void {
  const folder = dirname(path);
  const temporary = join(folder, `.${basename(path)}.${randomUUID()}.part`);
  try {
    const file = openSync(temporary, 'wx', 0o644);
    try {
      const bytes = Buffer.from(text, 'utf8');
      for (let written = 0; written < bytes.length; ) written += writeSync(file, bytes, written);
      fsyncSync(file);
    } finally {
      closeSync(file);
    }
    renameSync(temporary, path);
  } catch (error) {
    rmSync(temporary, { force: true });
    throw error;
  }
  syncFolder(folder);
}

/** Makes the new name itself durable; systems that cannot open a folder keep the name another way. */
export function syncFolder(folder: string): void {
  if (process.platform === 'win32') return;
  const handle = openSync(folder, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}
