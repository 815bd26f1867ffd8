/**
 * Smooth stretches of a ring as chains of biarcs, each as long as the tolerance allows.
 *
 * Why the directions at the knots are not those of the curve: where curvature changes evenly, the best chain of arcs
 * crosses the curve at every joint, at an angle, and swings evenly to both sides. Its arcs turn by as much as the
 * curve turns over the same points, so the direction at a joint differs from the curve's by the direction of the arc's
 * chord minus the mean of the curve's directions at its ends. Biarcs with knots turned that way reach 1.46 times
 * as far as biarcs tangent to the curve ((125 / 40.5)^(1/3): peak deviations k' h^3 / 125 against k' h^3 / 40.5
 * for arcs of length h, from the cubic Bernoulli polynomial).
 */
import { type Biarc, biarcFollows, type Knot } from './fit-biarc.ts';
import type { Stretch } from './fit-stretch.ts';
import { turnBetween } from './fit-stretch.ts';

/** An arc or line of the result, by its start, end and signed curvature (0: a line). */
export interface Piece {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
  readonly curvature: number;
}

/** How a smooth stretch begins or ends: the curve's point there, and its direction when it is prescribed. */
export interface End {
  readonly x: number;
  readonly y: number;
  readonly theta: number | null;
}

/** Points of the polyline that may become knots: its vertices, close pairs of them as one point half-way. */
interface Track {
  count: number;
  x: Float64Array;
  y: Float64Array;
  path: Float64Array;
  theta: Float64Array;
  before: Int32Array;
  after: Int32Array;
  /** For closed tracks the whole turn, else 0. */
  wholeTurn: number;
}

/** Two vertices this much closer than their neighbours are one place: offsetting turns each vertex into such a pair. */
const PAIR_RATIO = 0.2;

/**
 * Fits vertices `first` to `last` of the stretch. Where even one step fails, a straight edge with corners at its ends
 * is put in, so there always is a result.
 */
export function fitSmooth(
  s: Stretch,
  first: number,
  last: number,
  start: End,
  end: End,
  tolerance: number,
): Piece[] {
  const isLoop = s.closed && first === 0 && last === s.count - 1 && start.theta === null;
  const track = layTrack(s, first, last, isLoop);
  const pieces: Piece[] = [];
  const final = track.count - 1;
  const biarc: Biarc = { jointX: 0, jointY: 0, k0: 0, k1: 0 };
  let from = knotAt(track, 0);
  from.x = start.x;
  from.y = start.y;
  let at = 0;
  let stride = Math.min(8, final);
  from.theta =
    start.theta === null
      ? track.theta[0]! + lean(track, 0, firstReach(track, final), isLoop)
      : nearAngle(start.theta, track.theta[0]!);
  const startTheta = from.theta;
  const knotFor = (j: number): Knot => {
    const knot = knotAt(track, j);
    if (j === final) {
      knot.x = end.x;
      knot.y = end.y;
      if (isLoop) {
        knot.theta = startTheta + track.wholeTurn;
        return knot;
      }
      if (end.theta !== null) {
        knot.theta = nearAngle(end.theta, track.theta[final]!);
        return knot;
      }
    }
    knot.theta = track.theta[j]! + lean(track, j, (track.path[j]! - track.path[at]!) / 2, isLoop);
    return knot;
  };
  while (at < final) {
    let reached = -1;
    let best: Biarc | null = null;
    let bestKnot: Knot | null = null;
    const attempt = (j: number): boolean => {
      const knot = knotFor(j);
      if (!biarcFollows(s, from, knot, tolerance, biarc)) return false;
      if (j > reached) {
        reached = j;
        best = { ...biarc };
        bestKnot = knot;
      }
      return true;
    };
    let step = stride;
    let failed = final + 1;
    if (attempt(Math.min(final, at + step))) {
      while (reached < final) {
        step = Math.ceil(step * 1.5);
        const j = Math.min(final, at + step);
        if (!attempt(j)) {
          failed = j;
          break;
        }
      }
    } else {
      failed = at + step;
      while (step > 1) {
        step = step >> 1;
        if (attempt(at + step)) break;
        failed = at + step;
      }
    }
    while (reached >= 0 && failed - reached > 1) {
      const middle = (reached + failed) >> 1;
      if (!attempt(middle)) failed = middle;
    }
    const knot = bestKnot as Knot | null;
    const arcs = best as Biarc | null;
    if (!knot || !arcs) {
      const next = knotFor(at + 1);
      pieces.push({ x0: from.x, y0: from.y, x1: next.x, y1: next.y, curvature: 0 });
      at += 1;
      next.theta = track.theta[at]!;
      from = next;
      stride = 2;
      continue;
    }
    pushBiarc(pieces, from, knot, arcs);
    stride = Math.max(2, reached - at);
    at = reached;
    from = knot;
  }
  return pieces;
}

function pushBiarc(pieces: Piece[], from: Knot, to: Knot, { jointX, jointY, k0, k1 }: Biarc): void {
  pieces.push({ x0: from.x, y0: from.y, x1: jointX, y1: jointY, curvature: k0 });
  pieces.push({ x0: jointX, y0: jointY, x1: to.x, y1: to.y, curvature: k1 });
}

function knotAt(track: Track, j: number): Knot {
  const x = track.x[j]!;
  const y = track.y[j]!;
  return { x, y, px: x, py: y, before: track.before[j]!, after: track.after[j]!, theta: track.theta[j]! };
}

function layTrack(s: Stretch, first: number, last: number, isLoop: boolean): Track {
  const size = last - first + 1;
  const track: Track = {
    count: 0,
    x: new Float64Array(size),
    y: new Float64Array(size),
    path: new Float64Array(size),
    theta: new Float64Array(size),
    before: new Int32Array(size),
    after: new Int32Array(size),
    wholeTurn: 0,
  };
  const add = (x: number, y: number, path: number, before: number, after: number): void => {
    const k = track.count++;
    track.x[k] = x;
    track.y[k] = y;
    track.path[k] = path;
    track.before[k] = before;
    track.after[k] = after;
  };
  const { x, y, length, path } = s;
  add(x[first]!, y[first]!, path[first]!, first - 1, first + 1);
  for (let i = first + 1; i < last; i++) {
    const isPair =
      i + 1 < last && length[i]! < PAIR_RATIO * length[i - 1]! && length[i]! < PAIR_RATIO * length[i + 1]!;
    if (isPair) {
      add((x[i]! + x[i + 1]!) / 2, (y[i]! + y[i + 1]!) / 2, path[i]! + length[i]! / 2, i, i + 1);
      i++;
    } else add(x[i]!, y[i]!, path[i]!, i - 1, i + 1);
  }
  if (last > first) add(x[last]!, y[last]!, path[last]!, last - 1, last + 1);
  setDirections(track, isLoop);
  return track;
}

/** Direction at each point: that of the circle through it and its neighbours. Angles run on without jumps. */
function setDirections(track: Track, isLoop: boolean): void {
  const { count, x, y, theta } = track;
  const n = count - 1;
  if (n < 1) return;
  const size = (i: number): number => Math.hypot(x[i + 1]! - x[i]!, y[i + 1]! - y[i]!);
  let heading = Math.atan2(y[1]! - y[0]!, x[1]! - x[0]!);
  let before = size(0);
  theta[0] = heading;
  theta[n] = heading;
  for (let i = 1; i < n; i++) {
    const turn = turnBetween(x[i]! - x[i - 1]!, y[i]! - y[i - 1]!, x[i + 1]! - x[i]!, y[i + 1]! - y[i]!);
    const after = size(i);
    const share = before / (before + after);
    theta[i] = heading + share * turn;
    if (i === 1) theta[0] = heading - share * turn;
    heading += turn;
    if (i === n - 1) theta[n] = heading + (1 - share) * turn;
    before = after;
  }
  if (isLoop) {
    const turn = turnBetween(x[n]! - x[n - 1]!, y[n]! - y[n - 1]!, x[1]! - x[0]!, y[1]! - y[0]!);
    const after = size(0);
    const share = before / (before + after);
    theta[n] = heading + share * turn;
    track.wholeTurn =
      2 * Math.PI * Math.round((heading + turn - Math.atan2(y[1]! - y[0]!, x[1]! - x[0]!)) / (2 * Math.PI));
    theta[0] = theta[n]! - track.wholeTurn;
  }
}

/** By how much the direction at point j should differ from the curve's when arcs of length h meet there. */
function lean(track: Track, j: number, h: number, isLoop: boolean): number {
  const behind = leanTowards(track, j, -h, isLoop);
  const ahead = leanTowards(track, j, h, isLoop);
  if (Number.isNaN(behind)) return Number.isNaN(ahead) ? 0 : ahead;
  return Number.isNaN(ahead) ? behind : (behind + ahead) / 2;
}

/** The chord's direction less the mean of the directions at its ends, for the chord from point j over path length h. */
function leanTowards(track: Track, j: number, h: number, isLoop: boolean): number {
  const { x, y, theta, path, count, wholeTurn } = track;
  const start = path[0]!;
  const end = path[count - 1]!;
  let target = path[j]! + h;
  let turned = 0;
  let walked = 0;
  if (isLoop && target < start) {
    turned = -wholeTurn;
    walked = start - end;
  } else if (isLoop && target > end) {
    turned = wholeTurn;
    walked = end - start;
  }
  target -= walked;
  const k = indexAt(track, target);
  if (k < 0) return Number.NaN;
  const span = path[k]! + walked - path[j]!;
  if (span * h <= 0) return Number.NaN;
  const mean = (theta[j]! + theta[k]! + turned) / 2;
  const sign = h < 0 ? -1 : 1;
  const chord = turnBetween(Math.cos(mean), Math.sin(mean), sign * (x[k]! - x[j]!), sign * (y[k]! - y[j]!));
  return chord * (h / span) ** 2;
}

/** The point nearest to a path length; -1 before the first and after the last. */
function indexAt(track: Track, at: number): number {
  const { path, count } = track;
  if (at < path[0]! || at > path[count - 1]!) return -1;
  let low = 0;
  let high = count - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (path[middle]! <= at) low = middle;
    else high = middle;
  }
  return at - path[low]! < path[high]! - at ? low : high;
}

function firstReach(track: Track, final: number): number {
  return (track.path[Math.min(8, final)]! - track.path[0]!) / 2;
}

function nearAngle(angle: number, to: number): number {
  return angle + 2 * Math.PI * Math.round((to - angle) / (2 * Math.PI));
}
