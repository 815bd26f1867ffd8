import type { Point } from '@inlaywright/geometry';
import { WorkshopError } from '../errors.ts';
import type { Mosaic, Stretch } from '../mosaic/model.ts';
import { type PathSegment, reversed } from './beam-path-segments.ts';
import type { Plan } from './compensate-plan.ts';
import { fittedStretch } from './compensate-stretch.ts';

/** Outside every part: the air round the piece or in a piercing. */
export const OUTSIDE = -1;

/** A stretch of seam or rim as lines and arcs. Both parts of a seam share it, so what happens to it happens to both. */
export interface Chain {
  /** Index of the part on either side; OUTSIDE on the right of a rim. */
  readonly left: number;
  readonly right: number;
  /** Index of the seam, -1 for a rim. */
  readonly seam: number;
  readonly closed: boolean;
  /** Nodes at its ends, -1 when closed. */
  readonly start: number;
  readonly end: number;
  segments: readonly PathSegment[];
}

/** A chain's end at a node, with the direction in which the chain leaves the node. */
export interface Spoke {
  readonly chain: number;
  readonly leaves: boolean;
  readonly angle: number;
}

/** Where chains meet: their spokes counterclockwise. */
export interface Node {
  at: Point;
  readonly spokes: readonly Spoke[];
}

export interface ChainGraph {
  readonly chains: readonly Chain[];
  readonly nodes: readonly Node[];
}

/** A chain walked with a given part on its left. */
export interface Leg {
  readonly chain: number;
  readonly forward: boolean;
}

/** The stretches of the mosaic as chains of lines and arcs, joined at their ends. */
export function chainGraph(mosaic: Mosaic, plan: Plan): ChainGraph {
  const chains: Chain[] = [];
  const places: { at: Point; spokes: Spoke[] }[] = [];
  const known = new Map<number, Map<number, number>>();
  const nodeAt = (x: number, y: number): number => {
    let column = known.get(x);
    if (!column) {
      column = new Map();
      known.set(x, column);
    }
    let node = column.get(y);
    if (node === undefined) {
      node = places.length;
      column.set(y, node);
      places.push({ at: { x, y }, spokes: [] });
    }
    return node;
  };
  const add = (stretch: Stretch, left: number, right: number, seam: number): void => {
    const { points, closed } = stretch;
    const n = points.length;
    const start = closed ? -1 : nodeAt(points[0]!, points[1]!);
    const end = closed ? -1 : nodeAt(points[n - 2]!, points[n - 1]!);
    const chain = chains.length;
    chains.push({ left, right, seam, closed, start, end, segments: fittedStretch(stretch) });
    if (closed) return;
    const first = Math.atan2(points[3]! - points[1]!, points[2]! - points[0]!);
    const last = Math.atan2(points[n - 3]! - points[n - 1]!, points[n - 4]! - points[n - 2]!);
    places[start]!.spokes.push({ chain, leaves: true, angle: first });
    places[end]!.spokes.push({ chain, leaves: false, angle: last });
  };
  mosaic.seams.forEach((seam, s) => {
    for (const stretch of seam.stretches)
      add(stretch, plan.indexOf.get(seam.a)!, plan.indexOf.get(seam.b)!, s);
  });
  for (const rim of mosaic.rims) {
    for (const stretch of rim.stretches) add(stretch, plan.indexOf.get(rim.part)!, OUTSIDE, -1);
  }
  const nodes = places.map(({ at, spokes }) => ({ at, spokes: spokes.sort((p, q) => p.angle - q.angle) }));
  return { chains, nodes };
}

/** The part on the left when the chain is walked that way. */
export function leftOf(chain: Chain, forward: boolean): number {
  return forward ? chain.left : chain.right;
}

export function walked(chain: Chain, forward: boolean): readonly PathSegment[] {
  return forward ? chain.segments : reversed(chain.segments);
}

export function endNode(chain: Chain, forward: boolean): number {
  return forward ? chain.end : chain.start;
}

/** Index among a node's spokes of the end at which a leg arrives. */
export function arrivingSpoke(graph: ChainGraph, leg: Leg): number {
  const node = graph.nodes[endNode(graph.chains[leg.chain]!, leg.forward)]!;
  return node.spokes.findIndex((spoke) => spoke.chain === leg.chain && spoke.leaves !== leg.forward);
}

/** The closed loops of legs with the part on their left: its outer boundary and its holes. */
export function loopsOf(graph: ChainGraph, part: number, own: readonly Leg[]): Leg[][] {
  const loops: Leg[][] = [];
  const taken = new Set<number>();
  const keyOf = (leg: Leg): number => 2 * leg.chain + (leg.forward ? 1 : 0);
  for (const first of own) {
    if (taken.has(keyOf(first))) continue;
    const loop: Leg[] = [];
    let leg = first;
    do {
      taken.add(keyOf(leg));
      loop.push(leg);
      if (graph.chains[leg.chain]!.closed) break;
      leg = nextLeg(graph, part, leg);
    } while (keyOf(leg) !== keyOf(first) && !taken.has(keyOf(leg)));
    if (!graph.chains[leg.chain]!.closed && keyOf(leg) !== keyOf(first)) throw broken(graph, part, leg);
    loops.push(loop);
  }
  return loops;
}

/**
 * The part's sector at a node lies clockwise of the leg that arrives, up to the leg that goes on. A boundary that only
 * passes through the node has no spoke there, so the next spoke with the part on the proper side is taken.
 */
function nextLeg(graph: ChainGraph, part: number, leg: Leg): Leg {
  const { spokes } = graph.nodes[endNode(graph.chains[leg.chain]!, leg.forward)]!;
  const arrival = arrivingSpoke(graph, leg);
  for (let turned = 1; turned <= spokes.length; turned++) {
    const { chain, leaves } = spokes[(arrival - turned + spokes.length) % spokes.length]!;
    if (leftOf(graph.chains[chain]!, leaves) === part) return { chain, forward: leaves };
  }
  throw broken(graph, part, leg);
}

function broken(graph: ChainGraph, part: number, leg: Leg): WorkshopError {
  const { at } = graph.nodes[endNode(graph.chains[leg.chain]!, leg.forward)]!;
  return new WorkshopError(
    'mosaic-internal',
    `The boundary of part ${part + 1} does not go on at (${at.x.toFixed(3)}, ${at.y.toFixed(3)}): the seams and rims that meet there do not surround it.`,
    { hint: 'This is a fault of the program. Please report it with the piece file.', details: { part, at } },
  );
}

/** Every part's legs, by part. */
export function legsByPart(graph: ChainGraph, parts: number): Leg[][] {
  const legs: Leg[][] = Array.from({ length: parts }, () => []);
  graph.chains.forEach(({ left, right }, chain) => {
    legs[left]!.push({ chain, forward: true });
    if (right !== OUTSIDE) legs[right]!.push({ chain, forward: false });
  });
  return legs;
}

/** Parts whose boundary passes a node more than once: two of their holes, or a hole and the rim, touch in a point. */
export function pinchedParts({ chains, nodes }: ChainGraph): Set<number> {
  const pinched = new Set<number>();
  for (const { spokes } of nodes) {
    if (spokes.length < 4) continue;
    const seen = new Set<number>();
    for (const { chain, leaves } of spokes) {
      const part = leftOf(chains[chain]!, leaves);
      if (part === OUTSIDE) continue;
      if (seen.has(part)) pinched.add(part);
      seen.add(part);
    }
  }
  return pinched;
}
