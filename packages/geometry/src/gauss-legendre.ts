/**
 * Gauss-Legendre quadrature on [0, 1]. The n-point rule is exact for polynomials of degree 2n - 1.
 *
 * Nodes are the roots of the Legendre polynomial, found by Newton's method from Tricomi's first guess
 * (NIST Digital Library of Mathematical Functions, 3.5(v) and 18.16).
 */
export interface QuadratureRule {
  readonly nodes: Float64Array;
  readonly weights: Float64Array;
}

export function gaussLegendre(n: number): QuadratureRule {
  const nodes = new Float64Array(n);
  const weights = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (n + 0.5));
    let slope = 1;
    for (let round = 0; round < 20; round++) {
      let p = 1;
      let previous = 0;
      for (let k = 1; k <= n; k++) {
        const next = ((2 * k - 1) * x * p - (k - 1) * previous) / k;
        previous = p;
        p = next;
      }
      slope = (n * (x * p - previous)) / (x * x - 1);
      const step = p / slope;
      x -= step;
      if (Math.abs(step) < 1e-16) break;
    }
    nodes[i] = (1 - x) / 2;
    weights[i] = 1 / ((1 - x * x) * slope * slope);
  }
  return { nodes, weights };
}
