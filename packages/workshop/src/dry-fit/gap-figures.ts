import { normalCdf } from '../statistics/normal.ts';
import type { GapFigures } from './model.ts';

/** Samples of one seam at one depth. Weights are lengths of wall, mm; places of weight 0 count for the extremes only. */
export interface WeightedGaps {
  readonly count: number;
  readonly gaps: Float64Array;
  readonly weights: Float64Array;
  readonly x: Float64Array;
  readonly y: Float64Array;
}

export function gapFigures(samples: WeightedGaps): GapFigures {
  const { count, gaps, weights, x, y } = samples;
  let weight = 0;
  let sum = 0;
  let worst = 0;
  let tightest = 0;
  for (let i = 0; i < count; i++) {
    weight += weights[i]!;
    if (weights[i]! > 0) sum += weights[i]! * gaps[i]!;
    if (gaps[i]! > gaps[worst]!) worst = i;
    if (gaps[i]! < gaps[tightest]!) tightest = i;
  }
  return {
    mean: sum / weight,
    p95: weightedQuantile(gaps, weights, count, 0.95 * weight),
    worst: gaps[worst]!,
    worstAt: { x: x[worst]!, y: y[worst]! },
    tightest: gaps[tightest]!,
    tightestAt: { x: x[tightest]!, y: y[tightest]! },
  };
}

/**
 * The smallest gap such that gaps up to it weigh at least `target`. Quickselect with the middle value as pivot: linear
 * on average, and runs of equal gaps, the usual case, end at once.
 */
export function weightedQuantile(
  gaps: Float64Array,
  weights: Float64Array,
  count: number,
  target: number,
): number {
  const values = gaps.slice(0, count);
  const loads = weights.slice(0, count);
  let length = count;
  let before = 0;
  while (length > 1) {
    const pivot = values[length >> 1]!;
    let below = 0;
    let equal = 0;
    for (let i = 0; i < length; i++) {
      if (values[i]! < pivot) below += loads[i]!;
      else if (values[i]! === pivot) equal += loads[i]!;
    }
    const takeBelow = before + below >= target;
    if (!takeBelow && before + below + equal >= target) return pivot;
    let kept = 0;
    for (let i = 0; i < length; i++) {
      const value = values[i]!;
      if (takeBelow ? value < pivot : value > pivot) {
        values[kept] = value;
        loads[kept++] = loads[i]!;
      }
    }
    // Rounding of the running weight can leave nothing on the far side.
    if (kept === 0) return pivot;
    if (!takeBelow) before += below + equal;
    length = kept;
  }
  return values[0]!;
}

/**
 * Probability that a stretch of seam, picked at random by length, lands in the grade when the gap scatters normally
 * about what was computed: the mean over the length of Phi((max - gap)/sd) - Phi((min - gap)/sd).
 */
export function gradeProbability(
  gaps: Float64Array,
  weights: Float64Array,
  count: number,
  grade: { readonly min: number; readonly max: number },
  scatterMm: number,
): number {
  let weight = 0;
  let sum = 0;
  let lastGap = Number.NaN;
  let last = 0;
  for (let i = 0; i < count; i++) {
    if (!(weights[i]! > 0)) continue;
    const gap = gaps[i]!;
    // A nanometre does not change a probability by more than 1e-4 of a percent at any usable scatter.
    if (!(Math.abs(gap - lastGap) < 1e-6)) {
      lastGap = gap;
      last =
        scatterMm > 0
          ? normalBetween((grade.min - gap) / scatterMm, (grade.max - gap) / scatterMm)
          : Number(gap >= grade.min && gap <= grade.max);
    }
    weight += weights[i]!;
    sum += weights[i]! * last;
  }
  return sum / weight;
}

/** Probability between two bounds; both are brought into the lower tail first, where differences keep their digits. */
function normalBetween(low: number, high: number): number {
  if (!(low < high)) return 0;
  return low > 0 ? normalCdf(-low) - normalCdf(-high) : normalCdf(high) - normalCdf(low);
}
