import type { Box, Place } from './model.ts';

export interface ApartPart {
  readonly id: string;
  readonly level: number;
  readonly box: Box;
}

/** Free room between parts drawn apart, as a share of the piece's larger side. */
const ROOM = 0.04;
/** A ground fills at least this share of the piece's box. */
const GROUND_SHARE = 0.6;
/** Rounds of pushing; the loop ends earlier once nothing touches. */
const ROUNDS = 200;
/** Above this many parts the boxes are only spread, not pushed: the work grows with the square. */
const MOST_PUSHED = 240;

/**
 * How far each part moves so that no two of the boxes touch: the ground stays, the others move straight away from
 * the middle of the piece and are then pushed apart. Deterministic. In a piece without a ground all parts move.
 */
export function partsApart(parts: readonly ApartPart[], piece: Box): ReadonlyMap<string, Place> {
  const middle = { x: (piece.minX + piece.maxX) / 2, y: (piece.minY + piece.maxY) / 2 };
  const size = Math.max(piece.maxX - piece.minX, piece.maxY - piece.minY);
  const room = ROOM * size;
  const anchor = groundOf(parts, piece);
  const movers = parts.map((part) => {
    const w = part.box.maxX - part.box.minX;
    const h = part.box.maxY - part.box.minY;
    const home = { x: (part.box.minX + part.box.maxX) / 2, y: (part.box.minY + part.box.maxY) / 2 };
    return { id: part.id, w: w + room, h: h + room, home, at: { ...home }, fixed: part.id === anchor };
  });
  const ground = movers.find((mover) => mover.fixed);
  for (const [index, mover] of movers.entries()) {
    if (mover.fixed) continue;
    const dx = mover.home.x - middle.x;
    const dy = mover.home.y - middle.y;
    const away = Math.hypot(dx, dy);
    // A part in the very middle has no direction of its own: the golden angle spreads such parts evenly.
    const angle = away > 1e-6 * size ? Math.atan2(dy, dx) : index * 2.399963;
    const reach = ground ? clearOf(ground, mover, middle, angle) : 1.45 * away;
    mover.at = { x: middle.x + reach * Math.cos(angle), y: middle.y + reach * Math.sin(angle) };
  }
  if (movers.length <= MOST_PUSHED) push(movers);
  return new Map(movers.map((m) => [m.id, { x: m.at.x - m.home.x, y: m.at.y - m.home.y }]));
}

interface Mover {
  readonly w: number;
  readonly h: number;
  readonly fixed: boolean;
  at: { x: number; y: number };
}

/** The part that carries the others: of the lowest level, and as large as most of the piece; null without one. */
function groundOf(parts: readonly ApartPart[], piece: Box): string | null {
  const area = (box: Box): number => (box.maxX - box.minX) * (box.maxY - box.minY);
  const lowest = Math.min(...parts.map((part) => part.level));
  const largest = parts
    .filter((part) => part.level === lowest)
    .reduce<ApartPart | null>((best, part) => (best && area(best.box) >= area(part.box) ? best : part), null);
  return largest && area(largest.box) > GROUND_SHARE * area(piece) ? largest.id : null;
}

/** How far from the middle a part must go at an angle for its box to leave the ground's. */
function clearOf(ground: Mover, part: Mover, middle: Place, angle: number): number {
  const ux = Math.cos(angle);
  const uy = Math.sin(angle);
  const out = (half: number, from: number, along: number): number =>
    Math.abs(along) < 1e-9 ? Number.POSITIVE_INFINITY : (half + Math.sign(along) * from) / Math.abs(along);
  return Math.min(
    out((ground.w + part.w) / 2, ground.at.x - middle.x, ux),
    out((ground.h + part.h) / 2, ground.at.y - middle.y, uy),
  );
}

/** Pushes overlapping boxes apart along the way of least overlap until none is left or the rounds are used up. */
function push(movers: readonly Mover[]): void {
  for (let round = 0; round < ROUNDS; round++) {
    let touched = false;
    for (let i = 0; i < movers.length; i++) {
      for (let j = i + 1; j < movers.length; j++) {
        const p = movers[i]!;
        const q = movers[j]!;
        const dx = q.at.x - p.at.x;
        const dy = q.at.y - p.at.y;
        const overX = (p.w + q.w) / 2 - Math.abs(dx);
        const overY = (p.h + q.h) / 2 - Math.abs(dy);
        if (overX <= 1e-9 || overY <= 1e-9) continue;
        touched = true;
        const alongX = overX < overY;
        const way = (alongX ? dx : dy) < 0 ? -1 : 1;
        const by = (alongX ? overX : overY) * 1.02 * way;
        const share = p.fixed ? 0 : q.fixed ? 1 : 0.5;
        if (alongX) {
          p.at.x -= by * share;
          q.at.x += by * (1 - share);
        } else {
          p.at.y -= by * share;
          q.at.y += by * (1 - share);
        }
      }
    }
    if (!touched) return;
  }
}
