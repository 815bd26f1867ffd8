/**
 * Which segments keep to themselves: nothing but the one before and the one after on the same curve comes into the box
 * around any of their pieces. One search of the tree a piece, from its own leaf upwards.
 */
import type { Locator } from './locate.ts';
import { type Pieces, setPieceBox } from './locate-pieces.ts';

const box = { minX: 0, minY: 0, maxX: 0, maxY: 0 };
const other = { minX: 0, minY: 0, maxX: 0, maxY: 0 };
const stack = new Int32Array(64);

/**
 * One entry a segment, curve by curve: 1 where no foreign segment's box comes within `margin` of its own.
 * @param counts number of segments of each curve of the locator
 */
export function loneSegments(locator: Locator, counts: readonly number[], margin: number): Uint8Array {
  const firsts: number[] = [];
  let total = 0;
  for (const count of counts) {
    firsts.push(total);
    total += count;
  }
  const lone = new Uint8Array(total).fill(1);
  const { pieces } = locator;
  for (let i = 0; i < pieces.count; i++) {
    const curve = pieces.ids[2 * i]!;
    const at = firsts[curve]! + pieces.ids[2 * i + 1]!;
    if (lone[at] === 1 && hasForeigner(locator, i, counts[curve]!, margin)) lone[at] = 0;
  }
  return lone;
}

function hasForeigner(locator: Locator, piece: number, count: number, margin: number): boolean {
  const { pieces, tree } = locator;
  const { boxes, firstLeaf, leafSize } = tree;
  setPieceBox(pieces, piece, box);
  const minX = box.minX - margin;
  const minY = box.minY - margin;
  const maxX = box.maxX + margin;
  const maxY = box.maxY + margin;
  let climb = firstLeaf + Math.floor(piece / leafSize);
  let top = 1;
  stack[0] = climb;
  for (;;) {
    while (top > 0) {
      const node = stack[--top]!;
      const at = 4 * node;
      if (boxes[at]! > maxX || boxes[at + 1]! > maxY || boxes[at + 2]! < minX || boxes[at + 3]! < minY)
        continue;
      if (node < firstLeaf) {
        stack[top++] = 2 * node;
        stack[top++] = 2 * node + 1;
        continue;
      }
      const first = (node - firstLeaf) * leafSize;
      const end = Math.min(first + leafSize, pieces.count);
      for (let i = first; i < end; i++) {
        if (isOwn(pieces, piece, i, count)) continue;
        setPieceBox(pieces, i, other);
        if (other.minX <= maxX && other.maxX >= minX && other.minY <= maxY && other.maxY >= minY) return true;
      }
    }
    if (climb === 1) return false;
    stack[top++] = climb ^ 1;
    climb >>= 1;
  }
}

/** Pieces of one segment, or of two that follow each other on their curve. */
function isOwn({ ids }: Pieces, a: number, b: number, count: number): boolean {
  if (ids[2 * a] !== ids[2 * b]) return false;
  const steps = Math.abs(ids[2 * a + 1]! - ids[2 * b + 1]!);
  return steps <= 1 || steps === count - 1;
}
