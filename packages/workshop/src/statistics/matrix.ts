/** Small dense symmetric systems, row-major Float64Array; the statistics here have a dozen unknowns at most. */

/** Lower Cholesky factor, or undefined where the matrix is not positive definite. */
export function cholesky(matrix: Float64Array, n: number): Float64Array | undefined {
  const factor = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = matrix[i * n + j]!;
      for (let k = 0; k < j; k++) sum -= factor[i * n + k]! * factor[j * n + k]!;
      if (i !== j) factor[i * n + j] = sum / factor[j * n + j]!;
      else if (sum > 0) factor[i * n + i] = Math.sqrt(sum);
      else return undefined;
    }
  }
  return factor;
}

/** Solves L L' x = b from a Cholesky factor. */
export function solveCholesky(factor: Float64Array, n: number, b: ArrayLike<number>): Float64Array {
  const x = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < i; k++) x[i]! -= factor[i * n + k]! * x[k]!;
    x[i]! /= factor[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    for (let k = i + 1; k < n; k++) x[i]! -= factor[k * n + i]! * x[k]!;
    x[i]! /= factor[i * n + i]!;
  }
  return x;
}

/** Inverse of a positive definite matrix from its Cholesky factor. */
export function inverseFromCholesky(factor: Float64Array, n: number): Float64Array {
  const inverse = new Float64Array(n * n);
  const unit = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    unit.fill(0);
    unit[j] = 1;
    const column = solveCholesky(factor, n, unit);
    for (let i = 0; i < n; i++) inverse[i * n + j] = column[i]!;
  }
  return inverse;
}

/** The matrix itself if positive definite, otherwise with just enough added to its diagonal. */
export function factorPositive(matrix: Float64Array, n: number): Float64Array {
  let ridge = 0;
  let scale = 1e-12;
  for (let i = 0; i < n; i++) scale = Math.max(scale, Math.abs(matrix[i * n + i]!));
  for (let attempt = 0; attempt < 60; attempt++) {
    const shifted = Float64Array.from(matrix);
    for (let i = 0; i < n; i++) shifted[i * n + i]! += ridge;
    const factor = cholesky(shifted, n);
    if (factor) return factor;
    ridge = ridge === 0 ? scale * 1e-10 : ridge * 4;
  }
  throw new RangeError('A matrix of the fit is not finite.');
}
