/**
 * Which area shows in each face: areas by their fill rule, what is on top wins, piercings go through everything, and
 * nothing shows outside the outline.
 *
 * Method: the winding numbers of all areas at the outside of an island come from the edges left of it; from there a
 * depth-first walk over the island's faces changes them edge by edge and takes the changes back on the way home. Only
 * one set of winding numbers exists, whatever the number of faces. All integers: exact.
 */
import type { FaceGraph } from './face-graph.ts';

/** A face outside the outline. */
export const OUTSIDE = -1;
/** A face inside the outline that a piercing takes away. */
export const PIERCED = -2;

export interface AreaRule {
  readonly evenOdd: boolean;
  readonly piercing: boolean;
  /** Belongs to the outline: the lowest solid area, and those that extend it. */
  readonly outline: boolean;
}

export interface Visible {
  /** Per walk: the index of the area that shows on its left, OUTSIDE or PIERCED. */
  readonly label: Int32Array;
  /** Per area, 1 for piercings that open something. */
  readonly opens: Uint8Array;
}

export function visibleAreas(graph: FaceGraph, rules: readonly AreaRule[]): Visible {
  const { edges, next, walk, islands } = graph;
  const { turns, turnArea, turnCount, turnNext, from, to, y } = edges;
  const label = new Int32Array(graph.walkCount);
  const done = new Uint8Array(graph.walkCount);
  const winding = new Int32Array(rules.length);
  const covered = new Uint32Array((rules.length + 31) >> 5);
  const opens = new Uint8Array(rules.length);
  const piercing = rules.flatMap((rule, i) => (rule.piercing ? [i] : []));
  let piercings = 0;
  let outlines = 0;

  const stackHome: number[] = [];
  const stackHere: number[] = [];
  for (const island of islands) {
    winding.fill(0);
    covered.fill(0);
    piercings = 0;
    outlines = 0;
    for (const e of island.leftOf) {
      // Coming from the far left, an upward edge is crossed from its left to its right.
      cross(e, y[from[e]!]! < y[to[e]!]! ? -1 : 1);
    }
    const first = graph.walkStart[island.outerWalk]!;
    label[island.outerWalk] = showing();
    done[island.outerWalk] = 1;
    stackHome.push(first);
    stackHere.push(first);
    while (stackHome.length > 0) {
      const top = stackHome.length - 1;
      const half = stackHere[top]!;
      if (half === -1) {
        const home = stackHome[top]!;
        stackHome.pop();
        stackHere.pop();
        // Every frame but the first was entered through the twin of its first half-edge.
        if (top > 0) cross(home >> 1, home & 1 ? 1 : -1);
        continue;
      }
      const after = next[half]!;
      stackHere[top] = after === stackHome[top] ? -1 : after;
      const twin = half ^ 1;
      const beyond = walk[twin]!;
      if (done[beyond]) continue;
      cross(half >> 1, half & 1 ? 1 : -1);
      label[beyond] = showing();
      done[beyond] = 1;
      stackHome.push(twin);
      stackHere.push(twin);
    }
  }
  return { label, opens };

  /** Steps across edge e: from its left to its right with sign -1, back with +1. */
  function cross(e: number, sign: number): void {
    for (let i = turns[e]!; i !== -1; i = turnNext[i]!) {
      const area = turnArea[i]!;
      const rule = rules[area]!;
      const before = winding[area]!;
      const now = before + sign * turnCount[i]!;
      winding[area] = now;
      const was = rule.evenOdd ? (before & 1) !== 0 : before !== 0;
      const is = rule.evenOdd ? (now & 1) !== 0 : now !== 0;
      if (was === is) continue;
      if (rule.piercing) {
        piercings += is ? 1 : -1;
      } else {
        covered[area >> 5]! ^= 1 << (area & 31);
        if (rule.outline) outlines += is ? 1 : -1;
      }
    }
  }

  function showing(): number {
    if (outlines === 0) return OUTSIDE;
    if (piercings > 0) {
      for (const i of piercing) {
        if (rules[i]!.evenOdd ? (winding[i]! & 1) !== 0 : winding[i] !== 0) opens[i] = 1;
      }
      return PIERCED;
    }
    let word = covered.length - 1;
    while (covered[word] === 0) word--;
    return 32 * word + 31 - Math.clz32(covered[word]!);
  }
}
