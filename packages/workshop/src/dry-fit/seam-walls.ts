/**
 * Which stretch of which contour is the wall of which seam.
 *
 * A declared stretch has its part on the left, as a contour has its solid; so the wall of an open stretch runs along
 * one contour from the place of the stretch's start to the place of its end, and the wall of a closed stretch is a
 * whole contour. Only the ends are looked up by distance; everything between follows, however far the wall strays
 * from the drawing there. (Assigning each wall point to the nearest seam instead would lose the eased tips and the
 * badly cut stretches, that is, just what is to be found.)
 *
 * Where two stretches of a part meet in one point of the drawing, the two walls meet too: the contour between the
 * places found, at most a corner's arc, is shared out at its middle.
 */
import { nearest, pointsWithin, tangentAt } from '@inlaywright/geometry';
import type { Seam, Stretch } from '../mosaic/model.ts';
import { hitSegment, type WrittenPath } from './written-path.ts';

/**
 * Places are looked up this far inside a stretch, mm: at its very end a corner's arc is equally near everywhere. The
 * larger ones are for ends whose wall is not there; a seam gives up at most a quarter of its length at each.
 */
const END_INSETS_MM = [0.02, 0.1, 0.3, 1, 3] as const;
/** Declared ends closer than this are one point, mm. */
const SAME_POINT_MM = 0.005;
const CLOSED_PROBES = 12;

export interface WallSpan {
  readonly seam: string;
  readonly contour: number;
  /** Distances along the contour, mm; `endMm` exceeds the contour's length when the span passes its start. */
  readonly startMm: number;
  readonly endMm: number;
  /** Whether another wall of the same part begins where this one starts or ends. */
  readonly meetsAtStart: boolean;
  readonly meetsAtEnd: boolean;
}

export interface SeamWalls {
  readonly spans: readonly WallSpan[];
  /** Declared length for which no wall was found, by seam, mm. */
  readonly lostMm: ReadonlyMap<string, number>;
}

interface Draft {
  seam: string;
  contour: number;
  start: number;
  end: number;
  from: readonly [number, number] | null;
  to: readonly [number, number] | null;
  meetsAtStart: boolean;
  meetsAtEnd: boolean;
}

/**
 * @param seams the seams of the part
 * @param reachMm how far from its declared line a wall may lie and still be taken for it
 */
export function seamWalls(
  path: WrittenPath,
  part: string,
  seams: readonly Seam[],
  reachMm: number,
): SeamWalls {
  const drafts: Draft[] = [];
  const lostMm = new Map<string, number>();
  for (const seam of seams) {
    for (const stretch of seam.stretches) {
      const line = walkable(stretch, seam.a === part);
      if (!line) continue;
      const found = stretch.closed
        ? closedDrafts(path, seam.id, line, reachMm)
        : openDraft(path, seam.id, line, reachMm);
      drafts.push(...found.drafts);
      if (found.lostMm > 0) lostMm.set(seam.id, (lostMm.get(seam.id) ?? 0) + found.lostMm);
    }
  }
  for (let contour = 0; contour < path.contours.length; contour++) {
    const onIt = drafts.filter((draft) => draft.contour === contour).sort((p, q) => p.start - q.start);
    joinNeighbours(onIt, path.contours[contour]!.lengthMm, reachMm);
  }
  const spans = drafts
    .filter((draft) => draft.end > draft.start)
    .map(({ seam, contour, start, end, meetsAtStart, meetsAtEnd }) => ({
      seam,
      contour,
      startMm: start,
      endMm: end,
      meetsAtStart,
      meetsAtEnd,
    }));
  return { spans, lostMm };
}

/** A stretch walked with the part on the left. */
interface Line {
  readonly points: Float64Array;
  readonly reversed: boolean;
  readonly closed: boolean;
  /** Distance from the first point to each point, in the order walked; one more for the way back of a closed one. */
  readonly along: Float64Array;
  readonly lengthMm: number;
}

function walkable(stretch: Stretch, partIsLeft: boolean): Line | null {
  const count = stretch.points.length / 2;
  if (count < 2) return null;
  const line = { points: stretch.points, reversed: !partIsLeft, closed: stretch.closed };
  const along = new Float64Array(stretch.closed ? count + 1 : count);
  for (let i = 1; i < along.length; i++) {
    const dx = xAt(line, i) - xAt(line, i - 1);
    const dy = yAt(line, i) - yAt(line, i - 1);
    along[i] = along[i - 1]! + Math.sqrt(dx * dx + dy * dy);
  }
  const lengthMm = along[along.length - 1]!;
  return lengthMm > 0 ? { ...line, along, lengthMm } : null;
}

function vertex(line: Pick<Line, 'points' | 'reversed'>, i: number): number {
  const count = line.points.length / 2;
  const k = i % count;
  return line.reversed ? count - 1 - k : k;
}

function xAt(line: Pick<Line, 'points' | 'reversed'>, i: number): number {
  return line.points[2 * vertex(line, i)]!;
}

function yAt(line: Pick<Line, 'points' | 'reversed'>, i: number): number {
  return line.points[2 * vertex(line, i) + 1]!;
}

/** Place of a declared line on the path: contour and distance along it, or null beyond reach. */
function placeOn(
  path: WrittenPath,
  line: Line,
  mm: number,
  reachMm: number,
): { contour: number; along: number } | null {
  const { along } = line;
  let low = 0;
  let high = along.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (along[middle]! <= mm) low = middle;
    else high = middle;
  }
  const length = along[high]! - along[low]!;
  if (length === 0) return null;
  const tx = (xAt(line, high) - xAt(line, low)) / length;
  const ty = (yAt(line, high) - yAt(line, low)) / length;
  const p = { x: xAt(line, low) + tx * (mm - along[low]!), y: yAt(line, low) + ty * (mm - along[low]!) };
  let best = nearest(path.locator, p, reachMm);
  if (best.curve < 0) return null;
  if (alignment(path, best, tx, ty) < 0.5) {
    // The nearest place runs another way, as at the far side of a thin part: look for one that runs along.
    const aligned = pointsWithin(path.locator, p, reachMm)
      .filter((hit) => alignment(path, hit, tx, ty) >= 0.5)
      .sort((a, b) => a.distance - b.distance)[0];
    if (!aligned && alignment(path, best, tx, ty) < 0) return null;
    best = aligned ?? best;
  }
  const index = hitSegment(path, best);
  return { contour: best.curve, along: path.startMm[index]! + best.t * path.lengthMm[index]! };
}

function alignment(
  path: WrittenPath,
  hit: { curve: number; segment: number; t: number },
  tx: number,
  ty: number,
): number {
  const index = path.contours[hit.curve]!.first + hit.segment;
  const tangent = tangentAt(path.segments[index]!, hit.t);
  return tangent.x * tx + tangent.y * ty;
}

/** The walls of one declared stretch, and how much of its length has none. */
interface Found {
  readonly drafts: readonly Draft[];
  readonly lostMm: number;
}

/**
 * The wall between the places of both ends. Where an end has no place, as at a tip that the beam takes away, the
 * search goes on further inside: the rest of the seam is there and is to be measured.
 */
function openDraft(path: WrittenPath, seam: string, line: Line, reachMm: number): Found {
  const insets = END_INSETS_MM.map((inset) => Math.min(inset, line.lengthMm / 4));
  const starts = places(insets, (inset) => placeOn(path, line, inset, reachMm));
  const ends = places(insets, (inset) => placeOn(path, line, line.lengthMm - inset, reachMm));
  for (let steps = 0; steps <= 2 * (insets.length - 1); steps++) {
    for (let i = Math.max(0, steps - insets.length + 1); i <= Math.min(steps, insets.length - 1); i++) {
      const inside = [insets[i]!, insets[steps - i]!] as const;
      const draft = draftBetween(path, { seam, line, reachMm }, [starts(i), ends(steps - i)], inside);
      if (!draft) continue;
      const lostMm = inside.reduce((sum, inset) => sum + (inset > insets[0]! ? inset : 0), 0);
      return { drafts: [draft], lostMm };
    }
  }
  return { drafts: [], lostMm: line.lengthMm };
}

type PlaceOnPath = ReturnType<typeof placeOn>;

/** Places by number of inset, each looked up when first asked for: nearly always only the first is. */
function places(insets: readonly number[], find: (inset: number) => PlaceOnPath): (i: number) => PlaceOnPath {
  const known: PlaceOnPath[] = [];
  return (i) => {
    if (known[i] === undefined) known[i] = find(insets[i]!);
    return known[i]!;
  };
}

function draftBetween(
  path: WrittenPath,
  { seam, line, reachMm }: { readonly seam: string; readonly line: Line; readonly reachMm: number },
  [start, end]: readonly [PlaceOnPath, PlaceOnPath],
  [startInset, endInset]: readonly [number, number],
): Draft | null {
  if (!start || !end || start.contour !== end.contour) return null;
  const whole = path.contours[start.contour]!.lengthMm;
  let length = end.along - start.along;
  if (length < 0) length += whole;
  // Two places of a stretch shorter than its walls' wander can swap; the way round the whole contour is not meant.
  if (length > 2 * line.lengthMm + 2 * reachMm) return null;
  const last = line.along.length - 1;
  return {
    seam,
    contour: start.contour,
    start: start.along,
    end: start.along + length,
    from: startInset > END_INSETS_MM[0] ? null : [xAt(line, 0), yAt(line, 0)],
    to: endInset > END_INSETS_MM[0] ? null : [xAt(line, last), yAt(line, last)],
    meetsAtStart: false,
    meetsAtEnd: false,
  };
}

/** A closed stretch owns every contour that at least a quarter of its probes find, and the best one anyway. */
function closedDrafts(path: WrittenPath, seam: string, line: Line, reachMm: number): Found {
  const votes = new Map<number, number>();
  for (let k = 0; k < CLOSED_PROBES; k++) {
    const place = placeOn(path, line, ((k + 0.5) / CLOSED_PROBES) * line.lengthMm, reachMm);
    if (place) votes.set(place.contour, (votes.get(place.contour) ?? 0) + 1);
  }
  const most = Math.max(0, ...votes.values());
  if (most < CLOSED_PROBES / 4) return { drafts: [], lostMm: line.lengthMm };
  const drafts = [...votes]
    .filter(([, count]) => count === most || count >= CLOSED_PROBES / 4)
    .map(([contour]) => ({
      seam,
      contour,
      start: 0,
      end: path.contours[contour]!.lengthMm,
      from: null,
      to: null,
      meetsAtStart: false,
      meetsAtEnd: false,
    }));
  return { drafts, lostMm: 0 };
}

/** Shares out what lies between spans that follow each other and meet in the drawing. `spans` are sorted by start. */
function joinNeighbours(spans: readonly Draft[], wholeMm: number, reachMm: number): void {
  const count = spans.length;
  for (let i = 0; i < count; i++) {
    const span = spans[i]!;
    const next = spans[(i + 1) % count]!;
    if (span === next && count > 1) continue;
    if (!span.to || !next.from) continue;
    if (Math.hypot(span.to[0] - next.from[0], span.to[1] - next.from[1]) > SAME_POINT_MM) continue;
    let free = next.start - span.end;
    // Across the start of the contour, and for a stretch that ends where it began.
    if (free < -wholeMm / 2) free += wholeMm;
    if (Math.abs(free) > reachMm) continue;
    const half = free / 2;
    span.end += half;
    next.start -= half;
    span.meetsAtEnd = true;
    next.meetsAtStart = true;
  }
}
