/** Seeded random numbers of the bench's own: splitmix-like 32-bit mixing, normals by Box and Muller. */
export interface Random {
  uniform(): number;
  normal(): number;
}

export function seeded(seed: number): Random {
  let state = (seed ^ 0x9e3779b9) >>> 0;
  const uniform = (): number => {
    state = (state + 0x9e3779b9) >>> 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
    return (((z ^ (z >>> 15)) >>> 0) + 0.5) / 4294967296;
  };
  return {
    uniform,
    normal: () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform()),
  };
}
