import type { Point } from '@inlaywright/geometry';
import {
  arcAbout,
  between,
  crossings,
  endNormal,
  normalTowards,
  type PathSegment,
  startNormal,
  turnBetween,
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

/**
 * The run moved by `distance` to its right (left when negative). Null where an arc bends more tightly than that.
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
    moved.push({ segment, source });
  }
  const joints: PathSegment[] = [];
  const count = moved.length;
  for (let i = 0; i < (closed ? count : count - 1); i++) {
    const next = moved[(i + 1) % count]!;
    if (next === moved[i] && next.source.kind === 'arc' && next.source.from === next.source.to) continue;
    const joint = join(moved[i]!, next, distance);
    if (joint) joints[i] = joint;
  }
  const out: PathSegment[] = [];
  moved.forEach(({ segment }, i) => {
    if (!isPoint(segment)) out.push(segment);
    const joint = joints[i];
    if (joint) out.push(joint);
  });
  return out.length > 0 ? out : null;
}

/** A segment in its new place, and where it came from: directions are those of the source. */
export interface Moved {
  segment: PathSegment;
  readonly source: PathSegment;
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
  if (radius < POINT_RADIUS_MM) return { ...segment, radius: 0, from: segment.centre, to: segment.centre };
  const from = onArc(segment, segment.from, radius);
  return {
    ...segment,
    radius,
    from,
    to: segment.to === segment.from ? from : onArc(segment, segment.to, radius),
  };
}

function onArc({ centre, sweep }: PathSegment & { kind: 'arc' }, at: Point, radius: number): Point {
  const sign = sweep > 0 ? 1 : -1;
  const n = normalTowards({ kind: 'arc', from: at, to: at, centre, radius, sweep }, at);
  return { x: centre.x + sign * radius * n.x, y: centre.y + sign * radius * n.y };
}

/**
 * Makes two moved neighbours meet: both may be cut or moved a little at their common end. Returns what has to come
 * between them, if anything: the round join, or a straight line where neither helps.
 */
export function join(
  last: Moved,
  next: Moved,
  distance: number,
  corner: Point = last.source.to,
): PathSegment | null {
  const from = last.segment.to;
  const to = next.segment.from;
  const gap = Math.hypot(from.x - to.x, from.y - to.y);
  if (gap <= WELD_MM) {
    // A point stays where it is; else both ends move to their middle.
    const place = isPoint(last.segment)
      ? from
      : isPoint(next.segment)
        ? to
        : { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
    last.segment = { ...last.segment, to: place };
    next.segment = { ...next.segment, from: place };
    return null;
  }
  const turn = turnBetween(endNormal(last.source), startNormal(next.source));
  if (turn * distance > 0) {
    return arcAbout(corner, Math.abs(distance), from, to, turn > 0 ? 'left' : 'right');
  }
  const cut = firstCrossing(last.segment, next.segment);
  if (cut) {
    last.segment = between(last.segment, last.segment.from, cut);
    next.segment = between(next.segment, cut, next.segment.to);
    return null;
  }
  // An overlap in which the two do not cross lies wholly within their ends: go straight across.
  return { kind: 'line', from, to };
}

/** The crossing of two neighbours nearest the end of the first. */
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
