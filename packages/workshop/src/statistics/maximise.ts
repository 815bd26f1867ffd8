import { factorPositive, solveCholesky } from './matrix.ts';

export interface Maximum {
  readonly at: Float64Array;
  readonly value: number;
  /** Negative second derivatives at the maximum (observed information), row-major. */
  readonly information: Float64Array;
  readonly converged: boolean;
  readonly rounds: number;
}

/** Step of the central differences, relative to each unknown's own scale. */
const DIFFERENCE = 1e-4;

/**
 * Maximises a smooth function by Newton's method with central differences, a ridge where the
 * curvature is not negative definite, and step halving. `scale` gives the size of a meaningful
 * change of each unknown. Cost: about 2 n^2 evaluations a round; meant for a dozen unknowns.
 */
export function maximise(
  f: (x: Float64Array) => number,
  start: ArrayLike<number>,
  scale: ArrayLike<number>,
  options: { readonly rounds?: number; readonly tolerance?: number } = {},
): Maximum {
  const n = start.length;
  const steps = Float64Array.from({ length: n }, (_, i) => scale[i]! * DIFFERENCE);
  let x = Float64Array.from(start);
  let value = f(x);
  let converged = false;
  let round = 0;
  const limit = options.rounds ?? 60;
  const tolerance = options.tolerance ?? 1e-9;
  for (; round < limit; round++) {
    const { gradient, information } = derivatives(f, x, value, steps);
    const direction = solveCholesky(factorPositive(information, n), n, gradient);
    const gain = dot(gradient, direction);
    if (gain < tolerance) {
      converged = true;
      break;
    }
    const next = lineSearch(f, x, value, direction, gain);
    if (!next) break;
    x = next.x;
    value = next.value;
  }
  return { at: x, value, information: derivatives(f, x, value, steps).information, converged, rounds: round };
}

function lineSearch(
  f: (x: Float64Array) => number,
  x: Float64Array,
  value: number,
  direction: Float64Array,
  gain: number,
): { x: Float64Array<ArrayBuffer>; value: number } | undefined {
  for (let t = 1; t > 1e-9; t /= 2) {
    const candidate = Float64Array.from(x, (xi, i) => xi + t * direction[i]!);
    const reached = f(candidate);
    if (reached >= value + 1e-4 * t * gain) return { x: candidate, value: reached };
  }
  return undefined;
}

function derivatives(
  f: (x: Float64Array) => number,
  x: Float64Array,
  value: number,
  h: Float64Array,
): { gradient: Float64Array; information: Float64Array } {
  const n = x.length;
  const gradient = new Float64Array(n);
  const information = new Float64Array(n * n);
  const at = (i: number, di: number, j = i, dj = 0): number => {
    const moved = Float64Array.from(x);
    moved[i]! += di;
    moved[j]! += dj;
    return f(moved);
  };
  for (let i = 0; i < n; i++) {
    const plus = at(i, h[i]!);
    const minus = at(i, -h[i]!);
    gradient[i] = (plus - minus) / (2 * h[i]!);
    information[i * n + i] = -(plus - 2 * value + minus) / (h[i]! * h[i]!);
    for (let j = 0; j < i; j++) {
      const mixed =
        (at(i, h[i]!, j, h[j]!) -
          at(i, h[i]!, j, -h[j]!) -
          at(i, -h[i]!, j, h[j]!) +
          at(i, -h[i]!, j, -h[j]!)) /
        (4 * h[i]! * h[j]!);
      information[i * n + j] = -mixed;
      information[j * n + i] = -mixed;
    }
  }
  return { gradient, information };
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}
