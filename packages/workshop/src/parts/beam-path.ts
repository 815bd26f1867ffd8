import { distance, type Point } from '@inlaywright/geometry';
import { arcAlong } from './beam-path-biarc.ts';
import { ovalParallel } from './beam-path-oval.ts';
import { parallel } from './beam-path-parallel.ts';
import {
  areaOf,
  endNormal,
  lengthOf,
  type PathSegment,
  samePlace,
  startNormal,
  turnBetween,
} from './beam-path-segments.ts';
import type { Beam } from './compensate-plan.ts';
import { rollBall } from './easing-ball.ts';
import type { CutContour } from './model.ts';

/** Pieces shorter than this, mm, are left out of a path: a quarter of what a written curve may be off. */
const SHORTEST_MM = 5e-4;
/** Neighbouring arcs whose centres and radii agree within this, mm, are one arc. */
const SAME_CIRCLE_MM = 2e-6;
/** Joints of a path that turn by more are steps back (or needles, which the region way writes as well), rad. */
const STEP_BACK_RAD = Math.PI - 0.05;
/** Where two arcs go round once, they are one circle if they agree within this, mm. */
const WHOLE_CIRCLE_MM = 1e-3;

/**
 * The beam's centre line round one closed boundary of a part, walked with the part on its left: where the beam cannot
 * follow a corner it stays out of it, then everything moves outward by the beam's radius. Null where no single line
 * results (a slot closes, a hole is smaller than the beam); the region way settles those.
 */
export function beamRing(boundary: readonly PathSegment[], beam: Beam): PathSegment[] | null {
  const freed = rollBall(boundary, true, beam.rolling);
  if (freed.stuck.length > 0) return null;
  if (beam.rx !== beam.ry) return tidied(ovalParallel(freed.segments, beam));
  const path = parallel(freed.segments, true, beam.rx);
  return path && tidied(path);
}

/**
 * Whether a path can be the boundary moved outward: by Steiner's formula the signed area grows by at most
 * length * radius + pi * radius^2, and it never falls. What got lost or turned inside out shows here. The length grows by
 * at most one turn of the beam round an outside and shrinks by as much round a hole: a path with a loop has a turn more.
 */
export function isPlausible(
  boundary: readonly PathSegment[],
  path: readonly PathSegment[],
  { rx, ry }: Beam,
): boolean {
  const radius = Math.max(rx, ry);
  let length = 0;
  for (const segment of boundary) length += lengthOf(segment);
  const gain = areaOf(path) - areaOf(boundary);
  const slack = (length + radius) * SHORTEST_MM;
  let longer = -length;
  for (const segment of path) longer += lengthOf(segment);
  const turn = 2 * Math.PI * (areaOf(boundary) > 0 ? radius : -Math.min(rx, ry));
  // A sixth of a turn for what rounding adds.
  if (longer > turn + radius + SHORTEST_MM) return false;
  const isStepBack = path.some((segment, i) => {
    const next = path[(i + 1) % path.length]!;
    return Math.abs(turnBetween(endNormal(segment), startNormal(next))) > STEP_BACK_RAD;
  });
  if (isStepBack) return false;
  return gain >= -slack && gain <= length * radius + Math.PI * radius * radius + slack;
}

/**
 * The same closed run with specks of segments welded away and what is one circle made one arc. Where a speck goes, the
 * segment before it is bent, from its start on, to reach the one after it.
 */
export function tidied(run: readonly PathSegment[]): PathSegment[] {
  const kept: PathSegment[] = [];
  let end: Point | null = null;
  for (const segment of run) {
    // Measured from what is kept, so that a row of specks does not add up.
    const from: Point = end ?? segment.from;
    if (kept.length > 0 && lengthOf(segment) < SHORTEST_MM && distance(from, segment.to) < SHORTEST_MM)
      continue;
    const last = kept[kept.length - 1];
    const merged = last && mergedWith(last, segment);
    if (merged) kept[kept.length - 1] = merged;
    else kept.push(segment);
    end = segment.to;
  }
  if (kept.length > 1) {
    const merged = mergedWith(kept[kept.length - 1]!, kept[0]!);
    if (merged) {
      kept[0] = merged;
      kept.pop();
    }
  }
  return kept.map((segment, i) => {
    const next = kept[(i + 1) % kept.length]!;
    return samePlace(segment.to, next.from) ? segment : reaching(segment, next.from);
  });
}

/** The segment with its end moved a little. */
function reaching(segment: PathSegment, to: Point): PathSegment {
  const n = startNormal(segment);
  return segment.kind === 'line'
    ? { kind: 'line', from: segment.from, to }
    : arcAlong(segment.from, { x: -n.y, y: n.x }, to);
}

/** Two neighbours that are one circle, or so near to it that one arc through both will do. */
function mergedWith(a: PathSegment, b: PathSegment): PathSegment | null {
  if (a.kind !== 'arc' || b.kind !== 'arc' || a.sweep * b.sweep <= 0) return null;
  const apart = distance(a.centre, b.centre) + Math.abs(a.radius - b.radius);
  const sweep = a.sweep + b.sweep;
  if (Math.abs(sweep) < 2 * Math.PI - 1e-3) return apart <= SAME_CIRCLE_MM ? { ...a, to: b.to, sweep } : null;
  // Cut by other outlines, the arcs of one circle come back up to half a chord's sagitta off it.
  if (apart > WHOLE_CIRCLE_MM || distance(a.from, b.to) > WHOLE_CIRCLE_MM) return null;
  const share = a.sweep / sweep;
  const radius = share * a.radius + (1 - share) * b.radius;
  const centre = {
    x: share * a.centre.x + (1 - share) * b.centre.x,
    y: share * a.centre.y + (1 - share) * b.centre.y,
  };
  const from = { x: centre.x + radius, y: centre.y };
  return { kind: 'arc', from, to: from, centre, radius, sweep: Math.sign(sweep) * 2 * Math.PI };
}

/** Closed runs with the part on their left, as contours: the one that runs counterclockwise is the outside. */
export function contoursOf(rings: readonly (readonly PathSegment[])[]): CutContour[] {
  return rings.map((segments) => ({
    role: areaOf(segments) > 0 ? 'outside' : 'inside',
    curve: { segments },
  }));
}
