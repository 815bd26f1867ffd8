/**
 * Lists of turns: how often each area's boundary runs along an edge, from `from` to `to`. Linked lists in flat arrays;
 * an edge holds the number of its list's first entry, -1 is no entry.
 */
import { grownInts } from './vertices.ts';

export interface Turns {
  area: Int32Array;
  count: Int32Array;
  next: Int32Array;
  length: number;
}

/** One entry per edge as drawn: edge i, of area `owner[i]`, runs once. */
export function turnsOfRings(owner: Int32Array, count: number): Turns {
  return {
    area: owner.slice(0, count),
    count: new Int32Array(count).fill(1),
    next: new Int32Array(count).fill(-1),
    length: count,
  };
}

export function pushTurn(turns: Turns, area: number, count: number, next: number): number {
  const entry = turns.length++;
  if (entry === turns.area.length) {
    const length = 2 * entry + 64;
    turns.area = grownInts(turns.area, length);
    turns.count = grownInts(turns.count, length);
    turns.next = grownInts(turns.next, length);
  }
  turns.area[entry] = area;
  turns.count[entry] = count;
  turns.next[entry] = next;
  return entry;
}

/** A copy of a list, times 1 or -1. */
export function copyTurns(turns: Turns, first: number, sign: number): number {
  let copy = -1;
  for (let i = first; i !== -1; i = turns.next[i]!)
    copy = pushTurn(turns, turns.area[i]!, sign * turns.count[i]!, copy);
  return copy;
}

/** Adds `sign` times the list `added` to the list `first`, which is changed; returns its new first entry. */
export function addTurns(turns: Turns, first: number, added: number, sign: number): number {
  let head = first;
  for (let i = added; i !== -1; i = turns.next[i]!) {
    let own = head;
    while (own !== -1 && turns.area[own] !== turns.area[i]) own = turns.next[own]!;
    if (own === -1) head = pushTurn(turns, turns.area[i]!, sign * turns.count[i]!, head);
    else turns.count[own]! += sign * turns.count[i]!;
  }
  return head;
}

/** Takes the entries that cancelled out of a list; returns its new first entry. */
export function withoutZeros(turns: Turns, first: number): number {
  let head = -1;
  for (let i = first; i !== -1; ) {
    const after = turns.next[i]!;
    if (turns.count[i] !== 0) {
      turns.next[i] = head;
      head = i;
    }
    i = after;
  }
  return head;
}
