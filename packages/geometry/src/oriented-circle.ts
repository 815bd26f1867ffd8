/**
 * Oriented circles and lines in one form: a point B of the circle, the direction of travel theta there and the signed
 * curvature k (0 for a line, positive to the left). With unit normal n to the left of travel:
 *   signed distance, first order: f(p) = k/2 |p - B|^2 - n.(p - B), positive on the right, gradient 1 on the circle;
 *   smooth contact of two: k1 k2/2 |D|^2 + k2 D.n1 - k1 D.n2 + 1 - n1.n2 = 0, D = B1 - B2
 * (Lie's condition of oriented contact, |c1 - c2|^2 = (r1 - r2)^2 cleared of its divisions, so that lines need no case
 * of their own).
 */
export interface OrientedCircle {
  x: number;
  y: number;
  theta: number;
  k: number;
}

/** f of the header for a point. */
export function offsetFrom(c: OrientedCircle, px: number, py: number): number {
  const dx = px - c.x;
  const dy = py - c.y;
  return (c.k / 2) * (dx * dx + dy * dy) + Math.sin(c.theta) * dx - Math.cos(c.theta) * dy;
}

/** Direction of travel at a point on (or near) the circle, as a unit vector written to `out`. */
export function directionAt(c: OrientedCircle, px: number, py: number, out: { x: number; y: number }): void {
  const nx = -Math.sin(c.theta) - c.k * (px - c.x);
  const ny = Math.cos(c.theta) - c.k * (py - c.y);
  const size = Math.hypot(nx, ny);
  out.x = ny / size;
  out.y = -nx / size;
}

/** The point of the circle nearest to p, as a new point. */
export function footOn(c: OrientedCircle, px: number, py: number): { x: number; y: number } {
  const f = offsetFrom(c, px, py);
  const distance = (2 * f) / (1 + Math.sqrt(Math.max(0, 1 + 2 * c.k * f)));
  const nx = -Math.sin(c.theta) - c.k * (px - c.x);
  const ny = Math.cos(c.theta) - c.k * (py - c.y);
  const size = Math.hypot(nx, ny);
  return { x: px + (distance * nx) / size, y: py + (distance * ny) / size };
}

/** Where two circles in smooth contact touch: (k2 c2 - k1 c1) / (k2 - k1). */
export function contactPoint(a: OrientedCircle, b: OrientedCircle): { x: number; y: number } {
  const dk = b.k - a.k;
  return {
    x: (b.k * b.x - Math.sin(b.theta) - a.k * a.x + Math.sin(a.theta)) / dk,
    y: (b.k * b.y + Math.cos(b.theta) - a.k * a.y - Math.cos(a.theta)) / dk,
  };
}

/** One condition on a chain of circles: `a` touches the next one smoothly, or passes through a point. */
export type Condition =
  | { readonly kind: 'contact'; readonly a: number; readonly b: number }
  | { readonly kind: 'through'; readonly a: number; readonly x: number; readonly y: number };

/** A circle that may move, with the covariance of its curvature, direction and sideways place (row by row, 3 x 3). */
export interface Loose {
  readonly circle: OrientedCircle;
  readonly covariance: Float64Array;
}

const ROUNDS = 6;

/**
 * Moves the circles so that all conditions hold, each as far as its covariance makes it easy (weighted least squares,
 * Gauss-Newton). Conditions come in chain order: each shares circles only with its neighbours, and with `isCyclic`
 * the last also with the first. Returns the greatest remaining error, in units of length.
 */
export function meetConditions(
  items: readonly Loose[],
  conditions: readonly Condition[],
  isCyclic: boolean,
): number {
  const n = conditions.length;
  let worst = 0;
  for (let round = 0; round <= ROUNDS; round++) {
    const rows = conditions.map((condition) => linearize(items, condition));
    worst = rows.reduce((most, row) => Math.max(most, Math.abs(row.value)), 0);
    if (worst < 1e-13 || round === ROUNDS || n === 0) break;
    const diagonal = new Float64Array(n);
    const upper = new Float64Array(n);
    for (let i = 0; i < n; i++) {
      diagonal[i] = couple(items, rows[i]!, rows[i]!);
      const next = i + 1 < n ? i + 1 : 0;
      if (i + 1 < n || (isCyclic && n > 1)) upper[i] = couple(items, rows[i]!, rows[next]!);
    }
    if (isCyclic && n === 2) {
      // Both contacts of two circles are between the same pair: one coupling, already complete.
      upper[1] = 0;
    }
    const lambda = solveCyclic(
      diagonal,
      upper,
      rows.map((row) => -row.value),
    );
    if (!lambda) return Number.POSITIVE_INFINITY;
    const steps = items.map(() => [0, 0, 0]);
    rows.forEach((row, i) => {
      for (const { item, gradient } of row.parts) {
        const w = items[item]!.covariance;
        const step = steps[item]!;
        for (let r = 0; r < 3; r++) {
          step[r]! +=
            lambda[i]! *
            (w[3 * r]! * gradient[0]! + w[3 * r + 1]! * gradient[1]! + w[3 * r + 2]! * gradient[2]!);
        }
      }
    });
    steps.forEach((step, i) => {
      const c = items[i]!.circle;
      c.k += step[0]!;
      c.x -= step[2]! * Math.sin(c.theta);
      c.y += step[2]! * Math.cos(c.theta);
      c.theta += step[1]!;
    });
  }
  return worst;
}

interface Row {
  readonly value: number;
  readonly parts: readonly { readonly item: number; readonly gradient: readonly number[] }[];
}

/** Value of a condition and its gradients with respect to curvature, direction and sideways place. */
function linearize(items: readonly Loose[], condition: Condition): Row {
  const a = items[condition.a]!.circle;
  const sa = Math.sin(a.theta);
  const ca = Math.cos(a.theta);
  if (condition.kind === 'through') {
    const dx = condition.x - a.x;
    const dy = condition.y - a.y;
    const square = dx * dx + dy * dy;
    const across = ca * dy - sa * dx;
    return {
      value: (a.k / 2) * square - across,
      parts: [{ item: condition.a, gradient: [square / 2, ca * dx + sa * dy, 1 - a.k * across] }],
    };
  }
  const b = items[condition.b]!.circle;
  const sb = Math.sin(b.theta);
  const cb = Math.cos(b.theta);
  const dx = a.x - b.x;
  const dy = a.y - b.y;
  const square = dx * dx + dy * dy;
  const dna = ca * dy - sa * dx;
  const dnb = cb * dy - sb * dx;
  const nn = sa * sb + ca * cb;
  const cross = sa * cb - ca * sb;
  // Divided by the curvatures, the condition is the distance by which the circles miss each other.
  const scale = 1 / (Math.abs(a.k) + Math.abs(b.k));
  const value = (a.k * b.k * square) / 2 + b.k * dna - a.k * dnb + 1 - nn;
  return {
    value: scale * value,
    parts: [
      {
        item: condition.a,
        gradient: [
          scale * ((b.k * square) / 2 - dnb),
          scale * (-b.k * (ca * dx + sa * dy) + cross),
          scale * (a.k * b.k * dna + b.k - a.k * nn),
        ],
      },
      {
        item: condition.b,
        gradient: [
          scale * ((a.k * square) / 2 + dna),
          scale * (a.k * (cb * dx + sb * dy) - cross),
          scale * (-a.k * b.k * dnb - b.k * nn + a.k),
        ],
      },
    ],
  };
}

function couple(items: readonly Loose[], p: Row, q: Row): number {
  let sum = 0;
  for (const a of p.parts) {
    for (const b of q.parts) {
      if (a.item !== b.item) continue;
      const w = items[a.item]!.covariance;
      for (let r = 0; r < 3; r++) {
        for (let c = 0; c < 3; c++) sum += a.gradient[r]! * w[3 * r + c]! * b.gradient[c]!;
      }
    }
  }
  return sum;
}

/**
 * Solves a symmetric positive system that is tridiagonal but for its corners: upper[i] couples i and i + 1, the last
 * entry couples the last and the first. The last unknown is kept apart as a border. Null when a pivot is not positive.
 */
function solveCyclic(
  diagonal: Float64Array,
  upper: Float64Array,
  right: readonly number[],
): Float64Array | null {
  const n = diagonal.length;
  const out = new Float64Array(n);
  const m = n - 1;
  const border = new Float64Array(m);
  if (m > 0) {
    border[0]! += upper[m]!;
    border[m - 1]! += upper[m - 1]!;
  }
  const pivot = new Float64Array(m);
  const y = new Float64Array(m);
  const z = new Float64Array(m);
  for (let i = 0; i < m; i++) {
    const factor = i > 0 ? upper[i - 1]! / pivot[i - 1]! : 0;
    pivot[i] = diagonal[i]! - factor * (i > 0 ? upper[i - 1]! : 0);
    if (!(pivot[i]! > 0)) return null;
    y[i] = right[i]! - (i > 0 ? factor * y[i - 1]! : 0);
    z[i] = border[i]! - (i > 0 ? factor * z[i - 1]! : 0);
  }
  for (let i = m - 1; i >= 0; i--) {
    const next = i + 1 < m ? upper[i]! : 0;
    y[i] = (y[i]! - (i + 1 < m ? next * y[i + 1]! : 0)) / pivot[i]!;
    z[i] = (z[i]! - (i + 1 < m ? next * z[i + 1]! : 0)) / pivot[i]!;
  }
  let top = right[m]!;
  let bottom = diagonal[m]!;
  for (let i = 0; i < m; i++) {
    top -= border[i]! * y[i]!;
    bottom -= border[i]! * z[i]!;
  }
  if (!(bottom > 0)) return null;
  out[m] = top / bottom;
  for (let i = 0; i < m; i++) out[i] = y[i]! - z[i]! * out[m]!;
  return out;
}
