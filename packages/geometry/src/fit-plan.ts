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
import { arcFollows, type Biarc, biarcFollows, type Knot } from './fit-biarc.ts';
import { type Stretch, turnBetween } from './fit-stretch.ts';

/** An arc or line of the result, by its start, end, signed curvature (0: a line) and signed turn (radians). */
export interface Piece {
  readonly x0: number;
  readonly y0: number;
  readonly x1: number;
  readonly y1: number;
  readonly curvature: number;
  readonly turn: number;
}

/** How a smooth stretch begins or ends: the curve's point there, and its direction when it is prescribed. */
export interface End {
  readonly x: number;
  readonly y: number;
  readonly theta: number | null;
}

/** Knots of each round that are followed up. More finds hardly shorter chains: 1,000 save no more than 1 arc in 50. */
const BEAM = 8;
/** Candidate knots on an arc of ordinary length. Fewer cost reach, more cost time. */
const KNOTS_PER_ARC = 12;
/** Failing knots in a row after which farther ones are not tried. */
const MISSES = 3;
/** An advance below this share of the usual one calls for a biarc, which frees the direction from the arcs before. */
const FALTER = 0.5;
/** What the usual advance, the greatest so far, loses in a round. */
const TYPICAL_DECAY = 0.95;
/** States of a round from which biarcs are tried. */
const SPREAD_STATES = 1;
/** Share of the tolerance used where only the middle of an edge stands for its extreme. */
const MIDDLE_SHARE = 0.97;

/** A knot that some number of arcs can reach, with the interval of directions they can have there. */
interface Reached {
  readonly knot: number;
  readonly round: number;
  readonly low: number;
  readonly high: number;
  /** The ways it is reached; their intervals cover low to high without a gap. None at the start. */
  readonly ways: readonly Way[];
}

interface Way {
  readonly low: number;
  readonly high: number;
  readonly from: Reached;
  /** Direction of the chord; NaN for a biarc, which leaves in the middle of the interval of `from`. */
  readonly chord: number;
}

interface Candidates {
  readonly count: number;
  readonly vertex: Int32Array;
  readonly x: Float64Array;
  readonly y: Float64Array;
}

/**
 * Fits vertices `first` to `last` of the stretch, null when no smooth chain keeps the tolerance. A loop (the whole of a
 * closed stretch) has both ends at one vertex, with no direction prescribed; its chain closes smoothly.
 */
export function planArcs(
  s: Stretch,
  first: number,
  last: number,
  start: End,
  end: End,
  tolerance: number,
): Piece[] | null {
  const isLoop =
    s.closed && first === 0 && last === s.count - 1 && start.theta === null && end.theta === null;
  for (const share of [1, 0.95, 0.85, 0.7]) {
    const within = share * tolerance;
    const candidates = layCandidates(s, first, last, start, end, within);
    const knots = search(s, candidates, start, end, isLoop, within, tolerance);
    if (!knots) return null;
    const pieces = toPieces(s, knots, tolerance);
    if (pieces) return pieces;
  }
  return null;
}

/** A knot of the finished chain, and whether a biarc leads to it. */
interface ChainKnot extends Knot {
  viaBiarc: boolean;
}

function search(
  s: Stretch,
  candidates: Candidates,
  start: End,
  end: End,
  isLoop: boolean,
  within: number,
  tolerance: number,
): ChainKnot[] | null {
  const final = candidates.count - 1;
  const origin: Reached = {
    knot: 0,
    round: 0,
    low: start.theta ?? Number.NEGATIVE_INFINITY,
    high: start.theta ?? Number.POSITIVE_INFINITY,
    ways: [],
  };
  let round = [origin];
  let afterBiarc: Reached[] = [];
  let farthest = 0;
  let typical = 0;
  let extra = 0;
  while (round.length > 0 && extra < 4) {
    if (isLoop || end.theta !== null) {
      const near = round.filter((state) => isNearEnd(s, candidates, state));
      const chain = isLoop
        ? closeWithBiarc(s, candidates, near, tolerance)
        : finishWithBiarc(s, candidates, near, end.theta!, tolerance);
      if (chain) return chain;
    }
    // A single direction leaves nothing to choose: mirrored from arc to arc it would swing ever the same way.
    const isFixed = round[0]!.low === round[0]!.high && round[0]!.ways.length === 0;
    let next = isFixed
      ? spread(s, candidates, round[0]!, tolerance)
      : reach(s, candidates, round, farthest, within);
    next = mergeStates(next, afterBiarc);
    afterBiarc = [];
    const advance = (next[0]?.knot ?? farthest) - farthest;
    if (extra === 0 && !isFixed && advance < FALTER * typical) {
      const states = round
        .slice(0, SPREAD_STATES)
        .flatMap((state) => spread(s, candidates, state, tolerance));
      afterBiarc = states.filter((state) => state.knot > farthest + advance);
      if (next.length === 0) {
        if (afterBiarc.length === 0) return null;
        next = mergeStates(afterBiarc, []);
        afterBiarc = [];
      }
    }
    typical = Math.max(advance, TYPICAL_DECAY * typical);
    const done = next[0]?.knot === final ? next[0] : null;
    if (done && end.theta === null) {
      const chain = isLoop
        ? closeLoop(s, candidates, done)
        : walkBack(s, candidates, done, (done.low + done.high) / 2);
      if (chain) return chain;
    }
    next = next.filter((state) => state.knot < final);
    if (done || extra > 0) extra++;
    else farthest = next[0]!.knot;
    round = next;
  }
  return null;
}

/** The farthest states of two lists, the wider of two at one knot, farthest first. */
function mergeStates(a: readonly Reached[], b: readonly Reached[]): Reached[] {
  if (b.length === 0 && a.length <= BEAM) return [...a];
  const all = [...a, ...b].sort((p, q) => q.knot - p.knot || q.high - q.low - (p.high - p.low));
  return all.filter((state, i) => i === 0 || state.knot !== all[i - 1]!.knot).slice(0, BEAM);
}

/** Whether what is left is no longer than a biarc may reach, judged by the arc before. */
function isNearEnd(s: Stretch, { vertex, count }: Candidates, state: Reached): boolean {
  const way = state.ways[0];
  if (!way) return true;
  const at = s.path[vertex[state.knot]!]!;
  return s.path[vertex[count - 1]!]! - at <= 3 * (at - s.path[vertex[way.from.knot]!]!);
}

/** One more arc from each state: the knots beyond `farthest` it leads to, farthest first. */
function reach(
  s: Stretch,
  candidates: Candidates,
  round: readonly Reached[],
  farthest: number,
  within: number,
): Reached[] {
  const { count, vertex, x, y } = candidates;
  const waysTo: Way[][] = [];
  for (const from of round) {
    const i = from.knot;
    let misses = 0;
    for (let j = Math.max(i, farthest) + 1; j < count && misses < MISSES; j++) {
      misses++;
      if (!feasible(s, vertex[i]!, vertex[j]!, x[i]!, y[i]!, x[j]!, y[j]!, within)) continue;
      let chord = found.chord;
      if (from.high < Number.POSITIVE_INFINITY) chord = nearAngle(chord, (from.low + from.high) / 2);
      const low = Math.max(from.low, chord - found.high);
      const high = Math.min(from.high, chord - found.low);
      if (low > high) continue;
      misses = 0;
      const k = j - farthest - 1;
      while (waysTo.length <= k) waysTo.push([]);
      waysTo[k]!.push({ low: 2 * chord - high, high: 2 * chord - low, from, chord });
    }
  }
  const next: Reached[] = [];
  for (let k = waysTo.length - 1; k >= 0 && next.length < BEAM; k--) {
    const ways = waysTo[k]!;
    if (ways.length > 0) next.push(joinWays(ways, farthest + 1 + k));
  }
  return next;
}

/** Of the ways to a knot, those whose intervals overlap, in the widest such group. */
function joinWays(ways: Way[], knot: number): Reached {
  ways.sort((a, b) => a.low - b.low);
  const round = ways[0]!.from.round + 1;
  let best = { low: 0, high: -1, first: 0, end: 0 };
  let first = 0;
  let high = ways[0]!.high;
  for (let k = 1; k <= ways.length; k++) {
    if (k < ways.length && ways[k]!.low <= high) {
      high = Math.max(high, ways[k]!.high);
      continue;
    }
    const low = ways[first]!.low;
    if (high - low > best.high - best.low) best = { low, high, first, end: k };
    if (k < ways.length) {
      first = k;
      high = ways[k]!.high;
    }
  }
  return { knot, round, low: best.low, high: best.high, ways: ways.slice(best.first, best.end) };
}

const found = { low: 0, high: 0, chord: 0 };

/**
 * Half turns of the arcs from A to B that stay within `within` of the polyline from vertex va to vb; fills `found`.
 * In the frame of the chord, x along it and y to the left, with c its length, an arc of half turn h lies on
 *   G = m (x^2 + y^2 - c x) - y = 0,  m = tan(h) / c,
 * and G is f of fit-biarc.ts over cos(h). With the quadratic part of its limits, -e <= G - m e^2 <= e suffices: linear
 * in m. An edge's extreme over the arc is taken at its middle.
 */
function feasible(
  s: Stretch,
  va: number,
  vb: number,
  ax: number,
  ay: number,
  bx: number,
  by: number,
  within: number,
): boolean {
  const { x, y } = s;
  const dx = bx - ax;
  const dy = by - ay;
  const c = Math.sqrt(dx * dx + dy * dy);
  const ux = dx / c;
  const uy = dy / c;
  const square = within * within;
  const inner = MIDDLE_SHARE * within;
  let low = Number.NEGATIVE_INFINITY;
  let high = Number.POSITIVE_INFINITY;
  let px = (x[va]! - ax) * ux + (y[va]! - ay) * uy;
  let py = (y[va]! - ay) * ux - (x[va]! - ax) * uy;
  for (let k = va + 1; k <= vb; k++) {
    const kx = x[k]! - ax;
    const ky = y[k]! - ay;
    const qx = kx * ux + ky * uy;
    const qy = ky * ux - kx * uy;
    const mx = (px + qx) / 2;
    const my = (py + qy) / 2;
    let d = mx * (c - mx) - my * my + square;
    if (!(d > 0)) return false;
    let inverse = 1 / d;
    let atLeast = (-my - inner) * inverse;
    let atMost = (-my + inner) * inverse;
    if (atLeast > low) low = atLeast;
    if (atMost < high) high = atMost;
    if (k < vb) {
      d = qx * (c - qx) - qy * qy + square;
      if (!(d > 0)) return false;
      inverse = 1 / d;
      atLeast = (-qy - within) * inverse;
      atMost = (-qy + within) * inverse;
      if (atLeast > low) low = atLeast;
      if (atMost < high) high = atMost;
    }
    if (low > high) return false;
    px = qx;
    py = qy;
  }
  found.low = Math.atan(c * low);
  found.high = Math.atan(c * high);
  found.chord = Math.atan2(dy, dx);
  return true;
}

/** Vertices that may be knots: all of a coarse polyline, about KNOTS_PER_ARC on each arc of a dense one. */
function layCandidates(
  s: Stretch,
  first: number,
  last: number,
  start: End,
  end: End,
  within: number,
): Candidates {
  const { x, y, length, turn } = s;
  const vertex = new Int32Array(last - first + 1);
  let count = 0;
  vertex[count++] = first;
  let at = first;
  while (at < last) {
    const reaches = (n: number): boolean =>
      at + n <= last && feasible(s, at, at + n, x[at]!, y[at]!, x[at + n]!, y[at + n]!, within);
    let span = 2 * KNOTS_PER_ARC;
    let stride = 1;
    while (reaches(span)) {
      stride *= 2;
      span *= 2;
    }
    const stop = Math.min(last, at + stride * KNOTS_PER_ARC);
    for (at += stride; at < stop; at += stride) vertex[count++] = at;
    at = stop;
    vertex[count++] = at;
  }
  const px = new Float64Array(count);
  const py = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const i = vertex[k]!;
    // Chords lie on one side of a smooth curve: knots half a sagitta to that side have room on both.
    const before = i > first ? i - 1 : s.closed ? s.count - 2 : i;
    const after = i < last ? i + 1 : s.closed ? 1 : i;
    const wx = x[after]! - x[before]!;
    const wy = y[after]! - y[before]!;
    const w = Math.hypot(wx, wy);
    const around = length[before]! + length[i === last ? 0 : i]!;
    const shift = w === 0 ? 0 : Math.max(-within / 4, Math.min(within / 4, (turn[i]! * around) / 32));
    px[k] = x[i]! - (shift * wy) / w;
    py[k] = y[i]! + (shift * wx) / w;
  }
  const isLoop =
    s.closed && first === 0 && last === s.count - 1 && start.theta === null && end.theta === null;
  if (!isLoop) {
    px[0] = start.x;
    py[0] = start.y;
    px[count - 1] = end.x;
    py[count - 1] = end.y;
  }
  return { count, vertex, x: px, y: py };
}

function knotAt(s: Stretch, candidates: Candidates, k: number, theta: number): ChainKnot {
  const i = candidates.vertex[k]!;
  return {
    x: candidates.x[k]!,
    y: candidates.y[k]!,
    px: s.x[i]!,
    py: s.y[i]!,
    before: i - 1,
    after: i + 1,
    theta,
    viaBiarc: false,
  };
}

/** The chain that ends in `state` with direction `theta`, start first. */
function walkBack(s: Stretch, candidates: Candidates, state: Reached, theta: number): ChainKnot[] {
  const chain: ChainKnot[] = [];
  let at = state;
  let angle = theta;
  for (;;) {
    const knot = knotAt(s, candidates, at.knot, angle);
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
function closeLoop(s: Stretch, candidates: Candidates, done: Reached): ChainKnot[] | null {
  for (const way of done.ways) {
    const trial = walkBack(s, candidates, { ...done, ways: [way] }, (way.low + way.high) / 2);
    if (trial.length % 2 === 1 || trial.some((knot) => knot.viaBiarc)) continue;
    // With the same ways an odd number of mirror images gives first + last = constant.
    const turn = wholeTurn(trial);
    const theta = (trial[0]!.theta + trial[trial.length - 1]!.theta + turn) / 2;
    if (theta < way.low || theta > way.high) continue;
    const chain = walkBack(s, candidates, { ...done, ways: [way] }, theta);
    if (Math.abs(chain[chain.length - 1]!.theta - chain[0]!.theta - turn) < 1e-12) return chain;
  }
  return null;
}

function wholeTurn(chain: readonly ChainKnot[]): number {
  return 2 * Math.PI * Math.round((chain[chain.length - 1]!.theta - chain[0]!.theta) / (2 * Math.PI));
}

/** Closes a loop by a biarc from one of the states, or from one before it, back to its first direction. */
function closeWithBiarc(
  s: Stretch,
  candidates: Candidates,
  round: readonly Reached[],
  tolerance: number,
): ChainKnot[] | null {
  for (const state of round) {
    if (state.ways.length === 0) continue;
    for (const share of [0.5, 0.1, 0.9]) {
      const angle = state.low + share * (state.high - state.low);
      const chain = walkBack(s, candidates, state, angle);
      const from = chain[chain.length - 1]!;
      const end = knotAt(s, candidates, candidates.count - 1, 0);
      end.theta = nearAngle(chain[0]!.theta, nearAngle(Math.atan2(end.y - from.y, end.x - from.x), angle));
      end.viaBiarc = true;
      if (biarcFollows(s, from, end, tolerance, scratch)) return [...chain, end];
    }
  }
  return null;
}

function finishWithBiarc(
  s: Stretch,
  candidates: Candidates,
  round: readonly Reached[],
  theta: number,
  tolerance: number,
): ChainKnot[] | null {
  for (const state of round) {
    const angle = state.low === Number.NEGATIVE_INFINITY ? null : (state.low + state.high) / 2;
    if (angle === null) continue;
    const from = knotAt(s, candidates, state.knot, angle);
    const end = knotAt(s, candidates, candidates.count - 1, nearAngle(theta, angle));
    end.viaBiarc = true;
    if (biarcFollows(s, from, end, tolerance, scratch))
      return [...walkBack(s, candidates, state, angle), end];
  }
  return null;
}

/** Directions tried on each side of a feasible one: as far as an end may turn an arc of the span off by this many tolerances. */
const SPREAD = 16;
/** Halvings that find the limits of the directions on each side. */
const SPREAD_STEPS = 5;

/**
 * Biarcs on from a state, with the directions they can have where they end: unlike an arc, a biarc leaves them free.
 * Knots are tried outwards; the first guess for a direction is the polyline's own, then turned as the one before was.
 */
function spread(s: Stretch, candidates: Candidates, state: Reached, tolerance: number): Reached[] {
  if (state.low === Number.NEGATIVE_INFINITY) return [];
  const { x, y, count, vertex } = candidates;
  const angle = (state.low + state.high) / 2;
  const from = knotAt(s, candidates, state.knot, angle);
  const found: Reached[] = [];
  let turnedAside = 0;
  let misses = 0;
  let lastSpan = 1;
  for (let n = 1; state.knot + n < count && misses < MISSES; n = Math.max(n + 1, Math.floor(n * 1.12))) {
    const j = state.knot + n;
    const a = j - 1;
    const b = Math.min(j + 1, count - 1);
    const turn = b === j ? 0 : turnBetween(x[j]! - x[a]!, y[j]! - y[a]!, x[b]! - x[j]!, y[b]! - y[j]!);
    const own = nearAngle(Math.atan2(y[j]! - y[a]!, x[j]! - x[a]!) + turn / 2, angle);
    const to = knotAt(s, candidates, j, own);
    const follows = (theta: number): boolean => {
      to.theta = theta;
      return biarcFollows(s, from, to, tolerance, scratch);
    };
    const span = s.path[vertex[j]!]! - s.path[vertex[state.knot]!]!;
    const guess = own + turnedAside * (span / lastSpan) ** 2;
    const middle = follows(guess) ? guess : follows(own) ? own : Number.NaN;
    if (Number.isNaN(middle)) {
      misses++;
      continue;
    }
    misses = 0;
    const limits = [-1, 1].map((side) => {
      let good = 0;
      let bad = (SPREAD * tolerance) / span;
      for (let k = 0; k < SPREAD_STEPS; k++) {
        const half = (good + bad) / 2;
        if (follows(middle + side * half)) good = half;
        else bad = half;
      }
      return middle + side * good;
    });
    const [low, high] = [limits[0]!, limits[1]!];
    turnedAside = (low + high) / 2 - own;
    lastSpan = span;
    const way: Way = { low, high, from: state, chord: Number.NaN };
    found.push({ knot: j, round: state.round + 2, low, high, ways: [way] });
  }
  return found.slice(-BEAM).reverse();
}

const scratch: Biarc = { jointX: 0, jointY: 0, k0: 0, k1: 0 };

/** The chain as arcs, null when one of them fails the exact check. */
function toPieces(s: Stretch, chain: readonly ChainKnot[], tolerance: number): Piece[] | null {
  const pieces: Piece[] = [];
  for (let i = 1; i < chain.length; i++) {
    const from = chain[i - 1]!;
    const to = chain[i]!;
    if (to.viaBiarc) {
      if (!biarcFollows(s, from, to, tolerance, scratch)) return null;
      const { jointX, jointY, k0, k1 } = scratch;
      pieces.push(arcPiece(from.x, from.y, jointX, jointY, k0), arcPiece(jointX, jointY, to.x, to.y, k1));
    } else {
      const curvature = arcFollows(s, from, to, tolerance);
      if (curvature === null) return null;
      pieces.push(arcPiece(from.x, from.y, to.x, to.y, curvature));
    }
  }
  return pieces;
}

/** An arc of less than a half turn. */
function arcPiece(x0: number, y0: number, x1: number, y1: number, curvature: number): Piece {
  const half = (curvature * Math.hypot(x1 - x0, y1 - y0)) / 2;
  return { x0, y0, x1, y1, curvature, turn: 2 * Math.asin(Math.max(-1, Math.min(1, half))) };
}

function nearAngle(angle: number, to: number): number {
  return angle + 2 * Math.PI * Math.round((to - angle) / (2 * Math.PI));
}
