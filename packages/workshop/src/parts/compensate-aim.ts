import { type Bounds, distance, joinBounds, type Point, segmentBounds } from '@inlaywright/geometry';
import { parallel } from './beam-path-parallel.ts';
import {
  alongTo,
  arcAbout,
  between,
  boxesMeet,
  crossings,
  endNormal,
  lengthOf,
  type PathSegment,
  reversed,
  SAME_POINT_MM,
  startNormal,
  turnInto,
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

/** Crossings this near the end of a run are its own cut, mm. */
const AT_END_MM = 1e-5;

/**
 * The solid that a part aims at: its eased boundary, moved over each seam by what the plan asks, rims left where they
 * are. Where growth ends at a node the boundary steps straight to the node, so that the growth is what lies square to
 * the seam and nothing beyond its ends; where the neighbour's corner is sharper than square, the growth is cut at the
 * neighbour's own boundary. Where a part draws back it does so from the node too, and its own rim is cut there.
 */

/** One closed boundary of a part's aim, the part on its left. Null where it bends more tightly than the growth. */
export function aimRing(
  graph: ChainGraph,
  plan: Plan,
  rims: readonly RimPiece[],
  loop: readonly Leg[],
): PathSegment[] | null {
  const groups = groupsOf(graph, plan, loop);
  if (groups.length === 1 && groups[0]!.isWhole) {
    const { segments, growth } = groups[0]!;
    const run = parallel(segments, true, growth);
    return run && withoutPoints(run);
  }
  const runs: PathSegment[][] = [];
  for (const { segments, growth } of groups) {
    const run = parallel(segments, false, growth);
    if (!run) return null;
    runs.push(run === segments ? [...run] : run);
  }
  const links = groups.map((group, i) => {
    const j = (i + 1) % groups.length;
    return link(graph, group, groups[j]!, runs[i]!, runs[j]!);
  });
  // A growth may be wider than what its neighbour has left between a node and a rim: not for chains to tell.
  const isOut = groups.some(({ growth }, i) => {
    if (growth > 0 && crossesRim(rims, runs[i]!)) return true;
    if (growth <= 0 && groups[(i + 1) % groups.length]!.growth <= 0) return false;
    return links[i]!.some((step) => step.kind === 'line' && crossesRim(rims, [step]));
  });
  return isOut ? null : withoutPoints(runs.flatMap((run, i) => [...run, ...links[i]!]));
}

/** A segment of a rim with its box. */
export interface RimPiece {
  readonly segment: PathSegment;
  readonly box: Bounds;
}

/** Everything that no growth may cross. */
export function rimPieces({ chains }: ChainGraph): RimPiece[] {
  const rims = chains.filter(({ seam }) => seam < 0).flatMap(({ segments }) => segments);
  return rims.map((segment) => ({ segment, box: segmentBounds(segment) }));
}

/** Whether a run crosses a rim other than with its ends, which were cut there. */
function crossesRim(rims: readonly RimPiece[], run: readonly PathSegment[]): boolean {
  const ends = [run[0]!.from, run[run.length - 1]!.to];
  const boxes = run.map(segmentBounds);
  const box = boxes.reduce(joinBounds);
  return rims.some((rim) => {
    if (!boxesMeet(box, rim.box)) return false;
    return run.some((segment, i) => {
      if (!boxesMeet(boxes[i]!, rim.box)) return false;
      const crossed = crossings(segment, rim.segment);
      return crossed.some((p) => ends.every((end) => distance(p, end) > AT_END_MM));
    });
  });
}

function withoutPoints(ring: readonly PathSegment[]): PathSegment[] {
  return ring.filter((segment) => lengthOf(segment) > SAME_POINT_MM);
}

/** Legs that move alike and go on into one another move as one run. */
interface Group {
  readonly growth: number;
  readonly first: Leg;
  readonly last: Leg;
  readonly segments: readonly PathSegment[];
  /** The group is the whole loop. */
  readonly isWhole: boolean;
}

function groupsOf(graph: ChainGraph, plan: Plan, loop: readonly Leg[]): Group[] {
  const count = loop.length;
  const goesOn = loop.map((leg, i) => {
    const growth = growthOf(graph, plan, leg);
    if (graph.chains[leg.chain]!.closed) return true;
    if (growth !== growthOf(graph, plan, loop[(i + 1) % count]!)) return false;
    // With more than three chains there is something else between the two neighbours a growth would cross.
    return growth <= 0 || graph.nodes[endNode(graph.chains[leg.chain]!, leg.forward)]!.spokes.length === 3;
  });
  const start = (goesOn.lastIndexOf(false) + 1) % count;
  const groups: Group[] = [];
  for (let done = 0; done < count; ) {
    let size = 1;
    while (done + size < count && goesOn[(start + done + size - 1) % count]) size++;
    const legs = Array.from({ length: size }, (_, k) => loop[(start + done + k) % count]!);
    groups.push({
      growth: growthOf(graph, plan, legs[0]!),
      first: legs[0]!,
      last: legs[size - 1]!,
      segments: legs.flatMap((leg) => walked(graph.chains[leg.chain]!, leg.forward)),
      isWhole: size === count && goesOn.every(Boolean),
    });
    done += size;
  }
  return groups;
}

function growthOf(graph: ChainGraph, plan: Plan, leg: Leg): number {
  const { seam } = graph.chains[leg.chain]!;
  if (seam < 0) return 0;
  return leg.forward ? plan.seams[seam]!.growA : plan.seams[seam]!.growB;
}

/** What joins a moved run to the next one at their node. May cut the end of the one and the start of the other. */
function link(
  graph: ChainGraph,
  group: Group,
  nextGroup: Group,
  run: PathSegment[],
  nextRun: PathSegment[],
): PathSegment[] {
  const g1 = group.growth;
  const g2 = nextGroup.growth;
  if (g1 === 0 && g2 === 0) return [];
  const leg = group.last;
  const next = nextGroup.first;
  const node = graph.nodes[endNode(graph.chains[leg.chain]!, leg.forward)]!;
  const count = node.spokes.length;
  if (g1 * g2 > 0 && (count === 3 || g1 < 0)) return stepped(run, nextRun, node.at, g1, g2);
  const out: PathSegment[] = [];
  if (g1 > 0) {
    // Counterclockwise of the arriving leg lies its neighbour; the neighbour's other boundary is the next spoke.
    const limit = outward(graph, node.spokes[(arrivingSpoke(graph, leg) + 1) % count]!);
    out.push(...stepAlong(run, limit, node.at));
  } else if (g1 < 0) {
    const capped = g2 === 0 ? [...run, capAbout(node.at, run[run.length - 1]!.to, 'right')] : [];
    const met = meeting(capped, nextRun);
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
    step = stepAlong(back, outward(graph, node.spokes[(departure - 1 + count) % count]!), node.at);
  } else {
    const capped = g1 === 0 ? [...back, capAbout(node.at, back[back.length - 1]!.to, 'left')] : [];
    const met = meeting(capped, reversed(run));
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
  const turn = turnInto(last, first);
  if (turn * g > 0) {
    const from = { x: at.x + g * n1.x, y: at.y + g * n1.y };
    const to = { x: at.x + g * n2.x, y: at.y + g * n2.y };
    return [
      { kind: 'line', from: last.to, to: from },
      arcAbout(at, Math.abs(g), from, to, turn > 0 ? 'left' : 'right'),
      { kind: 'line', from: to, to: first.from },
    ];
  }
  if (cutWhereMeeting(run, nextRun)) return [];
  return [{ kind: 'line', from: last.to, to: first.from }];
}

function cutWhereMeeting(run: PathSegment[], nextRun: PathSegment[]): boolean {
  const met = meeting(run, nextRun);
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
function stepAlong(run: PathSegment[], limit: readonly PathSegment[], at: Point): PathSegment[] {
  const met = meeting(run, limit);
  if (!met) return [{ kind: 'line', from: run[run.length - 1]!.to, to: at }];
  cutEnd(run, met.run, met.at);
  const crossed = limit[met.limit]!;
  return reversed([...limit.slice(0, met.limit), between(crossed, crossed.from, met.at)]);
}

/**
 * How far from its node, mm, a moved run is followed to where it meets the limit. Two tangent arcs of 20 mm and 3 mm
 * radius part by an allowance of 0.05 mm after 0.6 mm.
 */
const MEETING_REACH_MM = 3;

/** The first crossing of a run, walked back from its end, with a limit, walked out from its start. */
function meeting(
  run: readonly PathSegment[],
  limit: readonly PathSegment[],
): { run: number; limit: number; at: Point } | null {
  // Beyond its middle a run belongs to the node at its other end.
  const reach = Math.min(MEETING_REACH_MM, run.reduce((sum, segment) => sum + lengthOf(segment), 0) / 2);
  let walkedBack = 0;
  for (let i = run.length - 1; i >= 0 && walkedBack < reach; i--) {
    let best: { run: number; limit: number; at: Point } | null = null;
    const length = lengthOf(run[i]!);
    let nearest = reach - walkedBack;
    let walkedOut = 0;
    for (let j = 0; j < limit.length && walkedOut < reach; j++) {
      for (const at of crossings(run[i]!, limit[j]!)) {
        const back = length - alongTo(run[i]!, at);
        if (back >= nearest || walkedOut + alongTo(limit[j]!, at) >= reach) continue;
        nearest = back;
        best = { run: i, limit: j, at };
      }
      walkedOut += lengthOf(limit[j]!);
    }
    if (best) return best;
    walkedBack += length;
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
