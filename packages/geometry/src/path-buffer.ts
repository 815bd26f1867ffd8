/** Vertices as the kernel reads them: x, y, z interleaved. z stays 0.0, for the kernel takes its bits as an integer. */
export interface PathBuffer {
  data: Float64Array;
  /** Vertices written. */
  count: number;
}

export function pathBuffer(): PathBuffer {
  return { data: new Float64Array(3 * 4096), count: 0 };
}

/** Makes room for `needed` numbers and some more, keeping what is there; returns the new store. */
export function growBuffer(buffer: PathBuffer, needed: number): Float64Array {
  const data = new Float64Array(2 * (needed + 9));
  data.set(buffer.data);
  buffer.data = data;
  return data;
}
