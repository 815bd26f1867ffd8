import type { Point } from '@inlaywright/geometry';
import { arcAbout, between, crossings, type PathSegment, reversed } from './beam-path-segments.ts';
import {
  type Chain,
  type ChainGraph,
  type Leg,
  leftOf,
  type Node,
  OUTSIDE,
  walked,
} from './compensate-chains.ts';
import type { Plan } from './compensate-plan.ts';
import { type Fill, isTightBackwards, isTightCorner, type Rolled, rollBall } from './easing-ball.ts';
import { type BallArc, crossedParts } from './easing-crossings.ts';

/**
 * Easing: a seam must nowhere bend more tightly than the beams on its two sides can follow. Both parts share the line
 * of the seam, so rounding it once makes one part yield exactly where the other stays filled.
 * Radii (docs/compensation.md derives them): where the part on the left bends round something of the part on the right,
 * at least beam radius + its own growth over the seam, and the other way round.
 */

/** A corner that was rounded: `part` lost it, `neighbour` stays filled there. Indices into the mosaic's parts. */
export interface Eased {
  readonly part: number;
  readonly neighbour: number;
  readonly at: Point;
  readonly depthMm: number;
}

/** A place the local rule cannot settle: `part` stays filled there beyond what one ball explains. */
export interface Unsettled {
  readonly part: number;
  readonly at: Point;
}

export interface EasingResult {
  readonly eased: readonly Eased[];
  readonly unsettled: readonly Unsettled[];
  /** Parts whose boundaries the rounding made cross. */
  readonly crossed: ReadonlySet<number>;
}

/** Rounding one side can leave the other side something to do: passes at most. Two settle all but crowded places. */
const PASSES = 4;

/** Rounds the graph's seams in place. */
export function easeGraph(graph: ChainGraph, plan: Plan): EasingResult {
  const eased: Eased[] = [];
  const unsettled: Unsettled[] = [];
  const balls: BallArc[] = [];
  graph.chains.forEach((chain, c) => {
    if (chain.seam >= 0) easeChain(chain, c, plan, eased, unsettled, balls);
  });
  for (const node of graph.nodes) easeNode(graph, node, plan, eased, unsettled, balls);
  return { eased, unsettled, crossed: crossedParts(graph, balls) };
}

const NOTHING_TIGHT: Rolled = { segments: [], fills: [], arcs: [], stuck: [] };

function easeChain(
  chain: Chain,
  index: number,
  plan: Plan,
  eased: Eased[],
  unsettled: Unsettled[],
  balls: BallArc[],
): void {
  const { bendA, bendB } = plan.seams[chain.seam]!;
  for (let pass = 0; pass < PASSES; pass++) {
    const first = rollBall(chain.segments, chain.closed, bendA);
    chain.segments = first.segments;
    const second = isTightBackwards(chain.segments, chain.closed, bendB)
      ? rollBall(reversed(chain.segments), chain.closed, bendB)
      : NOTHING_TIGHT;
    if (second.fills.length > 0) chain.segments = reversed(second.segments);
    const done = first.fills.length + second.fills.length === 0;
    for (const segment of [...first.arcs, ...second.arcs]) balls.push({ chain: index, segment });
    note(first.fills, chain.right, chain.left, eased);
    note(second.fills, chain.left, chain.right, eased);
    if (done || pass === PASSES - 1) {
      for (const at of first.stuck) unsettled.push({ part: chain.left, at });
      for (const at of second.stuck) unsettled.push({ part: chain.right, at });
      return;
    }
  }
}

function note(fills: readonly Fill[], part: number, neighbour: number, eased: Eased[]): void {
  for (const { at, depthMm } of fills) eased.push({ part, neighbour, at, depthMm });
}

/** A node at which one part has more than a half turn: its neighbours there end in a corner that it fills. */
function easeNode(
  graph: ChainGraph,
  node: Node,
  plan: Plan,
  eased: Eased[],
  unsettled: Unsettled[],
  balls: BallArc[],
): void {
  const { spokes } = node;
  for (let i = 0; i < spokes.length; i++) {
    const arriving = { chain: spokes[i]!.chain, forward: !spokes[i]!.leaves };
    const going = spokes[(i - 1 + spokes.length) % spokes.length]!;
    const leaving = { chain: going.chain, forward: going.leaves };
    const part = leftOf(graph.chains[arriving.chain]!, arriving.forward);
    if (part === OUTSIDE || leftOf(graph.chains[leaving.chain]!, leaving.forward) !== part) continue;
    const before = walked(graph.chains[arriving.chain]!, arriving.forward);
    const after = walked(graph.chains[leaving.chain]!, leaving.forward);
    if (!isTightCorner(before[before.length - 1]!, after[0]!)) continue;
    const radius = Math.max(bendOf(graph, plan, arriving), bendOf(graph, plan, leaving));
    if (!(radius > 0)) continue;
    if (!roundNode(graph, node, part, arriving, leaving, i, radius, eased, balls))
      unsettled.push({ part, at: node.at });
    return;
  }
}

function bendOf(graph: ChainGraph, plan: Plan, leg: Leg): number {
  const chain = graph.chains[leg.chain]!;
  if (chain.seam < 0) return 0;
  const seam = plan.seams[chain.seam]!;
  return leg.forward ? seam.bendA : seam.bendB;
}

/**
 * Rounds the corner of `part` at a node of three chains. The third chain, between its two neighbours, is cut where it
 * leaves the ball. A rim keeps its place: what the beam leaves outside the piece is no other part's loss.
 */
function roundNode(
  graph: ChainGraph,
  node: Node,
  part: number,
  arriving: Leg,
  leaving: Leg,
  spoke: number,
  radius: number,
  eased: Eased[],
  balls: BallArc[],
): boolean {
  if (node.spokes.length !== 3 || arriving.chain === leaving.chain) return false;
  const before = walked(graph.chains[arriving.chain]!, arriving.forward);
  const after = walked(graph.chains[leaving.chain]!, leaving.forward);
  const rolled = rollBall([...before, ...after], false, radius);
  // One ball at the node, and nothing else: other places of the two chains are settled already or reported.
  if (rolled.fills.length !== 1) return false;
  const ball = rolled.segments.findIndex(
    (segment) => !before.includes(segment) && segment.kind === 'arc' && segment.radius === radius,
  );
  const arc = rolled.segments[ball];
  if (arc?.kind !== 'arc') return false;
  const kept = ball;
  if (kept > before.length || rolled.segments.length - ball - 1 > after.length) return false;
  const third = node.spokes[(spoke + 1) % 3]!;
  const thirdChain = graph.chains[third.chain]!;
  const outward = walked(thirdChain, third.leaves);
  let cutAt = -1;
  let cut: Point | undefined;
  for (let i = 0; i < outward.length && !cut; i++) {
    cut = crossings(outward[i]!, arc)[0];
    cutAt = i;
  }
  if (!cut) return false;
  const head = rolled.segments.slice(0, ball);
  const tail = rolled.segments.slice(ball + 1);
  const inside = [...outward.slice(0, cutAt), between(outward[cutAt]!, outward[cutAt]!.from, cut)];
  const rest = [between(outward[cutAt]!, cut, outward[cutAt]!.to), ...outward.slice(cutAt + 1)];
  const arrivingRim = graph.chains[arriving.chain]!.seam < 0;
  const leavingRim = graph.chains[leaving.chain]!.seam < 0;
  const first = arcAbout(arc.centre, radius, arc.from, cut, 'right');
  const second = arcAbout(arc.centre, radius, cut, arc.to, 'right');
  const arrived = arrivingRim ? [...before, ...inside] : [...head, first];
  const left = leavingRim ? [...reversed(inside), ...after] : [second, ...tail];
  setWalked(graph.chains[arriving.chain]!, arriving.forward, arrived);
  setWalked(graph.chains[leaving.chain]!, leaving.forward, left);
  if (!arrivingRim) balls.push({ chain: arriving.chain, segment: first });
  if (!leavingRim) balls.push({ chain: leaving.chain, segment: second });
  setWalked(thirdChain, third.leaves, rest);
  node.at = cut;
  const { at, depthMm } = rolled.fills[0]!;
  for (const leg of [arriving, leaving]) {
    const neighbour = leftOf(graph.chains[leg.chain]!, !leg.forward);
    if (neighbour !== OUTSIDE) eased.push({ part: neighbour, neighbour: part, at, depthMm });
  }
  return true;
}

function setWalked(chain: Chain, forward: boolean, segments: PathSegment[]): void {
  chain.segments = forward ? segments : reversed(segments);
}
