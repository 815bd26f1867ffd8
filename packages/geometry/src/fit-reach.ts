/**
 * One step of the search for smooth chains of arcs: from knots with their intervals of directions to the next ones.
 */
import { type Biarc, biarcFollows } from './fit-biarc.ts';
import { turnBetween } from './fit-stretch.ts';
import { feasible, found, knotAt, type Track } from './fit-track.ts';

/** Knots of each round that are followed up. More finds hardly shorter chains: 1,000 save no more than 1 arc in 50. */
const BEAM = 6;
/** Failing knots in a row after which farther ones are not tried. */
const MISSES = 2;

/** Knots beyond the farthest that `sweep` looks at, and the longest arcs it tries, in knots. */
const SWEEP_AHEAD = 12;
const SWEEP_SPAN = 16;

/** A knot that some number of arcs can reach, with the interval of directions they can have there. */
export interface Reached {
  readonly knot: number;
  readonly round: number;
  readonly low: number;
  readonly high: number;
  /** The ways it is reached; their intervals cover low to high without a gap. None at the start. */
  readonly ways: readonly Way[];
}

export interface Way {
  readonly low: number;
  readonly high: number;
  readonly from: Reached;
  /** Direction of the chord; NaN for a biarc, which leaves in the middle of the interval of `from`. */
  readonly chord: number;
}

/** The ways to one knot while they are being gathered; reused from round to round. */
interface Slot {
  count: number;
  readonly low: Float64Array;
  readonly high: Float64Array;
  readonly chord: Float64Array;
  readonly from: (Reached | null)[];
}

const slots: Slot[] = [];

function slotAt(k: number): Slot {
  while (slots.length <= k) {
    slots.push({
      count: 0,
      low: new Float64Array(BEAM),
      high: new Float64Array(BEAM),
      chord: new Float64Array(BEAM),
      from: new Array(BEAM).fill(null),
    });
  }
  return slots[k]!;
}

/** One more arc from each state: the knots beyond `farthest` it leads to, farthest first. */
export function reach(track: Track, round: readonly Reached[], farthest: number, within: number): Reached[] {
  let top = -1;
  for (const from of round) {
    let misses = 0;
    for (let j = Math.max(from.knot, farthest) + 1; j < track.count && misses < MISSES; j++) {
      misses++;
      if (!directionsAt(track, from, j, within)) continue;
      misses = 0;
      const k = j - farthest - 1;
      while (top < k) slotAt(++top).count = 0;
      const slot = slots[k]!;
      const n = slot.count++;
      slot.low[n] = arrival.low;
      slot.high[n] = arrival.high;
      slot.chord[n] = arrival.chord;
      slot.from[n] = from;
    }
  }
  const next: Reached[] = [];
  for (let k = top; k >= 0 && next.length < BEAM; k--) {
    if (slots[k]!.count > 0) next.push(joinSlot(slots[k]!, farthest + 1 + k));
  }
  return next;
}

/** Of the ways to a knot those whose intervals overlap, in the widest such group; of these, what covers it. */
function joinSlot(slot: Slot, knot: number): Reached {
  const { count, low, high, chord, from } = slot;
  sortByLow(slot);
  let first = 0;
  let end = 0;
  let widest = -1;
  for (let a = 0; a < count; ) {
    let reachHigh = high[a]!;
    let b = a + 1;
    for (; b < count && low[b]! <= reachHigh; b++) reachHigh = Math.max(reachHigh, high[b]!);
    if (reachHigh - low[a]! > widest) {
      widest = reachHigh - low[a]!;
      first = a;
      end = b;
    }
    a = b;
  }
  const ways: Way[] = [];
  let covered = Number.NEGATIVE_INFINITY;
  for (let i = first; i < end; ) {
    // Of the ways that begin within what is covered, the one that goes farthest.
    let best = i;
    while (i < end && (ways.length === 0 || low[i]! <= covered)) {
      if (high[i]! > high[best]!) best = i;
      i++;
      if (ways.length === 0) break;
    }
    if (ways.length > 0 && high[best]! <= covered) continue;
    ways.push({ low: low[best]!, high: high[best]!, from: from[best]!, chord: chord[best]! });
    covered = high[best]!;
  }
  const round = ways.reduce((most, way) => Math.max(most, way.from.round), 0) + 1;
  return { knot, round, low: low[first]!, high: covered, ways };
}

function sortByLow({ count, low, high, chord, from }: Slot): void {
  for (let i = 1; i < count; i++) {
    for (let k = i; k > 0 && low[k]! < low[k - 1]!; k--) {
      [low[k], low[k - 1]] = [low[k - 1]!, low[k]!];
      [high[k], high[k - 1]] = [high[k - 1]!, high[k]!];
      [chord[k], chord[k - 1]] = [chord[k - 1]!, chord[k]!];
      [from[k], from[k - 1]] = [from[k - 1]!, from[k]!];
    }
  }
}

/**
 * Where `reach` finds nothing: all chains over the knots around `farthest`, whatever their number of arcs, from the states
 * of several rounds on. Returns them with what they lead to, farthest first; at the last knot of all each way by itself.
 */
export function sweep(track: Track, states: readonly Reached[], farthest: number, within: number): Reached[] {
  const at = new Map<number, Reached>();
  const atEnd: Reached[] = [];
  let first = farthest;
  for (const state of states) {
    const known = at.get(state.knot);
    if (!known || state.high - state.low > known.high - known.low) at.set(state.knot, state);
    first = Math.min(first, state.knot);
  }
  const final = track.count - 1;
  const last = Math.min(final, farthest + SWEEP_AHEAD);
  for (let j = first + 1; j <= last; j++) {
    let reached: Reached | undefined;
    for (let i = Math.max(first, j - SWEEP_SPAN); i < j; i++) {
      const from = at.get(i);
      if (!from || !directionsAt(track, from, j, within)) continue;
      const { low, high, chord } = arrival;
      const single = { knot: j, round: from.round + 1, low, high, ways: [{ low, high, from, chord }] };
      if (j === final) atEnd.push(single);
      else if (!reached || high - low > reached.high - reached.low) reached = single;
    }
    const known = at.get(j);
    if (reached && (!known || reached.high - reached.low > known.high - known.low)) at.set(j, reached);
  }
  return [...atEnd, ...[...at.values()].sort((p, q) => q.knot - p.knot)];
}

const arrival = { low: 0, high: 0, chord: 0 };

/** Whether an arc leads from a state to a knot; fills `arrival` with the directions it can have there. */
function directionsAt(track: Track, from: Reached, knot: number, within: number): boolean {
  if (!feasible(track, from.knot, knot, within)) return false;
  let chord = found.chord;
  if (from.high < Number.POSITIVE_INFINITY) chord = nearAngle(chord, (from.low + from.high) / 2);
  const low = Math.max(from.low, chord - found.high);
  const high = Math.min(from.high, chord - found.low);
  if (low > high) return false;
  arrival.low = 2 * chord - high;
  arrival.high = 2 * chord - low;
  arrival.chord = chord;
  return true;
}

/** The farthest states of two lists, the wider of two at one knot, farthest first. */
export function mergeStates(a: readonly Reached[], b: readonly Reached[]): Reached[] {
  if (b.length === 0 && a.length <= BEAM) return [...a];
  const all = [...a, ...b].sort((p, q) => q.knot - p.knot || q.high - q.low - (p.high - p.low));
  return all.filter((state, i) => i === 0 || state.knot !== all[i - 1]!.knot).slice(0, BEAM);
}

/** Directions tried on each side of a feasible one: as far as an end may turn an arc of the span off by this many tolerances. */
const SPREAD = 16;
/** Halvings that find the limits of the directions on each side. */
const SPREAD_STEPS = 5;

/**
 * Biarcs on from a state, with the directions they can have where they end: unlike an arc, a biarc leaves them free.
 * Knots are tried outwards; the first guess for a direction is the polyline's own, then turned as the one before was.
 */
export function spread(track: Track, state: Reached, tolerance: number): Reached[] {
  if (state.low === Number.NEGATIVE_INFINITY) return [];
  const { s, x, y, count } = track;
  const angle = (state.low + state.high) / 2;
  const from = knotAt(track, state.knot, angle);
  const reached: Reached[] = [];
  let turnedAside = 0;
  let misses = 0;
  let lastSpan = 1;
  for (let n = 1; state.knot + n < count && misses < MISSES; n = Math.max(n + 1, Math.floor(n * 1.12))) {
    const j = state.knot + n;
    const a = j - 1;
    const b = Math.min(j + 1, count - 1);
    const turn = b === j ? 0 : turnBetween(x[j]! - x[a]!, y[j]! - y[a]!, x[b]! - x[j]!, y[b]! - y[j]!);
    const own = nearAngle(Math.atan2(y[j]! - y[a]!, x[j]! - x[a]!) + turn / 2, angle);
    const to = knotAt(track, j, own);
    const follows = (theta: number): boolean => {
      to.theta = theta;
      return biarcFollows(s, from, to, tolerance, scratch);
    };
    const span = track.path[j]! - track.path[state.knot]!;
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
    reached.push({ knot: j, round: state.round + 2, low, high, ways: [way] });
  }
  return reached.slice(-BEAM).reverse();
}

const scratch: Biarc = { jointX: 0, jointY: 0, k0: 0, k1: 0 };

/** The angle plus the whole turns that bring it nearest to another. */
export function nearAngle(angle: number, to: number): number {
  return angle + 2 * Math.PI * Math.round((to - angle) / (2 * Math.PI));
}
