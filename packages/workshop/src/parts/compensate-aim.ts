import type { Point } from '@inlaywright/geometry';
import { join, parallel } from './beam-path-parallel.ts';
import {
  arcAbout,
  between,
  crossings,
  endNormal,
  lengthOf,
  type PathSegment,
  reversed,
  SAME_POINT_MM,
  startNormal,
  turnBetween,
} from './beam-path-segments.ts';
import {
  arrivingSpoke,
  type ChainGraph,
  endNode,
  type Leg,
  type Spoke,
  walked,
} from './compensate-chains.ts';
import type { Plan } from './compensate-plan.ts';

/**
 * The solid that a part aims at: its eased boundary, moved over each seam by what the plan asks, rims left where they
 * are. Where growth ends at a node the boundary steps straight to the node, so that the growth is what lies square to
 * the seam and nothing beyond its ends; where the neighbour's corner is sharper than square, the growth is cut at the
 * neighbour's own boundary. Where a part draws back it does so from the node too, and its own rim is cut there.
 */

/** One closed boundary of a part's aim, the part on its left. Null where it bends more tightly than the growth. */
export function aimRing(graph: ChainGraph, plan: Plan, loop: readonly Leg[]): PathSegment[] | null {
  const runs: PathSegment[][] = [];
  for (const leg of loop) {
    const chain = graph.chains[leg.chain]!;
    const run = parallel(walked(chain, leg.forward), chain.closed, growthOf(graph, plan, leg));
    if (!run) return null;
    runs.push(run === chain.segments ? [...run] : run);
  }
  if (graph.chains[loop[0]!.chain]!.closed) return runs[0]!;
  const links = loop.map((leg, i) => {
    const j = (i + 1) % loop.length;
    const next = loop[j]!;
    return link(
      graph,
      leg,
      next,
      runs[i]!,
      runs[j]!,
      growthOf(graph, plan, leg),
      growthOf(graph, plan, next),
    );
  });
  const ring: PathSegment[] = [];
  runs.forEach((run, i) => {
    for (const segment of run) if (lengthOf(segment) > SAME_POINT_MM) ring.push(segment);
    for (const segment of links[i]!) if (lengthOf(segment) > SAME_POINT_MM) ring.push(segment);
  });
  return ring;
}

function growthOf(graph: ChainGraph, plan: Plan, leg: Leg): number {
  const { seam } = graph.chains[leg.chain]!;
  if (seam < 0) return 0;
  return leg.forward ? plan.seams[seam]!.growA : plan.seams[seam]!.growB;
}

/** What joins a moved run to the next one at their node. May cut the end of the one and the start of the other. */
function link(
  graph: ChainGraph,
  leg: Leg,
  next: Leg,
  run: PathSegment[],
  nextRun: PathSegment[],
  g1: number,
  g2: number,
): PathSegment[] {
  if (g1 === 0 && g2 === 0) return [];
  const node = graph.nodes[endNode(graph.chains[leg.chain]!, leg.forward)]!;
  const count = node.spokes.length;
  // With three chains a growth over both neighbours is one; with more there is something else between the two.
  if (g1 === g2 && (count === 3 || g1 < 0)) return joined(run, nextRun, node.at, g1);
  if (g1 * g2 > 0) return stepped(run, nextRun, node.at, g1, g2);
  const out: PathSegment[] = [];
  if (g1 > 0) {
    // Counterclockwise of the arriving leg lies its neighbour; the neighbour's other boundary is the next spoke.
    const limit = outward(graph, node.spokes[(arrivingSpoke(graph, leg) + 1) % count]!);
    out.push(...stepAlong(run, limit, node.at, g1));
  } else if (g1 < 0) {
    const capped = g2 === 0 ? [...run, capAbout(node.at, run[run.length - 1]!.to, 'right')] : [];
    const met = meeting(capped, nextRun, g1);
    if (met) {
      cutEnd(capped, met.run, met.at);
      run.splice(0, run.length, ...capped);
      cutStart(nextRun, met.limit, met.at);
      return [];
    }
    out.push({ kind: 'line', from: run[run.length - 1]!.to, to: node.at });
  }
  if (g2 === 0) return out;
  const back = reversed(nextRun);
  let step: PathSegment[];
  if (g2 > 0) {
    const departure = node.spokes.findIndex(
      (spoke) => spoke.chain === next.chain && spoke.leaves === next.forward,
    );
    step = stepAlong(back, outward(graph, node.spokes[(departure - 1 + count) % count]!), node.at, g2);
  } else {
    const capped = g1 === 0 ? [...back, capAbout(node.at, back[back.length - 1]!.to, 'left')] : [];
    const met = meeting(capped, reversed(run), g2);
    if (met) {
      cutEnd(capped, met.run, met.at);
      cutEnd(run, run.length - 1 - met.limit, met.at);
      back.splice(0, back.length, ...capped);
      step = [];
    } else step = [{ kind: 'line', from: back[back.length - 1]!.to, to: node.at }];
  }
  nextRun.splice(0, nextRun.length, ...reversed(back));
  out.push(...reversed(step));
  return out;
}

/** Both sides move alike: one growth, joined as at any corner. */
function joined(run: PathSegment[], nextRun: PathSegment[], at: Point, growth: number): PathSegment[] {
  const turn = turnBetween(endNormal(run[run.length - 1]!), startNormal(nextRun[0]!));
  // On the inner side of the corner the crossing may lie beyond the last and first segments.
  if (turn * growth < 0 && cutWhereMeeting(run, nextRun, growth)) return [];
  // Moved segments keep their directions, so each can stand for its source.
  const last = { segment: run[run.length - 1]!, source: run[run.length - 1]! };
  const next = { segment: nextRun[0]!, source: nextRun[0]! };
  const joint = join(last, next, growth, at);
  run[run.length - 1] = last.segment;
  nextRun[0] = next.segment;
  return joint ? [joint] : [];
}

/** Both sides move the same way, but not alike: the lesser goes round the corner, the greater ends square to its seam. */
function stepped(
  run: PathSegment[],
  nextRun: PathSegment[],
  at: Point,
  g1: number,
  g2: number,
): PathSegment[] {
  const last = run[run.length - 1]!;
  const first = nextRun[0]!;
  const n1 = endNormal(last);
  const n2 = startNormal(first);
  const g = Math.abs(g1) < Math.abs(g2) ? g1 : g2;
  const turn = turnBetween(n1, n2);
  if (turn * g > 0) {
    const from = { x: at.x + g * n1.x, y: at.y + g * n1.y };
    const to = { x: at.x + g * n2.x, y: at.y + g * n2.y };
    return [
      { kind: 'line', from: last.to, to: from },
      arcAbout(at, Math.abs(g), from, to, turn > 0 ? 'left' : 'right'),
      { kind: 'line', from: to, to: first.from },
    ];
  }
  if (cutWhereMeeting(run, nextRun, g1 === g ? g2 : g1)) return [];
  return [{ kind: 'line', from: last.to, to: first.from }];
}

function cutWhereMeeting(run: PathSegment[], nextRun: PathSegment[], growth: number): boolean {
  const met = meeting(run, nextRun, growth);
  if (!met) return false;
  cutEnd(run, met.run, met.at);
  cutStart(nextRun, met.limit, met.at);
  return true;
}

/** Half a circle about the node from the end of a run that drew back: what stays equally far from the neighbour. */
function capAbout(at: Point, from: Point, turn: 'left' | 'right'): PathSegment {
  const to = { x: 2 * at.x - from.x, y: 2 * at.y - from.y };
  return arcAbout(at, Math.hypot(from.x - at.x, from.y - at.y), from, to, turn);
}

/** From the end of a moved run to its node: along the limit where the run crosses it, else square to the seam. */
function stepAlong(
  run: PathSegment[],
  limit: readonly PathSegment[],
  at: Point,
  growth: number,
): PathSegment[] {
  const met = meeting(run, limit, growth);
  if (!met) return [{ kind: 'line', from: run[run.length - 1]!.to, to: at }];
  cutEnd(run, met.run, met.at);
  const crossed = limit[met.limit]!;
  return reversed([...limit.slice(0, met.limit), between(crossed, crossed.from, met.at)]);
}

/** How many times the growth from its node a moved run may still meet the limit: a wedge of 3 degrees. */
const MEETING_REACH = 20;

/** The first crossing of a run, walked back from its end, with a limit, walked out from its start. */
function meeting(
  run: readonly PathSegment[],
  limit: readonly PathSegment[],
  growth: number,
): { run: number; limit: number; at: Point } | null {
  const reach = MEETING_REACH * Math.abs(growth);
  let walkedBack = 0;
  for (let i = run.length - 1; i >= 0 && walkedBack < reach; i--) {
    let best: { run: number; limit: number; at: Point } | null = null;
    let nearest = Number.POSITIVE_INFINITY;
    let walkedOut = 0;
    for (let j = 0; j < limit.length && walkedOut < reach; j++) {
      for (const at of crossings(run[i]!, limit[j]!)) {
        const d = Math.hypot(at.x - run[i]!.to.x, at.y - run[i]!.to.y);
        if (d < nearest) {
          nearest = d;
          best = { run: i, limit: j, at };
        }
      }
      walkedOut += lengthOf(limit[j]!);
    }
    if (best && walkedBack + nearest < reach) return best;
    walkedBack += lengthOf(run[i]!);
  }
  return null;
}

function cutEnd(run: PathSegment[], index: number, at: Point): void {
  run.splice(index, run.length, between(run[index]!, run[index]!.from, at));
}

function cutStart(run: PathSegment[], index: number, at: Point): void {
  run.splice(0, index + 1, between(run[index]!, at, run[index]!.to));
}

/** A node's chain walked away from the node. */
function outward(graph: ChainGraph, spoke: Spoke): readonly PathSegment[] {
  return walked(graph.chains[spoke.chain]!, spoke.leaves);
}
