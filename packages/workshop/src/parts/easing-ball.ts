import { type Bounds, joinBounds, type Point, segmentBounds } from '@inlaywright/geometry';
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

/** Where the ball cannot follow: the last segment before the place, and how many from there to the first after it. */
interface Spot {
  readonly before: number;
  readonly span: number;
}

interface Ball {
  readonly centre: Point;
  /** Steps back from the spot to the last segment that stays (cut at `from`), and on to the first after it (cut at `to`). */
  readonly back: number;
  readonly ahead: number;
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

/** Closes the left solid of a run by a ball on its right. The ends of an open run stay where they are. */
export function rollBall(run: readonly PathSegment[], closed: boolean, radius: number): Rolled {
  const fills: Fill[] = [];
  const arcs: PathSegment[] = [];
  const stuck: Point[] = [];
  if (!(radius > 0)) return { segments: run, fills, arcs, stuck };
  let segments = run as PathSegment[];
  let obstacles: Obstacles | null = null;
  // Once round without a place to stop at is enough; after a ball the walk goes on a little before it.
  for (let i = 0, quiet = 0; closed ? quiet < segments.length : i < segments.length; ) {
    const at = i % segments.length;
    const spot = spotAt(segments, closed, at, radius);
    if (!spot) {
      i++;
      quiet++;
      continue;
    }
    if (segments === run) {
      segments = closed && run.length < 4 ? run.flatMap((segment) => halves(segment)) : [...run];
      obstacles = obstaclesOf(segments);
      if (segments.length !== run.length) {
        i = 0;
        quiet = 0;
        continue;
      }
    }
    const walk: Walk = { segments, closed, spot };
    const ball = findBall(walk, radius, obstacles!);
    if (!ball) {
      const corner = segmentAt(walk, spot.before)!.to;
      if (!stuck.includes(corner)) stuck.push(corner);
      i += Math.max(1, spot.span);
      quiet += Math.max(1, spot.span);
      continue;
    }
    fills.push(fillOf(walk, ball, radius));
    const arc = arcAbout(ball.centre, radius, ball.from, ball.to, 'right');
    arcs.push(arc);
    addObstacle(obstacles!, arc);
    segments = withBall(walk, ball, arc);
    i = Math.max(0, Math.min(at, spot.before - ball.back) - 1);
    quiet = 0;
  }
  return { segments, fills, arcs, stuck };
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

/** The place, if any, that begins at a segment: a run of tight arcs that starts there, or the corner at its end. */
function spotAt(segments: readonly PathSegment[], closed: boolean, i: number, radius: number): Spot | null {
  const n = segments.length;
  const segment = segments[i]!;
  if (isTightArc(segment, radius)) {
    const previous = segments[i - 1] ?? (closed ? segments[n - 1]! : null);
    // Told at its first arc. An open run that begins or ends with one has no wall there: it stays as it is.
    if (!previous || (isTightArc(previous, radius) && n > 1)) {
      return closed && i === 0 && segments.every((other) => isTightArc(other, radius))
        ? { before: n - 1, span: n }
        : null;
    }
    let span = 1;
    while (span < n && (closed || i + span < n) && isTightArc(segments[(i + span) % n]!, radius)) span++;
    return closed || i + span < n ? { before: (i - 1 + n) % n, span: span + 1 } : null;
  }
  const next = segments[i + 1] ?? (closed ? segments[0]! : null);
  return next && isTightCorner(segment, next) && !isTightArc(next, radius) ? { before: i, span: 1 } : null;
}

interface Walk {
  readonly segments: PathSegment[];
  readonly closed: boolean;
  readonly spot: Spot;
}

function segmentAt({ segments, closed }: Walk, index: number): PathSegment | undefined {
  const n = segments.length;
  return closed ? segments[((index % n) + n) % n] : segments[index];
}

/**
 * The ball nearest the spot that touches the run on both sides of it and is clear. Pairs of features (segments, and
 * corners that turn left) are tried by how far they lie from the spot, both sides together.
 */
function findBall(walk: Walk, radius: number, obstacles: Obstacles): Ball | null {
  const { before, span } = walk.spot;
  const kept = walk.segments.length - span + 1;
  const corner = segmentAt(walk, before)!.to;
  const behind: Feature[] = [];
  const ahead: Feature[] = [];
  const more = (step: number): boolean => {
    // On a closed run the two walks must not meet.
    if (walk.closed && step >> 1 >= kept >> 1) return false;
    const back = featureAt(walk, before, -1, step, radius);
    const front = featureAt(walk, before + span, 1, step, radius);
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
        if (!from || !to || !isFree(obstacles, centre, radius)) continue;
        return { centre, back: first.steps, ahead: last.steps, from, to };
      }
    }
  }
  return null;
}

/** Something the ball can touch, with the curve on which its centre then lies. */
interface Feature {
  /** Segments between the spot and the one that is cut at the contact. */
  readonly steps: number;
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
function featureAt(walk: Walk, start: number, way: 1 | -1, step: number, radius: number): Feature | null {
  const steps = step >> 1;
  const segment = segmentAt(walk, start + way * steps);
  if (!segment) return null;
  if (step % 2 === 0) {
    const beyond = segmentAt(walk, start + way * (steps - 1));
    if (!beyond) return null;
    const [before, after] = way > 0 ? [beyond, segment] : [segment, beyond];
    const n0 = endNormal(before);
    const n1 = startNormal(after);
    const turnsLeft = turnInto(before, after) > 0;
    const touched = { kind: 'corner', at: before.to, n0, n1 } as const;
    return { steps, touched, p: before.to, u: null, r: turnsLeft ? radius : 0 };
  }
  if (segment.kind === 'line') {
    const n = startNormal(segment);
    const p = { x: segment.from.x + radius * n.x, y: segment.from.y + radius * n.y };
    return { steps, touched: segment, p, u: { x: -n.y, y: n.x }, r: 0 };
  }
  const r = segment.sweep > 0 ? segment.radius + radius : segment.radius - radius;
  return { steps, touched: segment, p: segment.centre, u: null, r: r > CLEAR_MM ? r : 0 };
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

/** Segments in rows of a few with a box about each row, so that a ball is checked against those near it only. */
interface Obstacles {
  readonly rows: { readonly segments: PathSegment[]; box: Bounds }[];
}

const ROW = 16;

function obstaclesOf(segments: readonly PathSegment[]): Obstacles {
  const obstacles: Obstacles = { rows: [] };
  for (const segment of segments) addObstacle(obstacles, segment);
  return obstacles;
}

/** What a ball replaced stays an obstacle: it lies in the solid now, where no later ball can be. */
function addObstacle({ rows }: Obstacles, segment: PathSegment): void {
  const box = segmentBounds(segment);
  const row = rows[rows.length - 1];
  if (!row || row.segments.length === ROW) rows.push({ segments: [segment], box });
  else {
    row.segments.push(segment);
    row.box = joinBounds(row.box, box);
  }
}

function isFree({ rows }: Obstacles, { x, y }: Point, radius: number): boolean {
  return rows.every(({ segments, box }) => {
    if (x + radius < box.minX || x - radius > box.maxX || y + radius < box.minY || y - radius > box.maxY)
      return true;
    return segments.every((segment) => distanceTo(segment, { x, y }) > radius - CLEAR_MM);
  });
}

function fillOf(walk: Walk, { centre, back, ahead, from, to }: Ball, radius: number): Fill {
  const { before, span } = walk.spot;
  const first = before - back;
  const last = before + span + ahead;
  let at = from;
  let depth = 0;
  for (let i = first; i <= last; i++) {
    let segment = segmentAt(walk, i)!;
    if (i === first) segment = between(segment, from, segment.to);
    else if (i === last) segment = between(segment, segment.from, to);
    const far = farthestFrom(segment, centre);
    if (far.distance - radius <= depth) continue;
    depth = far.distance - radius;
    at = far.at;
  }
  return { at, depthMm: depth };
}

/** The run with the ball's arc between the two segments it touches. */
function withBall(walk: Walk, { back, ahead, from, to }: Ball, arc: PathSegment): PathSegment[] {
  const { before, span } = walk.spot;
  const count = span + back + ahead + 1;
  let { segments } = walk;
  const n = segments.length;
  let first = (((before - back) % n) + n) % n;
  if (first + count > n) {
    // The stretch runs over the end of the list: begin the list with it.
    segments = [...segments.slice(first), ...segments.slice(0, first)];
    first = 0;
  }
  const cut = segments[first]!;
  const next = segments[first + count - 1]!;
  const put: PathSegment[] = [];
  if (from !== cut.from) put.push(between(cut, cut.from, from));
  if (from !== to) put.push(arc);
  if (to !== next.to) put.push(between(next, to, next.to));
  segments.splice(first, count, ...put);
  return segments;
}
