/**
 * Contours that cross themselves or others, run twice or lie outside the part: at the middle and near both ends of
 * every segment, a micrometre to the left of the path the winding number of all contours together must be 1, to the
 * right 0.
 *
 * Most segments need no probe. A winding number changes across paths only. So where nothing but its two neighbours comes
 * near a segment, and these turn away without coming back, the numbers beside it are those beside the segment before.
 * Such a segment with the right numbers is called clear.
 */
import { loneSegments, windingAt } from '@inlaywright/geometry';
import { neighbourSegment, type PathTables, stationOn } from './written-path.ts';

/** Probes stand this far to either side of the path, mm. */
const PROBE_MM = 0.001;
/** Segments shorter than this are passed over, mm: at needle points written curves may wander by a micrometre. */
const SHORTEST_PROBED_MM = 0.01;
/**
 * Two segments that together turn by less than this, radians, go one way all along (up to half a turn they would) and
 * part from their joint at 65 degrees or more: neither comes back to the other, nor to the probes beside it.
 */
const ONE_WAY = 2;

export interface Crossing {
  readonly contour: number;
  readonly x: number;
  readonly y: number;
}

export interface Crossings {
  readonly crossings: readonly Crossing[];
  readonly clear: Uint8Array;
}

const scratch = new Float64Array(4);

export function findCrossings(path: PathTables): Crossings {
  const failed: Crossing[] = [];
  const counts = path.contours.map(({ count }) => count);
  const lone = loneSegments(path.locator, counts, 2 * PROBE_MM);
  const clear = new Uint8Array(lone.length);
  path.contours.forEach(({ first, count }, contour) => {
    let isOneWay = count > 2 && goesOneWay(path, first);
    for (let index = first; index < first + count; index++) {
      const cameOneWay = isOneWay;
      isOneWay = count > 2 && goesOneWay(path, index + 1 < first + count ? index + 1 : first);
      const isAlone = lone[index] === 1 && (count === 1 || (cameOneWay && isOneWay));
      if (isAlone && index > first && clear[index - 1] === 1) {
        clear[index] = 1;
        continue;
      }
      const length = path.lengthMm[index]!;
      if (length < SHORTEST_PROBED_MM) continue;
      const end = (5 * PROBE_MM) / length;
      const t = [0.5, end, 1 - end].find((at) => !isBetween(path, index, at));
      if (t !== undefined) {
        failed.push({ contour, x: scratch[0]!, y: scratch[1]! });
        return;
      }
      if (isAlone) clear[index] = 1;
    }
  });
  return { crossings: failed, clear };
}

/** Whether a segment and the one before it go one way. */
function goesOneWay(path: PathTables, index: number): boolean {
  const before = neighbourSegment(path, index, -1);
  const at = 4 * before + 2;
  const ax = path.tangents[at]!;
  const ay = path.tangents[at + 1]!;
  const bx = path.tangents[4 * index]!;
  const by = path.tangents[4 * index + 1]!;
  const turn = Math.abs(Math.atan2(ax * by - ay * bx, ax * bx + ay * by));
  return turn + sweepOf(path, before) + sweepOf(path, index) < ONE_WAY;
}

function sweepOf(path: PathTables, index: number): number {
  const segment = path.segments[index]!;
  return segment.kind === 'line' ? 0 : Math.abs(segment.sweep);
}

function isBetween(path: PathTables, index: number, t: number): boolean {
  stationOn(path, index, t, scratch);
  const x = scratch[0]!;
  const y = scratch[1]!;
  const dx = PROBE_MM * scratch[2]!;
  const dy = PROBE_MM * scratch[3]!;
  return windingAt(path.locator, x + dx, y + dy) === 1 && windingAt(path.locator, x - dx, y - dy) === 0;
}
