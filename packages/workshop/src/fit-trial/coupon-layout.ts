/**
 * Places the blocks of a coupon on as little of the sheet as it takes: each block at the highest, then leftmost place
 * that is free, the tallest block first; and of all widths that the room allows, the one whose sheet has the least area.
 * A few dozen blocks at most, so that every place is tried.
 */

export interface Sized {
  readonly widthMm: number;
  readonly heightMm: number;
}

export interface Placed<B extends Sized> {
  readonly block: B;
  /** Left and upper edge, mm from the left and upper edge of the sheet. */
  readonly x: number;
  readonly top: number;
}

export interface CouponLayout<B extends Sized> {
  readonly places: readonly Placed<B>[];
  readonly widthMm: number;
  readonly heightMm: number;
}

/** Widths are tried in steps of this, mm. */
const WIDTH_STEP_MM = 5;

/**
 * The layout of least area within a room; undefined where none fits its height.
 * @param blocksFor the blocks of a sheet no wider than that: some are divided where there is little width
 * @param webMm free space between blocks and to the edges
 */
export function tightestLayout<B extends Sized>(
  blocksFor: (widthMm: number) => readonly B[],
  room: Sized,
  webMm: number,
): CouponLayout<B> | undefined {
  let best: CouponLayout<B> | undefined;
  for (let widthMm = room.widthMm; widthMm > 0; widthMm -= WIDTH_STEP_MM) {
    const blocks = blocksFor(widthMm);
    // Narrower only gets worse from here.
    if (blocks.some((block) => block.widthMm + 2 * webMm > widthMm)) break;
    const layout = layoutAt(blocks, widthMm, webMm);
    if (layout.heightMm > room.heightMm) continue;
    if (best === undefined || area(layout) < area(best) - 1e-9) best = layout;
  }
  return best;
}

function area(layout: Sized): number {
  return layout.widthMm * layout.heightMm;
}

/** Every block at the highest, then leftmost free place of a sheet of a width. */
export function layoutAt<B extends Sized>(
  blocks: readonly B[],
  widthMm: number,
  webMm: number,
): CouponLayout<B> {
  const places: Placed<B>[] = [];
  // Whole millimetres, so that the plugs of a ladder stay in their order.
  for (const block of [...blocks].sort((a, b) => Math.ceil(b.heightMm) - Math.ceil(a.heightMm))) {
    places.push({ block, ...freePlace(block, places, widthMm, webMm) });
  }
  const right = Math.max(0, ...places.map(({ block, x }) => x + block.widthMm));
  const foot = Math.max(0, ...places.map(({ block, top }) => top + block.heightMm));
  return { places, widthMm: right + webMm, heightMm: foot + webMm };
}

/** A block that is free to move up and left rests against others or the edge: only such places are tried. */
function freePlace(
  block: Sized,
  places: readonly Placed<Sized>[],
  widthMm: number,
  webMm: number,
): { x: number; top: number } {
  const lefts = [webMm, ...places.map((place) => place.x + place.block.widthMm + webMm)];
  const tops = [webMm, ...places.map((place) => place.top + place.block.heightMm + webMm)];
  lefts.sort((a, b) => a - b);
  tops.sort((a, b) => a - b);
  for (const top of tops) {
    for (const x of lefts) {
      if (x + block.widthMm + webMm > widthMm + 1e-9) break;
      if (places.every((place) => apart(block, x, top, place, webMm))) return { x, top };
    }
  }
  throw new RangeError('A block is wider than the sheet.');
}

function apart(block: Sized, x: number, top: number, other: Placed<Sized>, webMm: number): boolean {
  const web = webMm - 1e-9;
  return (
    x + block.widthMm + web <= other.x ||
    other.x + other.block.widthMm + web <= x ||
    top + block.heightMm + web <= other.top ||
    other.top + other.block.heightMm + web <= top
  );
}
