import { readFileSync, statSync } from 'node:fs';
import { InputError } from './fail.ts';

/** Larger files are refused: no drawing of a wearable piece needs them, and parsing them would eat the memory. */
const LARGEST_BYTES = 64 * 1024 * 1024;

/** Reads a text file as UTF-8, refusing what cannot be one. */
export function readText(path: string): string {
  const stats = statSync(path);
  if (stats.isDirectory()) {
    throw new InputError(`${path} is a folder; a file was expected.`, path, 'Name the file in it.');
  }
  const { size } = stats;
  if (size > LARGEST_BYTES) {
    throw new InputError(
      `${path} has ${(size / 1024 / 1024).toFixed(0)} MB; files up to 64 MB are read.`,
      path,
      'Simplify the drawing, or leave out embedded pictures.',
    );
  }
  const bytes = readFileSync(path);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw new InputError(
      `${path} is not UTF-8 text.`,
      path,
      'Save the drawing as plain SVG (not compressed) in UTF-8.',
    );
  }
}
