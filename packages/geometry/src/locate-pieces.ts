/**
 * Segments cut into pieces that are easy to ask about: lines, and arcs that do not turn back in y, so that they stay on
 * one side of their centre. Kept in flat arrays; distances to lines and arcs are exact, cubics become chords.
 */
import type { Bounds } from './bounds.ts';
import { flattenSegments } from './flatten.ts';
import { type ArcSegment, type Segment, startAngle } from './segment.ts';

/** Chord error of cubics inside a locator, mm: a tenth of the flattening tolerance. */
export const LOCATE_CUBIC_TOLERANCE = 0.00005;

/** One entry a piece. `half` is 0 for lines, +1 for arcs on the right of their centre, -1 on the left. */
export interface Pieces {
  readonly count: number;
  readonly x0: Float64Array;
  readonly y0: Float64Array;
  readonly x1: Float64Array;
  readonly y1: Float64Array;
  readonly cx: Float64Array;
  readonly cy: Float64Array;
  readonly r: Float64Array;
  readonly half: Int8Array;
  readonly curve: Int32Array;
  readonly segment: Int32Array;
  readonly t0: Float64Array;
  readonly t1: Float64Array;
}

/** A list of pieces being made: one row of numbers a piece. */
export type PieceRows = number[];

const ROW = 12;

export function pushLine(
  rows: PieceRows,
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  curve: number,
  segment: number,
  t0: number,
  t1: number,
): void {
  rows.push(x0, y0, x1, y1, 0, 0, 0, 0, curve, segment, t0, t1);
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
    rows.push(
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

export function piecesOf(rows: PieceRows): Pieces {
  const count = rows.length / ROW;
  const column = (k: number): Float64Array => {
    const values = new Float64Array(count);
    for (let i = 0; i < count; i++) values[i] = rows[i * ROW + k]!;
    return values;
  };
  return {
    count,
    x0: column(0),
    y0: column(1),
    x1: column(2),
    y1: column(3),
    cx: column(4),
    cy: column(5),
    r: column(6),
    half: Int8Array.from(column(7)),
    curve: Int32Array.from(column(8)),
    segment: Int32Array.from(column(9)),
    t0: column(10),
    t1: column(11),
  };
}

function pieceMinX(pieces: Pieces, i: number): number {
  return Math.min(
    pieces.x0[i]!,
    pieces.x1[i]!,
    pieces.half[i]! < 0 ? arcExtreme(pieces, i) : Number.POSITIVE_INFINITY,
  );
}

function pieceMaxX(pieces: Pieces, i: number): number {
  return Math.max(
    pieces.x0[i]!,
    pieces.x1[i]!,
    pieces.half[i]! > 0 ? arcExtreme(pieces, i) : Number.NEGATIVE_INFINITY,
  );
}

/** The outermost x of an arc piece when it passes the level of its centre, else that of one end. */
function arcExtreme(pieces: Pieces, i: number): number {
  const cy = pieces.cy[i]!;
  const passes = pieces.y0[i]! < cy !== pieces.y1[i]! < cy;
  return passes ? pieces.cx[i]! + pieces.half[i]! * pieces.r[i]! : pieces.x0[i]!;
}

export function setPieceBox(
  pieces: Pieces,
  i: number,
  box: { -readonly [key in keyof Bounds]: number },
): void {
  box.minX = pieceMinX(pieces, i);
  box.maxX = pieceMaxX(pieces, i);
  box.minY = Math.min(pieces.y0[i]!, pieces.y1[i]!);
  box.maxY = Math.max(pieces.y0[i]!, pieces.y1[i]!);
}

/** +1 when a piece going up passes to the right of the point, -1 for one going down, else 0. */
export function crossing(pieces: Pieces, i: number, x: number, y: number): number {
  const y0 = pieces.y0[i]!;
  const y1 = pieces.y1[i]!;
  const up = y0 <= y && y < y1;
  if (!up && !(y1 <= y && y < y0)) return 0;
  const half = pieces.half[i]!;
  let toTheRight: boolean;
  if (half === 0) {
    const x0 = pieces.x0[i]!;
    const x1 = pieces.x1[i]!;
    if (x < x0 && x < x1) toTheRight = true;
    else if (x > x0 && x > x1) return 0;
    else {
      const side = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0);
      toTheRight = up ? side > 0 : side < 0;
    }
  } else {
    const dx = x - pieces.cx[i]!;
    const dy = y - pieces.cy[i]!;
    const r = pieces.r[i]!;
    const within = dx * dx + dy * dy < r * r;
    toTheRight = half > 0 ? dx < 0 || within : dx < 0 && !within;
  }
  if (!toTheRight) return 0;
  return up ? 1 : -1;
}

export function pieceDistanceSquare(pieces: Pieces, i: number, x: number, y: number): number {
  const half = pieces.half[i]!;
  const x0 = pieces.x0[i]!;
  const y0 = pieces.y0[i]!;
  const x1 = pieces.x1[i]!;
  const y1 = pieces.y1[i]!;
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
  const cx = pieces.cx[i]!;
  const cy = pieces.cy[i]!;
  const r = pieces.r[i]!;
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
