/**
 * Hausdorff distance between sets of curves, for tests and benches: distances are taken at points at most `step`
 * apart along one set; since the distance to a set changes by no more than one moves, the true directed distance lies
 * between the greatest one found and that plus half the step.
 */
import type { Curve } from './curve.ts';
import { buildLocator, type Locator, nearestHit, nearestInto } from './locate.ts';
import { pointAt, segmentLength } from './segment.ts';

export interface DistanceBounds {
  readonly lower: number;
  readonly upper: number;
}

/** Greatest distance from a point of `from` to the set `to`. */
export function directedHausdorff(
  from: readonly Curve[],
  to: readonly Curve[] | Locator,
  step: number,
): DistanceBounds {
  const locator: Locator = 'tree' in to ? to : buildLocator(to);
  const hit = nearestHit();
  let lower = 0;
  let slack = 0;
  for (const curve of from) {
    for (const segment of curve.segments) {
      const length = segmentLength(segment);
      const count = Math.max(1, Math.ceil(length / step));
      // On a cubic equal steps of t are unequal steps of length: the control polygon bounds the speed.
      const speed =
        segment.kind === 'cubic'
          ? 3 *
            Math.max(
              Math.hypot(segment.c1.x - segment.from.x, segment.c1.y - segment.from.y),
              Math.hypot(segment.c2.x - segment.c1.x, segment.c2.y - segment.c1.y),
              Math.hypot(segment.to.x - segment.c2.x, segment.to.y - segment.c2.y),
            )
          : length;
      slack = Math.max(slack, speed / count / 2);
      for (let i = 0; i <= count; i++) {
        const p = pointAt(segment, i / count);
        nearestInto(locator, p.x, p.y, hit);
        if (hit.distance > lower) lower = hit.distance;
      }
    }
  }
  return { lower, upper: lower + slack };
}

/** The larger of the two directed distances. Infinite when just one of the sets is empty. */
export function hausdorffDistance(a: readonly Curve[], b: readonly Curve[], step: number): DistanceBounds {
  const there = directedHausdorff(a, b, step);
  const back = directedHausdorff(b, a, step);
  return { lower: Math.max(there.lower, back.lower), upper: Math.max(there.upper, back.upper) };
}
