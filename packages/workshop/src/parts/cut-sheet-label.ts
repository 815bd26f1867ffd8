/**
 * Where a part's label goes: inside the part, where it cannot meet a cut, as large as fits; on the waste below the
 * part where the part is too small.
 *
 * Candidates are the centres of a best-first quadtree search for the deepest interior point (cells are split while
 * they could still hold a deeper point). A candidate takes a label when its box keeps `clearanceMm` to every path,
 * which is decided by the distance function alone: a box whose centre is deeper than its half diagonal plus the
 * clearance is free, one whose centre is not even as deep as the clearance is not, all others are split.
 */
import {
  type Bounds,
  buildLocator,
  type Curve,
  type Locator,
  type Point,
  roughDistance,
  windingAt,
} from '@inlaywright/geometry';
import type { MarkStroke } from './cut-sheet-model.ts';
import { letteringStrokes, letteringWidth } from './single-line-lettering.ts';

/** Capitals lower than this char into a blot at usual beam widths. Common practice, no published source. */
export const MIN_LABEL_HEIGHT_MM = 1.2;
export const MAX_LABEL_HEIGHT_MM = 3;
const HEIGHT_STEP = 0.85;
const CANDIDATES = 12;
/** The quadtree stops splitting at this size: a label half a millimetre off the very deepest point is as good. */
const SEARCH_STEP_MM = 0.5;
const MAX_CELLS = 400;
/** Half side at which an undecided box counts as not free, mm. */
const SMALLEST_HALF_MM = 0.05;

export interface PlacedLabel {
  readonly strokes: readonly MarkStroke[];
  readonly place: 'inside' | 'below';
  /** Box around the label, mm. */
  readonly bounds: Bounds;
}

/**
 * Places `text` for the part whose beam paths are `curves` (frame of the sheet or any other, mm).
 * No stroke comes closer than `clearanceMm` to a path.
 */
export function placeLabel(
  text: string,
  curves: readonly Curve[],
  bounds: Bounds,
  clearanceMm: number,
): PlacedLabel {
  const locator = buildLocator(curves);
  const candidates = deepestPoints(locator, bounds);
  const roomAt = roomFunction(locator);
  const aspect = letteringWidth(text, 1);
  for (let height = MAX_LABEL_HEIGHT_MM; height >= MIN_LABEL_HEIGHT_MM; height *= HEIGHT_STEP) {
    const width = aspect * height;
    for (const { centre, depth } of candidates) {
      if (depth < Math.min(width, height) / 2 + clearanceMm) break;
      if (takesBox(roomAt, centre, width / 2, height / 2, clearanceMm)) {
        return drawn(text, centre.x - width / 2, centre.y - height / 2, height, width, 0);
      }
      if (takesBox(roomAt, centre, height / 2, width / 2, clearanceMm)) {
        return drawn(text, centre.x + height / 2, centre.y - width / 2, height, width, 90);
      }
    }
  }
  const height = 1.5;
  return {
    ...drawn(text, bounds.minX, bounds.minY - clearanceMm - height, height, aspect * height, 0),
    place: 'below',
  };
}

function drawn(
  text: string,
  x: number,
  y: number,
  heightMm: number,
  width: number,
  angleDeg: 0 | 90,
): PlacedLabel {
  const strokes = letteringStrokes(text, { at: { x, y }, heightMm, angleDeg });
  const bounds =
    angleDeg === 0
      ? { minX: x, minY: y, maxX: x + width, maxY: y + heightMm }
      : { minX: x - heightMm, minY: y, maxX: x, maxY: y + width };
  return { strokes, place: 'inside', bounds };
}

/** Distance to the nearest path, whichever side; exact between the bounds given. */
type RoomFunction = (x: number, y: number, enough: number, limit: number) => number;

function roomFunction(locator: Locator): RoomFunction {
  const guess = { piece: -1 };
  return (x, y, enough, limit) => roughDistance(locator, x, y, guess, enough, limit);
}

interface Candidate {
  readonly centre: Point;
  readonly depth: number;
  readonly half: number;
}

/** Interior points, deepest first: the very deepest within SEARCH_STEP_MM, and what the search met on the way. */
function deepestPoints(locator: Locator, bounds: Bounds): Candidate[] {
  const size = Math.min(bounds.maxX - bounds.minX, bounds.maxY - bounds.minY);
  if (!(size > 0)) return [];
  const guess = { piece: -1 };
  /** The deepest so far, deepest first, at most CANDIDATES; of equals the first met. */
  const met: Candidate[] = [];
  const open: Candidate[] = [];
  let best = 0;
  const look = (x: number, y: number, half: number): void => {
    // A cell that can neither beat the deepest nor be among the candidates needs no exact depth: it is never split.
    const least = met.length < CANDIDATES ? 0 : met[CANDIDATES - 1]!.depth;
    const enough = Math.min(least, best - half * Math.SQRT2);
    const room = roughDistance(locator, x, y, guess, enough);
    if (room <= enough) return;
    const depth = windingAt(locator, x, y) === 0 ? -room : room;
    const cell = { centre: { x, y }, depth, half };
    if (depth > least) {
      let at = met.length;
      while (at > 0 && met[at - 1]!.depth < depth) at--;
      met.splice(at, 0, cell);
      if (met.length > CANDIDATES) met.pop();
    }
    if (reach(cell) > best) open.push(cell);
  };
  const half = size / 2;
  let roots = 0;
  for (let x = bounds.minX + half; x < bounds.maxX + half / 2; x += size) {
    for (let y = bounds.minY + half; y < bounds.maxY + half / 2; y += size) {
      look(x, y, half);
      roots++;
    }
  }
  for (let count = roots; count < MAX_CELLS && open.length > 0; count += 4) {
    let top = 0;
    for (let i = 1; i < open.length; i++) if (reach(open[i]!) > reach(open[top]!)) top = i;
    const cell = open[top]!;
    open[top] = open[open.length - 1]!;
    open.pop();
    best = Math.max(best, cell.depth);
    if (reach(cell) <= best + SEARCH_STEP_MM / 4 || cell.half < SEARCH_STEP_MM / 4) {
      if (reach(cell) <= best) break;
      continue;
    }
    const h = cell.half / 2;
    look(cell.centre.x - h, cell.centre.y - h, h);
    look(cell.centre.x + h, cell.centre.y - h, h);
    look(cell.centre.x - h, cell.centre.y + h, h);
    look(cell.centre.x + h, cell.centre.y + h, h);
  }
  return met;
}

/** The greatest depth that any point of the cell could have. */
function reach(cell: Candidate): number {
  return cell.depth + cell.half * Math.SQRT2;
}

/**
 * `isBoxFree`, after a look at the corners, which turn most candidates down. The centre is known to lie inside, so sides
 * need no look: a box that reaches outside holds a piece of path, and near that it is never found free.
 */
function takesBox(
  roomAt: RoomFunction,
  { x, y }: Point,
  halfX: number,
  halfY: number,
  clearance: number,
): boolean {
  const isRoomAt = (cx: number, cy: number): boolean =>
    roomAt(cx, cy, clearance / 2, 2 * clearance) >= clearance;
  return (
    isRoomAt(x - halfX, y - halfY) &&
    isRoomAt(x + halfX, y + halfY) &&
    isRoomAt(x - halfX, y + halfY) &&
    isRoomAt(x + halfX, y - halfY) &&
    isBoxFree(roomAt, x, y, halfX, halfY, clearance)
  );
}

/** Whether no path comes closer to the box (centre and half sides) than `clearance`. */
function isBoxFree(
  roomAt: RoomFunction,
  x: number,
  y: number,
  halfX: number,
  halfY: number,
  clearance: number,
): boolean {
  const ample = Math.sqrt(halfX * halfX + halfY * halfY) + clearance;
  const room = roomAt(x, y, clearance / 2, ample);
  if (room < clearance) return false;
  if (room >= ample) return true;
  // What is still open at this size touches the clearance as good as surely.
  if (Math.max(halfX, halfY) < SMALLEST_HALF_MM) return false;
  if (halfX >= halfY) {
    return (
      isBoxFree(roomAt, x - halfX / 2, y, halfX / 2, halfY, clearance) &&
      isBoxFree(roomAt, x + halfX / 2, y, halfX / 2, halfY, clearance)
    );
  }
  return (
    isBoxFree(roomAt, x, y - halfY / 2, halfX, halfY / 2, clearance) &&
    isBoxFree(roomAt, x, y + halfY / 2, halfX, halfY / 2, clearance)
  );
}
