import type { Point } from '@inlaywright/geometry';
import {
  arcAbout,
  between,
  crossings,
  lengthOf,
  type PathSegment,
  startNormal,
  turnInto,
  withEnds,
} from './beam-path-segments.ts';

/**
 * Parallel curves of runs of lines and arcs: line to line, arc to arc about the same centre, so exact. On the outer
 * side of a corner an arc about the corner joins the two (the disk's round join), on its inner side the two are cut
 * where they cross. Runs are expected to bend nowhere more tightly than the distance on the inner side; rollBall makes
 * them so.
 */

/** Gaps and overlaps of neighbours up to this size are closed by moving both ends to their middle, mm. */
const WELD_MM = 2e-5;
/** An arc whose radius falls below this becomes a point, mm. */
const POINT_RADIUS_MM = 1e-6;
/** Segments passed, both sides of a corner together, in search of where an overlap crosses itself. */
const OVERLAP_SEGMENTS = 12;
/**
 * An overlap reaches |distance| tan(turn / 2) back from its corner between lines. Arcs reach farther: this many times as
 * far, and this share of the distance more. A crossing beyond that belongs to another place, at worst to the far side of
 * a small loop, and a cut there would lose all that lies between.
 */
const OVERLAP_TIMES = 4;
const OVERLAP_MORE = 0.5;

/**
 * The run moved by `distance` to its right (left when negative). Null where an arc bends more tightly than that, and where
 * a closed run overlaps itself without a crossing near the corner.
 */
export function parallel(
  run: readonly PathSegment[],
  closed: boolean,
  distance: number,
): PathSegment[] | null {
  if (distance === 0) return run as PathSegment[];
  const moved: Moved[] = [];
  for (const source of run) {
    const segment = movedSegment(source, distance);
    if (segment === null) return null;
    moved.push({ segment, source, isGone: false });
  }
  const joints: PathSegment[] = [];
  let total = 0;
  for (const { segment } of moved) total += lengthOf(segment);
  const count = moved.length;
  for (let i = 0; i < (closed ? count : count - 1); i++) {
    const last = moved[i]!;
    const next = moved[(i + 1) % count]!;
    if (next === last && next.source.kind === 'arc' && next.source.from === next.source.to) continue;
    if (last.isGone || next.isGone || weld(last, next)) continue;
    const turn = turnInto(last.source, next.source);
    const { to } = last.segment;
    const { from } = next.segment;
    if (turn * distance > 0) {
      joints[i] = arcAbout(last.source.to, Math.abs(distance), to, from, turn > 0 ? 'left' : 'right');
      continue;
    }
    const overlap = Math.abs(distance) * (OVERLAP_TIMES * Math.tan(Math.abs(turn) / 2) + OVERLAP_MORE);
    if (!cutOverlap(moved, i, closed, Math.min(overlap, total / 2)))
      joints[i] = { kind: 'line', from: to, to: from };
  }
  const out: PathSegment[] = [];
  moved.forEach(({ segment, isGone }, i) => {
    if (isGone) return;
    if (!isPoint(segment)) out.push(segment);
    const joint = joints[i];
    if (joint) out.push(joint);
  });
  return out.length > 0 ? out : null;
}

/** A segment in its new place, and where it came from: directions are those of the source. */
interface Moved {
  segment: PathSegment;
  readonly source: PathSegment;
  /** It lay wholly within an overlap that was cut away. */
  isGone: boolean;
}

function isPoint(segment: PathSegment): boolean {
  return segment.kind === 'arc' && segment.radius < POINT_RADIUS_MM;
}

function movedSegment(segment: PathSegment, distance: number): PathSegment | null {
  if (segment.kind === 'line') {
    const n = startNormal(segment);
    const dx = distance * n.x;
    const dy = distance * n.y;
    const from = { x: segment.from.x + dx, y: segment.from.y + dy };
    return { kind: 'line', from, to: { x: segment.to.x + dx, y: segment.to.y + dy } };
  }
  const radius = segment.sweep > 0 ? segment.radius + distance : segment.radius - distance;
  if (radius < -POINT_RADIUS_MM) return null;
  const { centre, sweep } = segment;
  if (radius < POINT_RADIUS_MM) return { kind: 'arc', from: centre, to: centre, centre, radius: 0, sweep };
  const from = onArc(centre, segment.from, radius);
  const to = segment.to === segment.from ? from : onArc(centre, segment.to, radius);
  return { kind: 'arc', from, to, centre, radius, sweep };
}

function onArc(centre: Point, at: Point, radius: number): Point {
  const dx = at.x - centre.x;
  const dy = at.y - centre.y;
  const scale = radius / Math.hypot(dx, dy);
  return { x: centre.x + scale * dx, y: centre.y + scale * dy };
}

/** Closes a gap or overlap too small to matter; a point stays where it is, else both ends move to their middle. */
function weld(last: Moved, next: Moved): boolean {
  const { to } = last.segment;
  const { from } = next.segment;
  const dx = from.x - to.x;
  const dy = from.y - to.y;
  if (dx * dx + dy * dy > WELD_MM * WELD_MM) return false;
  const middle = { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
  const place = isPoint(last.segment) ? to : isPoint(next.segment) ? from : middle;
  last.segment = withEnds(last.segment, last.segment.from, place);
  next.segment = withEnds(next.segment, place, next.segment.to);
  return true;
}

/**
 * On the inner side of the corner after segment i the moved run overlaps itself: it is cut at the crossing nearest the
 * corner, counted in segments, and what lies between is gone: at most `reach` to either side. False when there is none:
 * then the overlap lies within ends.
 */
function cutOverlap(moved: readonly Moved[], i: number, closed: boolean, reach: number): boolean {
  const count = moved.length;
  for (let far = 0; far <= OVERLAP_SEGMENTS; far++) {
    for (let back = 0; back <= far; back++) {
      const p = i - back;
      const q = i + 1 + far - back;
      if (q - p >= count || (!closed && (p < 0 || q >= count))) continue;
      const last = moved[(p + count) % count]!;
      const next = moved[q % count]!;
      if (last.isGone || next.isGone) continue;
      const cut = firstCrossing(last.segment, next.segment);
      if (!cut) continue;
      const kept = between(last.segment, last.segment.from, cut);
      const rest = between(next.segment, cut, next.segment.to);
      const lostBefore = lengthOf(last.segment) - lengthOf(kept) + lengthWithin(moved, p + 1, i + 1);
      const lostAfter = lengthOf(next.segment) - lengthOf(rest) + lengthWithin(moved, i + 1, q);
      if (lostBefore > reach || lostAfter > reach) continue;
      last.segment = kept;
      next.segment = rest;
      for (let k = p + 1; k < q; k++) moved[(k + count) % count]!.isGone = true;
      return true;
    }
  }
  return false;
}

/** Length of the moved segments from index `first` to before index `end`, counted round. */
function lengthWithin(moved: readonly Moved[], first: number, end: number): number {
  const count = moved.length;
  let length = 0;
  for (let k = first; k < end; k++) {
    const { segment, isGone } = moved[(k + count) % count]!;
    if (!isGone) length += lengthOf(segment);
  }
  return length;
}

/** The crossing of two segments nearest the end of the first. */
function firstCrossing(last: PathSegment, next: PathSegment): Point | null {
  let best: Point | null = null;
  let nearest = Number.POSITIVE_INFINITY;
  for (const p of crossings(last, next)) {
    const d = Math.hypot(p.x - last.to.x, p.y - last.to.y);
    if (d < nearest) {
      nearest = d;
      best = p;
    }
  }
  return best;
}
