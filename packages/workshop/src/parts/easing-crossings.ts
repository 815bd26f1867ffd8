import { type Bounds, distance, segmentBounds } from '@inlaywright/geometry';
import { boxesMeet, crossings, type PathSegment } from './beam-path-segments.ts';
import { type ChainGraph, OUTSIDE } from './compensate-chains.ts';

/**
 * A rounded corner can reach through a thin place of the part that loses it, into another boundary of that part. Chains
 * cannot tell what is left then; the parts on both sides are handed on.
 */

/** An arc that easing put into a chain. */
export interface BallArc {
  readonly chain: number;
  readonly segment: PathSegment;
}

/** Crossings this near an end of the arc are where chains meet, mm. */
const AT_END_MM = 1e-5;

/** Parts at chains that an arc of another chain crosses. */
export function crossedParts({ chains }: ChainGraph, balls: readonly BallArc[]): Set<number> {
  const parts = new Set<number>();
  if (balls.length === 0) return parts;
  const boxed = balls.map((ball) => ({ ...ball, box: segmentBounds(ball.segment) }));
  boxed.sort((p, q) => p.box.minX - q.box.minX);
  const widest = boxed.reduce((most, { box }) => Math.max(most, box.maxX - box.minX), 0);
  chains.forEach((chain, c) => {
    for (const segment of chain.segments) {
      const box = segmentBounds(segment);
      for (
        let i = firstFrom(boxed, box.minX - widest);
        i < boxed.length && boxed[i]!.box.minX <= box.maxX;
        i++
      ) {
        const ball = boxed[i]!;
        if (ball.chain === c || !boxesMeet(ball.box, box)) continue;
        const { from, to } = ball.segment;
        const isCrossed = crossings(segment, ball.segment).some(
          (p) => distance(p, from) > AT_END_MM && distance(p, to) > AT_END_MM,
        );
        if (!isCrossed) continue;
        for (const { left, right } of [chain, chains[ball.chain]!]) {
          parts.add(left);
          if (right !== OUTSIDE) parts.add(right);
        }
      }
    }
  });
  return parts;
}

function firstFrom(sorted: readonly { readonly box: Bounds }[], minX: number): number {
  let low = 0;
  let high = sorted.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (sorted[middle]!.box.minX < minX) low = middle + 1;
    else high = middle;
  }
  return low;
}
