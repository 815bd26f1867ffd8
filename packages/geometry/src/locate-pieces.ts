/**
 * Segments cut into pieces that are easy to ask about: lines, and arcs that do not turn back in y, so that they stay on
 * one side of their centre. Kept in flat arrays; distances to lines and arcs are exact, cubics become chords.
 */
import type { Bounds } from './bounds.ts';
import { flattenSegments } from './flatten.ts';
import { type ArcSegment, type Segment, startAngle } from './segment.ts';

/** Chord error of cubics inside a locator, mm: a tenth of the flattening tolerance. */
export const LOCATE_CUBIC_TOLERANCE = 0.00005;

/**
 * Pieces in flat arrays. `rows` holds ROW numbers a piece: x0, y0, x1, y1, centre x, centre y, radius, half. `half` is 0
 * for lines, +1 for arcs on the right of their centre, -1 on the left. `ids` holds curve and segment, `ends` the
 * parameters of both ends on the segment.
 */
export interface Pieces {
  readonly count: number;
  readonly rows: Float64Array;
  readonly ids: Int32Array;
  readonly ends: Float64Array;
}

/** Numbers a piece takes in `rows`. */
export const ROW = 8;

/** A list of pieces being made. */
export type PieceRows = { -readonly [key in keyof Pieces]: Pieces[key] };

/** @param expected number of pieces to make room for; more may come */
export function pieceRows(expected: number): PieceRows {
  const room = expected + (expected >> 3) + 8;
  return {
    count: 0,
    rows: new Float64Array(ROW * room),
    ids: new Int32Array(2 * room),
    ends: new Float64Array(2 * room),
  };
}

function pushPiece(
  list: PieceRows,
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  cx: number,
  cy: number,
  r: number,
  half: number,
  curve: number,
  segment: number,
  t0: number,
  t1: number,
): void {
  const i = list.count++;
  if (2 * i === list.ids.length) grow(list);
  const { rows, ids, ends } = list;
  const at = ROW * i;
  rows[at] = x0;
  rows[at + 1] = y0;
  rows[at + 2] = x1;
  rows[at + 3] = y1;
  rows[at + 4] = cx;
  rows[at + 5] = cy;
  rows[at + 6] = r;
  rows[at + 7] = half;
  ids[2 * i] = curve;
  ids[2 * i + 1] = segment;
  ends[2 * i] = t0;
  ends[2 * i + 1] = t1;
}

function grow(list: PieceRows): void {
  const wider = pieceRows(list.ids.length);
  wider.rows.set(list.rows);
  wider.ids.set(list.ids);
  wider.ends.set(list.ends);
  list.rows = wider.rows;
  list.ids = wider.ids;
  list.ends = wider.ends;
}

export function pushLine(
  list: PieceRows,
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  curve: number,
  segment: number,
  t0: number,
  t1: number,
): void {
  pushPiece(list, x0, y0, x1, y1, 0, 0, 0, 0, curve, segment, t0, t1);
}

/** Adds the pieces of segment `s` of curve `c`. */
export function pushPieces(rows: PieceRows, segment: Segment, c: number, s: number): void {
  switch (segment.kind) {
    case 'line':
      pushLine(rows, segment.from.x, segment.from.y, segment.to.x, segment.to.y, c, s, 0, 1);
      return;
    case 'arc':
      pushArc(rows, segment, c, s);
      return;
    case 'cubic': {
      const line = flattenSegments([segment], LOCATE_CUBIC_TOLERANCE);
      const chords = line.length / 2 - 1;
      for (let i = 0; i < chords; i++) {
        const at = 2 * i;
        pushLine(
          rows,
          line[at]!,
          line[at + 1]!,
          line[at + 2]!,
          line[at + 3]!,
          c,
          s,
          i / chords,
          (i + 1) / chords,
        );
      }
      return;
    }
  }
}

/** Cuts the arc at its topmost and lowest points. */
function pushArc(rows: PieceRows, arc: ArcSegment, c: number, s: number): void {
  const { centre, radius: r, sweep } = arc;
  if (sweep === 0 || r === 0) {
    pushLine(rows, arc.from.x, arc.from.y, arc.to.x, arc.to.y, c, s, 0, 1);
    return;
  }
  // Less than a half turn with both ends well on one side of the centre: nothing to cut, no angles needed.
  const fromX = arc.from.x - centre.x;
  const toX = arc.to.x - centre.x;
  if (Math.abs(sweep) < 3 && (fromX > 0 ? toX : -toX) > 1e-6 * r && Math.abs(fromX) > 1e-6 * r) {
    const { from, to } = arc;
    pushPiece(rows, from.x, from.y, to.x, to.y, centre.x, centre.y, r, fromX < 0 ? -1 : 1, c, s, 0, 1);
    return;
  }
  const start = startAngle(arc);
  const sign = sweep < 0 ? -1 : 1;
  // Quarter turns counted from pi/2 in steps of pi: the first cut strictly ahead of the start.
  const first = sign * (start - Math.PI / 2);
  let cut = (Math.floor(first / Math.PI) + 1) * Math.PI - first;
  let x0 = arc.from.x;
  let y0 = arc.from.y;
  let done = 0;
  const size = Math.abs(sweep);
  while (done < size) {
    const end = Math.min(cut, size);
    const middle = start + sign * ((done + end) / 2);
    const last = end >= size;
    const angle = start + sign * end;
    const x1 = last ? arc.to.x : centre.x;
    const y1 = last ? arc.to.y : centre.y + (Math.sin(angle) > 0 ? r : -r);
    pushPiece(
      rows,
      x0,
      y0,
      x1,
      y1,
      centre.x,
      centre.y,
      r,
      Math.cos(middle) < 0 ? -1 : 1,
      c,
      s,
      done / size,
      last ? 1 : end / size,
    );
    x0 = x1;
    y0 = y1;
    done = end;
    cut += Math.PI;
  }
}

/** The finished list; cut to size unless little room was left over. */
export function piecesOf(list: PieceRows): Pieces {
  const { count, rows, ids, ends } = list;
  if (8 * count > 3 * ids.length) return list;
  return {
    count,
    rows: rows.slice(0, ROW * count),
    ids: ids.slice(0, 2 * count),
    ends: ends.slice(0, 2 * count),
  };
}

export function setPieceBox(
  pieces: Pieces,
  i: number,
  box: { -readonly [key in keyof Bounds]: number },
): void {
  const { rows } = pieces;
  const at = ROW * i;
  const x0 = rows[at]!;
  const y0 = rows[at + 1]!;
  const x1 = rows[at + 2]!;
  const y1 = rows[at + 3]!;
  const cy = rows[at + 5]!;
  const half = rows[at + 7]!;
  box.minX = Math.min(x0, x1);
  box.maxX = Math.max(x0, x1);
  box.minY = Math.min(y0, y1);
  box.maxY = Math.max(y0, y1);
  // An arc that passes the level of its centre reaches out to its side there.
  if (half === 0 || y0 < cy === y1 < cy) return;
  const extreme = rows[at + 4]! + half * rows[at + 6]!;
  if (extreme < box.minX) box.minX = extreme;
  if (extreme > box.maxX) box.maxX = extreme;
}

/** +1 when a piece going up passes to the right of the point, -1 for one going down, else 0. */
export function crossing(pieces: Pieces, i: number, x: number, y: number): number {
  const { rows } = pieces;
  const at = ROW * i;
  const y0 = rows[at + 1]!;
  const y1 = rows[at + 3]!;
  const up = y0 <= y && y < y1;
  if (!up && !(y1 <= y && y < y0)) return 0;
  const half = rows[at + 7]!;
  let toTheRight: boolean;
  if (half === 0) {
    const x0 = rows[at]!;
    const x1 = rows[at + 2]!;
    if (x < x0 && x < x1) toTheRight = true;
    else if (x > x0 && x > x1) return 0;
    else {
      const side = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0);
      toTheRight = up ? side > 0 : side < 0;
    }
  } else {
    const dx = x - rows[at + 4]!;
    const dy = y - rows[at + 5]!;
    const r = rows[at + 6]!;
    const within = dx * dx + dy * dy < r * r;
    toTheRight = half > 0 ? dx < 0 || within : dx < 0 && !within;
  }
  if (!toTheRight) return 0;
  return up ? 1 : -1;
}

export function pieceDistanceSquare(pieces: Pieces, i: number, x: number, y: number): number {
  const { rows } = pieces;
  const at = ROW * i;
  const half = rows[at + 7]!;
  const x0 = rows[at]!;
  const y0 = rows[at + 1]!;
  const x1 = rows[at + 2]!;
  const y1 = rows[at + 3]!;
  if (half === 0) {
    const ux = x1 - x0;
    const uy = y1 - y0;
    const px = x - x0;
    const py = y - y0;
    const along = px * ux + py * uy;
    if (along <= 0) return px * px + py * py;
    const square = ux * ux + uy * uy;
    if (along >= square) return (x - x1) ** 2 + (y - y1) ** 2;
    const cross = px * uy - py * ux;
    return (cross * cross) / square;
  }
  const cx = rows[at + 4]!;
  const cy = rows[at + 5]!;
  const r = rows[at + 6]!;
  const dx = x - cx;
  const dy = y - cy;
  const d = Math.sqrt(dx * dx + dy * dy);
  if (half * dx >= 0 && d > 0) {
    const qy = cy + (r * dy) / d;
    if (y0 < y1 ? qy >= y0 && qy <= y1 : qy >= y1 && qy <= y0) return (d - r) * (d - r);
  }
  const a = (x - x0) ** 2 + (y - y0) ** 2;
  const b = (x - x1) ** 2 + (y - y1) ** 2;
  return Math.min(a, b);
}
