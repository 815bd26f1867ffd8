/**
 * Vertices as the kernel reads them: x, y, z interleaved, where z is the bits of an integer that travels with the
 * vertex through unions. Here it is the vertex's tag: the number of a source vertex, or 0.
 */
export interface PathBuffer {
  data: Float64Array;
  /** The same memory, for the tags: that of the vertex at `data[i]` is `words[2 * i + 4]`. */
  words: Int32Array;
  /** Vertices written. */
  count: number;
}

export function pathBuffer(): PathBuffer {
  const data = new Float64Array(3 * 4096);
  return { data, words: new Int32Array(data.buffer), count: 0 };
}

/** Makes room for `needed` numbers and some more, keeping what is there; returns the new store. */
export function growBuffer(buffer: PathBuffer, needed: number): Float64Array {
  const data = new Float64Array(2 * (needed + 9));
  data.set(buffer.data);
  buffer.data = data;
  buffer.words = new Int32Array(data.buffer);
  return data;
}
