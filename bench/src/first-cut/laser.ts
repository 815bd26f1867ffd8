import type { GeosPlane, Polygon } from '../geos-plane.ts';
import type { Random } from './random.ts';

/**
 * A virtual laser with its boards: kerf at both faces and axes, hidden from the maker. Ranges lie where shops and bureaus
 * report them (bench/reference/kerf-papers.json: 0.15 to 0.25 mm in 3 mm wood and plywood, x against y 0.05 mm apart in
 * one laboratory, boards of 3.0 to 3.4 mm sold as one thickness). How much a kerf strays over one sheet no
 * paper was found to say: those spreads are our guess.
 */
export interface Board {
  /** Full kerf by face and axis, mm. */
  readonly entryX: number;
  readonly entryY: number;
  readonly exitX: number;
  readonly exitY: number;
  /** Standard deviation of the kerf from contour to contour, mm. */
  readonly scatterMm: number;
}

export interface Laser {
  /** A board of a stock (by number) as this machine cuts it. */
  readonly boards: readonly Board[];
}

export function drawLaser(random: Random, stocks: number): Laser {
  const base = 0.13 + 0.12 * random.uniform();
  const taper = 0.06 * random.uniform();
  const axes = 0.02 * random.normal();
  return {
    boards: Array.from({ length: stocks }, () => {
      // Woods differ in density, resin and thickness (3.0 to 3.4 mm was measured on one sort of board).
      const kerf = Math.max(0.09, base + 0.015 * random.normal());
      const lean = Math.max(-0.02, taper * (1 + 0.25 * random.normal()));
      return {
        entryX: kerf + lean / 2 + axes / 2,
        entryY: kerf + lean / 2 - axes / 2,
        exitX: kerf - lean / 2 + axes / 2,
        exitY: kerf - lean / 2 - axes / 2,
        scatterMm: 0.003 + 0.006 * random.uniform(),
      };
    }),
  };
}

/** A board of the same stock on another day: thickness and moisture move its kerf a little. */
export function nextBoard(board: Board, random: Random): Board {
  const shift = 0.004 * random.normal();
  return {
    ...board,
    entryX: board.entryX + shift,
    entryY: board.entryY + shift,
    exitX: board.exitX + shift,
    exitY: board.exitY + shift,
  };
}

export interface Walls {
  readonly entry: readonly Polygon[];
  readonly exit: readonly Polygon[];
}

/**
 * What comes free: beam paths of one part, outer ring first in each polygon, eaten by half the kerf on each side. The
 * kerf of this cut strays by the board's scatter.
 */
export function free(plane: GeosPlane, path: readonly Polygon[], board: Board, random: Random): Walls {
  const stray = board.scatterMm * random.normal();
  const eat = (kx: number, ky: number): Polygon[] =>
    plane.buffer(path, Math.max(0, kx + stray) / 2, Math.max(0, ky + stray) / 2, -1);
  return { entry: eat(board.entryX, board.entryY), exit: eat(board.exitX, board.exitY) };
}
