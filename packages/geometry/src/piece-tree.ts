/**
 * A static binary tree of boxes over items in their given order, stored as a heap: node 1 is the root, node n has the
 * children 2n and 2n + 1. Neighbours along a curve are neighbours in the plane, so the order of the curves is already
 * a good one and nothing needs sorting.
 */
export interface PieceTree {
  /** minX, minY, maxX, maxY for each node; entry 0 is unused, nodes without items hold the empty box. */
  readonly boxes: Float64Array;
  readonly firstLeaf: number;
  readonly leafSize: number;
  readonly count: number;
}

interface OpenBox {
  minX: number;
  minY: number;
  maxX: number;
  maxY: number;
}

const LEAF_SIZE = 4;

export function buildTree(count: number, boxOf: (item: number, box: OpenBox) => void): PieceTree {
  let firstLeaf = 1;
  while (firstLeaf * LEAF_SIZE < count) firstLeaf *= 2;
  const boxes = new Float64Array(8 * firstLeaf);
  for (let node = 0; node < 2 * firstLeaf; node++) {
    boxes.fill(Number.POSITIVE_INFINITY, 4 * node, 4 * node + 2);
    boxes.fill(Number.NEGATIVE_INFINITY, 4 * node + 2, 4 * node + 4);
  }
  const box: OpenBox = { minX: 0, minY: 0, maxX: 0, maxY: 0 };
  for (let i = 0; i < count; i++) {
    boxOf(i, box);
    const at = 4 * (firstLeaf + Math.floor(i / LEAF_SIZE));
    boxes[at] = Math.min(boxes[at]!, box.minX);
    boxes[at + 1] = Math.min(boxes[at + 1]!, box.minY);
    boxes[at + 2] = Math.max(boxes[at + 2]!, box.maxX);
    boxes[at + 3] = Math.max(boxes[at + 3]!, box.maxY);
  }
  for (let node = firstLeaf - 1; node >= 1; node--) {
    const at = 4 * node;
    const a = 8 * node;
    const b = a + 4;
    boxes[at] = Math.min(boxes[a]!, boxes[b]!);
    boxes[at + 1] = Math.min(boxes[a + 1]!, boxes[b + 1]!);
    boxes[at + 2] = Math.max(boxes[a + 2]!, boxes[b + 2]!);
    boxes[at + 3] = Math.max(boxes[a + 3]!, boxes[b + 3]!);
  }
  return { boxes, firstLeaf, leafSize: LEAF_SIZE, count };
}

const stack = new Int32Array(64);

/** Calls `visit` with the item range of every leaf whose box touches the given one. `visit` must not search again. */
export function searchBox(
  tree: PieceTree,
  minX: number,
  minY: number,
  maxX: number,
  maxY: number,
  visit: (first: number, end: number) => void,
): void {
  const { boxes, firstLeaf, leafSize, count } = tree;
  let top = 0;
  stack[top++] = 1;
  while (top > 0) {
    const node = stack[--top]!;
    const at = 4 * node;
    if (boxes[at]! > maxX || boxes[at + 1]! > maxY || boxes[at + 2]! < minX || boxes[at + 3]! < minY)
      continue;
    if (node >= firstLeaf) {
      const first = (node - firstLeaf) * leafSize;
      visit(first, Math.min(first + leafSize, count));
    } else {
      stack[top++] = 2 * node;
      stack[top++] = 2 * node + 1;
    }
  }
}
