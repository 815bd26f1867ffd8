import type { Point } from '@inlaywright/geometry';
import {
  arcAbout,
  arcShare,
  between,
  circleAndCircle,
  distanceTo,
  endNormal,
  farthestFrom,
  halves,
  lineAndCircle,
  lineAndLine,
  type PathSegment,
  SAME_POINT_MM,
  startNormal,
  turnInto,
} from './beam-path-segments.ts';

/**
 * Morphological closing by a disk, done where it acts: the solid lies left of a run of lines and arcs, a ball of the
 * given radius rolls along its right side, and wherever the ball cannot follow (a corner that turns right, an arc that
 * bends right more tightly than the ball) the run is replaced by the arc of the ball that touches it on both sides.
 * Exact for lines and arcs: the centre is a crossing of two parallel curves in closed form. What the ball touches may
 * also be a corner that turns left. A ball counts only if nothing of the run lies in it.
 */

/**
 * A corner flatter than this, rad, is left as it is: a beam of 0.2 mm fills 1 nm of it. Stretches that are fitted apart
 * meet at such angles where a boundary goes on smoothly past the end of another.
 */
const FLAT_CORNER_RAD = 0.01;
/** How deep something may lie in the ball before the ball counts as blocked, mm: one step of the 1 nm grid. */
const CLEAR_MM = 1e-6;
/** How many features the ball may pass on its way out of a corner before the place is given up. */
const LONGEST_WALK = 80;

/** Where the ball cannot follow: the last segment before the place and the first after it. */
interface Spot {
  readonly before: number;
  readonly after: number;
}

interface Ball {
  readonly centre: Point;
  /** Index of the last segment that stays (cut at `from`) and of the first one that stays after it (cut at `to`). */
  readonly first: number;
  readonly last: number;
  readonly from: Point;
  readonly to: Point;
}

/** One place where the solid stays filled. */
export interface Fill {
  /** The point of the run farthest from the ball: the corner. */
  readonly at: Point;
  /** How far that point lies from the ball's rim, mm. */
  readonly depthMm: number;
}

export interface Rolled {
  readonly segments: readonly PathSegment[];
  readonly fills: readonly Fill[];
  /** The balls' arcs as they were put in. */
  readonly arcs: readonly PathSegment[];
  /** Places no ball comes out of: the run closes there altogether, or the walk reached its ends. */
  readonly stuck: readonly Point[];
}

/** A check against everything beside the run itself: whether the ball is free of it. */
export type IsClear = (centre: Point, radius: number) => boolean;

const always: IsClear = () => true;

/** Closes the left solid of a run by a ball on its right. The ends of an open run stay where they are. */
export function rollBall(
  run: readonly PathSegment[],
  closed: boolean,
  radius: number,
  isClear: IsClear = always,
): Rolled {
  const fills: Fill[] = [];
  const arcs: PathSegment[] = [];
  const stuck = new Set<Point>();
  let segments = run;
  if (radius > 0) {
    for (
      let spot = nextSpot(run, closed, radius, stuck);
      spot;
      spot = nextSpot(segments, closed, radius, stuck)
    ) {
      const open: OpenRun = closed ? openAt(segments, spot) : { segments, spot };
      const ball = findBall(open, radius, isClear);
      if (ball) {
        fills.push(fillOf(open.segments, ball, radius));
        segments = withBall(open.segments, ball, radius);
        arcs.push(arcAbout(ball.centre, radius, ball.from, ball.to, 'right'));
      } else stuck.add(segments[spot.before]!.to);
    }
  }
  return { segments, fills, arcs, stuck: [...stuck] };
}

/** Whether the same run walked back would hold the ball up anywhere: worth reversing only then. */
export function isTightBackwards(run: readonly PathSegment[], closed: boolean, radius: number): boolean {
  return run.some((segment, i) => {
    if (
      segment.kind === 'arc' &&
      segment.sweep > 0 &&
      isTightArc({ ...segment, sweep: -segment.sweep }, radius)
    )
      return true;
    const next = run[i + 1] ?? (closed ? run[0]! : null);
    return next !== null && turnInto(segment, next) > FLAT_CORNER_RAD;
  });
}

/** Whether the ball cannot follow the corner between two segments. */
export function isTightCorner(before: PathSegment, after: PathSegment): boolean {
  return turnInto(before, after) < -FLAT_CORNER_RAD;
}

function isTightArc(segment: PathSegment, radius: number): boolean {
  if (segment.kind === 'line' || segment.sweep > 0) return false;
  const short = radius - segment.radius;
  // What such an arc keeps from the ball is the height of its bow: below the grid it does not matter.
  return short > SAME_POINT_MM && short * (1 - Math.cos(Math.min(Math.PI, -segment.sweep) / 2)) > CLEAR_MM;
}

function nextSpot(
  segments: readonly PathSegment[],
  closed: boolean,
  radius: number,
  stuck: Set<Point>,
): Spot | null {
  const n = segments.length;
  for (let i = 0; i < n; i++) {
    const segment = segments[i]!;
    if (isTightArc(segment, radius)) {
      let first = i;
      let last = i;
      while (last + 1 < n && isTightArc(segments[last + 1]!, radius)) last++;
      if (closed && first === 0) {
        while (last - first + 1 < n && isTightArc(segments[(first - 1 + n) % n]!, radius)) first--;
      }
      i = last;
      if (stuck.has(segments[(first + n) % n]!.from)) continue;
      if (last - first + 1 >= n || (!closed && (first === 0 || last === n - 1))) {
        stuck.add(segments[(first + n) % n]!.from);
        continue;
      }
      return { before: (first - 1 + n) % n, after: (last + 1) % n };
    }
    if (i === n - 1 && !closed) break;
    const next = segments[(i + 1) % n]!;
    if (isTightCorner(segment, next) && !isTightArc(next, radius) && !stuck.has(segment.to)) {
      return { before: i, after: (i + 1) % n };
    }
  }
  return null;
}

interface OpenRun {
  readonly segments: readonly PathSegment[];
  readonly spot: Spot;
}

/** A closed run cut open opposite the spot, so that the ball can walk both ways. */
function openAt(segments: readonly PathSegment[], spot: Spot): OpenRun {
  const n = segments.length;
  const passed = (spot.after - spot.before - 1 + n) % n;
  const inside = Array.from({ length: passed }, (_, i) => segments[(spot.before + 1 + i) % n]!);
  const kept = n - passed;
  if (kept === 1) {
    const [first, second] = halves(segments[spot.before]!);
    return { segments: [second, ...inside, first], spot: { before: 0, after: inside.length + 1 } };
  }
  const ahead = kept >> 1;
  const back = kept - ahead;
  const out: PathSegment[] = [];
  for (let i = 0; i < n; i++) out.push(segments[(spot.before - back + 1 + i + n) % n]!);
  return { segments: out, spot: { before: back - 1, after: back + passed } };
}

/**
 * The ball nearest the spot that touches the run on both sides of it and is clear. Pairs of features (segments, and
 * corners that turn left) are tried by how far they lie from the spot, both sides together.
 */
function findBall({ segments, spot }: OpenRun, radius: number, isClear: IsClear): Ball | null {
  const corner = segments[spot.before]!.to;
  const behind: Feature[] = [];
  const ahead: Feature[] = [];
  const more = (step: number): boolean => {
    const back = featureAt(segments, spot.before, -1, step, radius);
    const front = featureAt(segments, spot.after, 1, step, radius);
    if (back) behind.push(back);
    if (front) ahead.push(front);
    return back !== null || front !== null;
  };
  for (let far = 0; far < LONGEST_WALK && (more(far) || far < behind.length + ahead.length); far++) {
    for (let b = Math.min(far, behind.length - 1); b >= 0 && far - b < ahead.length; b--) {
      const first = behind[b]!;
      const last = ahead[far - b]!;
      // Two curves may cross at either end of a lens: the corner's own ball is the nearer one.
      for (const centre of nearestFirst(centresTouching(first, last), corner)) {
        const from = contactOf(first, centre, radius);
        const to = contactOf(last, centre, radius);
        if (!from || !to || !isFree(segments, centre, radius) || !isClear(centre, radius)) continue;
        return { centre, first: first.segment, last: last.segment, from, to };
      }
    }
  }
  return null;
}

/** Something the ball can touch, with the curve on which its centre then lies. */
interface Feature {
  /** Segment that is cut at the contact. */
  readonly segment: number;
  readonly touched:
    | PathSegment
    | { readonly kind: 'corner'; readonly at: Point; readonly n0: Point; readonly n1: Point };
  /** Line through `p` along the unit vector `u`, or circle about `p` with radius `r` (u absent). */
  readonly p: Point;
  readonly u: Point | null;
  readonly r: number;
}

/**
 * The feature `step` steps from the spot along `way`: odd steps are segments, even ones the corners before them. Corners
 * that the ball cannot touch and arcs it cannot roll on give a feature with no centre curve (r = 0); null beyond the end.
 */
function featureAt(
  segments: readonly PathSegment[],
  start: number,
  way: 1 | -1,
  step: number,
  radius: number,
): Feature | null {
  const index = start + way * (step >> 1);
  const segment = segments[index];
  if (!segment) return null;
  if (step % 2 === 0) {
    const beyond = segments[index - way];
    if (!beyond) return null;
    const [before, after] = way > 0 ? [beyond, segment] : [segment, beyond];
    const n0 = endNormal(before);
    const n1 = startNormal(after);
    const turnsLeft = turnInto(before, after) > 0;
    const touched = { kind: 'corner', at: before.to, n0, n1 } as const;
    return { segment: index, touched, p: before.to, u: null, r: turnsLeft ? radius : 0 };
  }
  if (segment.kind === 'line') {
    const n = startNormal(segment);
    const p = { x: segment.from.x + radius * n.x, y: segment.from.y + radius * n.y };
    return { segment: index, touched: segment, p, u: { x: -n.y, y: n.x }, r: 0 };
  }
  const r = segment.sweep > 0 ? segment.radius + radius : segment.radius - radius;
  return { segment: index, touched: segment, p: segment.centre, u: null, r: r > CLEAR_MM ? r : 0 };
}

/** Where the two centre curves cross. */
function centresTouching(a: Feature, b: Feature): Point[] {
  if (a.u && b.u) return lineAndLine(a.p, a.u, b.p, b.u);
  if (a.u) return b.r > 0 ? lineAndCircle(a.p, a.u, b.p, b.r) : [];
  if (b.u) return a.r > 0 ? lineAndCircle(b.p, b.u, a.p, a.r) : [];
  return a.r > 0 && b.r > 0 ? circleAndCircle(a.p, a.r, b.p, b.r) : [];
}

function nearestFirst(centres: Point[], p: Point): Point[] {
  const [a, b] = centres;
  if (!a || !b) return centres;
  return Math.hypot(a.x - p.x, a.y - p.y) <= Math.hypot(b.x - p.x, b.y - p.y) ? centres : [b, a];
}

/** Where a ball about `centre` touches the feature, or null if not within the feature's extent. */
function contactOf({ touched, p, u, r }: Feature, centre: Point, radius: number): Point | null {
  if (touched.kind === 'corner') {
    const dx = (centre.x - p.x) / radius;
    const dy = (centre.y - p.y) / radius;
    const { n0, n1 } = touched;
    const within = n0.x * dy - n0.y * dx > -CLEAR_MM && dx * n1.y - dy * n1.x > -CLEAR_MM;
    return within && dx * (n0.x + n1.x) + dy * (n0.y + n1.y) > 0 ? touched.at : null;
  }
  let contact: Point;
  let share: number;
  let length: number;
  if (touched.kind === 'line' && u) {
    const along = (centre.x - p.x) * u.x + (centre.y - p.y) * u.y;
    length = Math.hypot(touched.to.x - touched.from.x, touched.to.y - touched.from.y);
    share = along / length;
    contact = { x: touched.from.x + along * u.x, y: touched.from.y + along * u.y };
  } else if (touched.kind === 'arc') {
    const scale = touched.radius / r;
    contact = { x: p.x + scale * (centre.x - p.x), y: p.y + scale * (centre.y - p.y) };
    share = arcShare(touched, contact);
    length = touched.radius * Math.abs(touched.sweep);
  } else return null;
  // Contacts within the grid of an end are that end: neighbours with a smooth joint must not both miss it.
  if (Math.abs(share * length) <= CLEAR_MM) return touched.from;
  if (Math.abs((share - 1) * length) <= CLEAR_MM) return touched.to;
  return share > 0 && share < 1 ? contact : null;
}

function isFree(segments: readonly PathSegment[], centre: Point, radius: number): boolean {
  return segments.every((segment) => distanceTo(segment, centre) > radius - CLEAR_MM);
}

function fillOf(segments: readonly PathSegment[], ball: Ball, radius: number): Fill {
  let at = ball.from;
  let depth = 0;
  const look = (segment: PathSegment): void => {
    const far = farthestFrom(segment, ball.centre);
    if (far.distance - radius > depth) {
      depth = far.distance - radius;
      at = far.at;
    }
  };
  for (let i = ball.first; i <= ball.last; i++) {
    let segment = segments[i]!;
    if (i === ball.first) segment = between(segment, ball.from, segment.to);
    else if (i === ball.last) segment = between(segment, segment.from, ball.to);
    look(segment);
  }
  return { at, depthMm: depth };
}

function withBall(segments: readonly PathSegment[], ball: Ball, radius: number): PathSegment[] {
  const { first, last, from, to, centre } = ball;
  const out = segments.slice(0, first + 1);
  const cut = segments[first]!;
  if (from === cut.from) out.pop();
  else out[first] = between(cut, cut.from, from);
  if (from !== to) out.push(arcAbout(centre, radius, from, to, 'right'));
  const next = segments[last]!;
  if (to !== next.to) out.push(between(next, to, next.to));
  for (let i = last + 1; i < segments.length; i++) out.push(segments[i]!);
  return out;
}
