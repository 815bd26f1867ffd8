/** Seeded random numbers: the same seed gives the same numbers on every machine. */
export interface Random {
  /** Uniform in (0, 1). */
  uniform(): number;
  normal(): number;
}

/** PCG-like 32-bit generator (mulberry32 by Tommy Ettinger, public domain; from memory), normals by Marsaglia's polar method. */
export function seededRandom(seed: number): Random {
  let state = seed >>> 0;
  let spare: number | undefined;
  const uniform = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return (((t ^ (t >>> 14)) >>> 0) + 0.5) / 4294967296;
  };
  const normal = (): number => {
    if (spare !== undefined) {
      const kept = spare;
      spare = undefined;
      return kept;
    }
    for (;;) {
      const u = 2 * uniform() - 1;
      const v = 2 * uniform() - 1;
      const s = u * u + v * v;
      if (s >= 1 || s === 0) continue;
      const factor = Math.sqrt((-2 * Math.log(s)) / s);
      spare = v * factor;
      return u * factor;
    }
  };
  return { uniform, normal };
}
