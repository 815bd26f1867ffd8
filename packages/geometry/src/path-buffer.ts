import { GRID_PER_UNIT } from './grid.ts';

/**
 * Vertices as the kernel reads them: x, y, z as 64-bit integers, x and y in grid steps. z travels with the vertex
 * through unions; here it is the vertex's tag: the number of a source vertex, or 0.
 * Written as halves, for JavaScript's own 64-bit integers take three times as long.
 */
export interface PathBuffer {
  /** Low and high half of each number, six words a vertex. */
  words: Int32Array;
  /** The same memory, for the kernel. */
  integers: BigInt64Array;
  /** Vertices written. */
  count: number;
}

const HALF = 2 ** 32;

export function pathBuffer(): PathBuffer {
  const words = new Int32Array(6 * 4096);
  return { words, integers: new BigInt64Array(words.buffer), count: 0 };
}

/** Makes room for `vertices` and some more, keeping what is there. */
export function reserve(buffer: PathBuffer, vertices: number): void {
  if (6 * vertices <= buffer.words.length) return;
  const words = new Int32Array(12 * vertices);
  words.set(buffer.words);
  buffer.words = words;
  buffer.integers = new BigInt64Array(words.buffer);
}

/** Writes vertex number `at`; there must be room. */
export function put(words: Int32Array, at: number, x: number, y: number, tag: number): void {
  const i = 6 * at;
  const gx = Math.round(x * GRID_PER_UNIT);
  const gy = Math.round(y * GRID_PER_UNIT);
  words[i] = gx;
  words[i + 1] = Math.floor(gx / HALF);
  words[i + 2] = gy;
  words[i + 3] = Math.floor(gy / HALF);
  words[i + 4] = tag;
  words[i + 5] = 0;
}

/** The coordinate whose halves start at `i`, in units. */
export function coordinate(words: Int32Array, i: number): number {
  return (words[i + 1]! * HALF + (words[i]! >>> 0)) / GRID_PER_UNIT;
}
