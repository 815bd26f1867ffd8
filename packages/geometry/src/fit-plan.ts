/**
 * Smooth stretches of a ring as smooth chains of as few arcs as the tolerance allows.
 *
 * An arc through two given points is fixed by its direction at the first: the direction at the second is its mirror
 * image in the chord, so intervals of directions map to intervals. For a pair of candidate knots the directions whose
 * arc stays within the tolerance of the polyline between are an interval too (each point of the polyline is one
 * linear inequality for m = tan(half turn) / chord, see `feasible`). So "which directions can be reached at this knot
 * with n smooth arcs" is found knot by knot, n = 1, 2, ..., keeping the farthest few knots of each n; any direction of
 * the last interval is then walked back to the start, one mirror image after the other.
 *
 * Nothing is estimated from the polyline's own directions, so the chain leans over the curve as it likes: where curvature
 * changes evenly by k' it finds arcs of about (125 e / k')^(1/3), the best there are within a band of e to both sides
 * (cubic Bernoulli polynomial), 1.46 times as long as those of biarcs tangent to the curve.
 */
import { arcFollows, type Biarc, biarcFollows } from './fit-biarc.ts';
import { mergeStates, nearAngle, type Reached, reach, spread, sweep, type Way } from './fit-reach.ts';
import type { Stretch } from './fit-stretch.ts';
import { type ChainKnot, type End, knotAt, layTrack, type Track } from './fit-track.ts';

/** An arc or line of the result, by its start, end, signed curvature (0: a line) and signed turn (radians). */
export interface Piece {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
  readonly curvature: number;
  readonly turn: number;
}

/** An advance below this share of the usual one calls for a biarc, which frees the direction from the arcs before. */
const FALTER = 0.5;
/** Rounds tried after the end was reached, but not smoothly. */
const EXTRA_ROUNDS = 4;
/** Past rounds that are gone back to where no arc leads on. */
const KEPT_ROUNDS = 3;
/** What the usual advance, the greatest so far, loses in a round. */
const TYPICAL_DECAY = 0.95;

/** What came of a stretch: its pieces, or null and the vertex near which no smooth chain keeps the tolerance. */
export interface Plan {
  readonly pieces: Piece[] | null;
  readonly stuckAt: number;
}

/** Shares of the tolerance tried in turn: the search judges edges by their middle, the check by their extreme. */
const SHARES = [1, 0.95, 0.85, 0.7];

/**
 * Fits the polyline between two ends. With `isLoop` they are the same vertex, the chain closes smoothly, and no
 * direction may be prescribed.
 */
export function planArcs(s: Stretch, start: End, end: End, tolerance: number, isLoop: boolean = false): Plan {
  let stuckAt = start.after;
  for (const share of SHARES) {
    const within = share * tolerance;
    const track = layTrack(s, start, end, isLoop, within);
    const chain = search(track, start, end, within, tolerance);
    if (typeof chain === 'number') return { pieces: null, stuckAt: chain };
    const pieces: Piece[] = [];
    const failed = chain.findIndex(
      (knot, i) => i > 0 && !pushPieces(s, chain[i - 1]!, knot, tolerance, pieces),
    );
    if (failed < 0) return { pieces, stuckAt: -1 };
    stuckAt = chain[failed - 1]!.after;
  }
  return { pieces: null, stuckAt };
}

/** The chain of knots from start to end, or the vertex after the farthest knot reached. */
function search(track: Track, start: End, end: End, within: number, tolerance: number): ChainKnot[] | number {
  const { isLoop } = track;
  const final = track.count - 1;
  const origin: Reached = {
    knot: 0,
    round: 0,
    low: start.theta ?? Number.NEGATIVE_INFINITY,
    high: start.theta ?? Number.POSITIVE_INFINITY,
    ways: [],
  };
  let round = [origin];
  const rounds: Reached[][] = [];
  let afterBiarc: Reached[] = [];
  let farthest = 0;
  let typical = 0;
  let extra = 0;
  while (round.length > 0 && extra < EXTRA_ROUNDS) {
    const near = isLoop || end.theta !== null ? round.filter((state) => isNearEnd(track, state)) : [];
    const chain = finish(track, near, end.theta, tolerance);
    if (chain) return chain;
    // A single direction leaves nothing to choose: mirrored from arc to arc it would swing ever the same way.
    const isFixed = round[0]!.low === round[0]!.high && round[0]!.ways.length === 0;
    let next = isFixed ? spread(track, round[0]!, tolerance) : reach(track, round, farthest, within);
    next = mergeStates(next, afterBiarc);
    afterBiarc = [];
    const advance = (next[0]?.knot ?? farthest) - farthest;
    if (extra === 0 && next.length === 0) {
      next = sweep(track, [...rounds.flat(), ...round], farthest, within).filter(
        (state) => state.knot > farthest,
      );
      if (next.length === 0)
        next = spread(track, round[0]!, tolerance).filter((state) => state.knot > farthest);
      if (next.length === 0) break;
    } else if (extra === 0 && !isFixed && advance < FALTER * typical) {
      afterBiarc = spread(track, round[0]!, tolerance).filter((state) => state.knot > farthest + advance);
    }
    typical = Math.max(advance, TYPICAL_DECAY * typical);
    const done = next.filter((state) => state.knot === final);
    const closed = finish(track, done, end.theta, tolerance);
    if (closed) return closed;
    next = next.filter((state) => state.knot < final);
    if (done.length > 0 || extra > 0) extra++;
    else farthest = next[0]!.knot;
    rounds.push(round);
    if (rounds.length > KEPT_ROUNDS) rounds.shift();
    round = next;
  }
  const all = sweep(track, [...rounds.flat(), ...round], farthest, within);
  return finish(track, all, end.theta, tolerance) ?? track.after[farthest]!;
}

/** A chain to the end from one of the states: from one at the last knot as it is, from others by a biarc. */
function finish(
  track: Track,
  states: readonly Reached[],
  theta: number | null,
  tolerance: number,
): ChainKnot[] | null {
  const some = track.isLoop ? states.find((state) => state.ways.length > 0) : undefined;
  const firstTheta = some ? walkBack(track, some, (some.low + some.high) / 2)[0]!.theta : 0;
  for (const state of states) {
    let chain: ChainKnot[] | null = null;
    if (state.knot === track.count - 1) {
      if (track.isLoop) chain = closeLoop(track, state);
      else if (theta === null) chain = walkBack(track, state, (state.low + state.high) / 2);
      else {
        const angle = nearAngle(theta, (state.low + state.high) / 2);
        if (angle >= state.low && angle <= state.high) chain = walkBack(track, state, angle);
      }
    } else if (track.isLoop) chain = closeWithBiarc(track, state, firstTheta, tolerance);
    else if (theta !== null) chain = finishWithBiarc(track, state, theta, tolerance);
    if (chain) return chain;
  }
  return null;
}

/** Whether what is left is no longer than a biarc may reach, judged by the arc before. */
function isNearEnd({ path, count }: Track, state: Reached): boolean {
  const way = state.ways[0];
  if (!way) return true;
  const at = path[state.knot]!;
  return path[count - 1]! - at <= 3 * (at - path[way.from.knot]!);
}

/** The chain that ends in `state` with direction `theta`, start first. */
function walkBack(track: Track, state: Reached, theta: number): ChainKnot[] {
  const chain: ChainKnot[] = [];
  let at = state;
  let angle = theta;
  for (;;) {
    const knot = knotAt(track, at.knot, angle);
    chain.push(knot);
    let way: Way | null = null;
    let most = Number.NEGATIVE_INFINITY;
    for (const option of at.ways) {
      const room = Math.min(angle - option.low, option.high - angle);
      if (room > most) {
        most = room;
        way = option;
      }
    }
    if (!way) return chain.reverse();
    knot.viaBiarc = Number.isNaN(way.chord);
    angle = knot.viaBiarc ? (way.from.low + way.from.high) / 2 : 2 * way.chord - angle;
    at = way.from;
  }
}

/** Finishes a loop whose first direction, mirrored along the chain, comes out as itself. */
function closeLoop(track: Track, done: Reached): ChainKnot[] | null {
  for (const way of done.ways) {
    const trial = walkBack(track, { ...done, ways: [way] }, (way.low + way.high) / 2);
    if (trial.length % 2 === 1 || trial.some((knot) => knot.viaBiarc)) continue;
    // With the same ways an odd number of mirror images gives first + last = constant.
    const turn = wholeTurn(trial);
    const theta = (trial[0]!.theta + trial[trial.length - 1]!.theta + turn) / 2;
    if (theta < way.low || theta > way.high) continue;
    const chain = walkBack(track, { ...done, ways: [way] }, theta);
    if (Math.abs(chain[chain.length - 1]!.theta - chain[0]!.theta - turn) < 1e-12) return chain;
  }
  return null;
}

function wholeTurn(chain: readonly ChainKnot[]): number {
  return 2 * Math.PI * Math.round((chain[chain.length - 1]!.theta - chain[0]!.theta) / (2 * Math.PI));
}

/** Parts of a state's interval tried as the direction a last biarc leaves in. */
const LEAVING = [0.5, 0.1, 0.9];

/** Closes a loop by a biarc back to its first direction. */
function closeWithBiarc(
  track: Track,
  state: Reached,
  firstTheta: number,
  tolerance: number,
): ChainKnot[] | null {
  if (state.ways.length === 0) return null;
  const end = knotAt(track, track.count - 1, 0);
  end.viaBiarc = true;
  for (const share of LEAVING) {
    const angle = state.low + share * (state.high - state.low);
    const from = knotAt(track, state.knot, angle);
    const heading = nearAngle(Math.atan2(end.y - from.y, end.x - from.x), angle);
    // Chains to neighbouring states begin nearly alike: only where the one at hand closes is this one walked back.
    end.theta = nearAngle(firstTheta, heading);
    if (!biarcFollows(track.s, from, end, tolerance, scratch)) continue;
    const chain = walkBack(track, state, angle);
    end.theta = nearAngle(chain[0]!.theta, heading);
    if (biarcFollows(track.s, from, end, tolerance, scratch)) return [...chain, end];
  }
  return null;
}

function finishWithBiarc(track: Track, state: Reached, theta: number, tolerance: number): ChainKnot[] | null {
  if (state.low === Number.NEGATIVE_INFINITY) return null;
  for (const share of state.low < state.high ? LEAVING : [0]) {
    const angle = state.low + share * (state.high - state.low);
    const from = knotAt(track, state.knot, angle);
    const end = knotAt(track, track.count - 1, nearAngle(theta, angle));
    end.viaBiarc = true;
    if (biarcFollows(track.s, from, end, tolerance, scratch)) return [...walkBack(track, state, angle), end];
  }
  return null;
}

const scratch: Biarc = { jointX: 0, jointY: 0, k0: 0, k1: 0 };

/** Adds the arc or biarc between two knots of a chain; false when it fails the exact check. */
function pushPieces(s: Stretch, from: ChainKnot, to: ChainKnot, tolerance: number, pieces: Piece[]): boolean {
  if (to.viaBiarc) {
    if (!biarcFollows(s, from, to, tolerance, scratch)) return false;
    const { jointX, jointY, k0, k1 } = scratch;
    pieces.push(arcPiece(from.x, from.y, jointX, jointY, k0), arcPiece(jointX, jointY, to.x, to.y, k1));
    return true;
  }
  const curvature = arcFollows(s, from, to, tolerance);
  if (curvature === null) return false;
  pieces.push(arcPiece(from.x, from.y, to.x, to.y, curvature));
  return true;
}

/** An arc of less than a half turn. */
function arcPiece(x0: number, y0: number, x1: number, y1: number, curvature: number): Piece {
  const half = (curvature * Math.hypot(x1 - x0, y1 - y0)) / 2;
  return { x0, y0, x1, y1, curvature, turn: 2 * Math.asin(Math.max(-1, Math.min(1, half))) };
}
