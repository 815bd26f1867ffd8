import { joinBounds, segmentBounds } from '@inlaywright/geometry';
import { areaOf, lengthOf, type PathSegment, reversed } from './beam-path-segments.ts';
import type { ChainGraph, Leg } from './compensate-chains.ts';
import type { Plan } from './compensate-plan.ts';
import type { Eased } from './easing.ts';

/**
 * Whether what chains came to can be the drawn part, eased and grown. Necessary conditions only, in time that grows with
 * the number of segments: areas by Steiner's formula, and how far each boundary reaches. A part that fails them goes
 * the way of regions.
 */

/** Slack of every comparison, mm: fits are within 1.1 um, depths of eased corners are told to their balls only. */
const SLACK_MM = 0.005;

/** A part's boundaries from chains as they were before easing. */
export function drawnRings(
  drawn: readonly (readonly PathSegment[])[],
  loops: readonly (readonly Leg[])[],
): PathSegment[][] {
  return loops.map((loop) =>
    loop.flatMap(({ chain, forward }) => (forward ? drawn[chain]! : reversed(drawn[chain]!))),
  );
}

/**
 * Compares aim rings with the drawn rings, in the same order. Growing by g changes the area a ring holds by at most
 * length * |g| + pi g^2. A ball of radius R that eases a corner by a depth takes or gives at most 2 R depth.
 */
export function isAimPlausible(
  graph: ChainGraph,
  plan: Plan,
  part: number,
  drawn: readonly (readonly PathSegment[])[],
  aim: readonly (readonly PathSegment[])[],
  eased: readonly Eased[],
): boolean {
  let growth = 0;
  let bend = 0;
  for (const { left, right, seam } of graph.chains) {
    if (seam < 0 || (left !== part && right !== part)) continue;
    const { growA, growB, bendA, bendB } = plan.seams[seam]!;
    growth = Math.max(growth, Math.abs(left === part ? growA : growB));
    bend = Math.max(bend, bendA, bendB);
  }
  let depth = 0;
  for (const corner of eased) {
    if (corner.part === part || corner.neighbour === part) depth += corner.depthMm;
  }
  return (
    aim.length === drawn.length &&
    aim.every((ring, i) => {
      const before = drawn[i]!;
      if (ring.length === 0) return false;
      let length = 0;
      for (const segment of before) length += lengthOf(segment);
      const mayDiffer = length * (growth + SLACK_MM) + Math.PI * growth ** 2 + 2 * bend * depth;
      if (Math.abs(areaOf(ring) - areaOf(before)) > mayDiffer) return false;
      const reach = growth + depth + SLACK_MM;
      const a = before.map(segmentBounds).reduce(joinBounds);
      const b = ring.map(segmentBounds).reduce(joinBounds);
      return (
        Math.abs(a.minX - b.minX) <= reach &&
        Math.abs(a.minY - b.minY) <= reach &&
        Math.abs(a.maxX - b.maxX) <= reach &&
        Math.abs(a.maxY - b.maxY) <= reach
      );
    })
  );
}
