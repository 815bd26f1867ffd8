/**
 * Lettering made of single strokes, for marks that are drawn once with the beam and not filled: part numbers here,
 * step numbers on coupons. Our own figures, drawn on a grid 4 wide and 6 high, baseline at y = 0.
 * Letters are capitals; a lower-case letter is drawn as its capital. A character that has no figure is drawn as an
 * empty box, so that nothing is dropped unseen.
 */
import type { Point } from '@inlaywright/geometry';
import type { MarkStroke } from './cut-sheet-model.ts';

/** Stands in labels for "cut mirrored, turn me over"; drawn as an arrow that bends back. */
export const TURN_SIGN = '~';

const GRID_HEIGHT = 6;
/** Free space between two figures, in grid units: strokes closer than this would char into one. */
const GRID_SPACE = 1.8;

interface Figure {
  readonly width: number;
  /** Polylines as x, y, x, y, ... */
  readonly strokes: readonly (readonly number[])[];
}

const figure = (width: number, ...strokes: readonly (readonly number[])[]): Figure => ({ width, strokes });

const BOX = figure(4, [0, 0, 4, 0, 4, 6, 0, 6, 0, 0]);

const FIGURES: Readonly<Record<string, Figure>> = {
  '0': figure(4, [1, 0, 3, 0, 4, 1, 4, 5, 3, 6, 1, 6, 0, 5, 0, 1, 1, 0], [1.3, 2, 2.7, 4]),
  '1': figure(3, [0, 4.6, 1.6, 6, 1.6, 0], [0.2, 0, 3, 0]),
  '2': figure(4, [0, 5, 1, 6, 3, 6, 4, 5, 4, 4, 0, 0, 4, 0]),
  '3': figure(4, [0, 6, 4, 6, 1.9, 3.6, 3, 3.6, 4, 2.6, 4, 1, 3, 0, 1, 0, 0, 1]),
  '4': figure(4, [3, 0, 3, 6, 0, 2, 4, 2]),
  '5': figure(4, [3.8, 6, 0.4, 6, 0, 3.2, 1, 3.8, 3, 3.8, 4, 2.8, 4, 1, 3, 0, 1, 0, 0, 1]),
  '6': figure(4, [3.4, 6, 1.2, 4.6, 0, 2.2, 0, 1, 1, 0, 3, 0, 4, 1, 4, 2.4, 3, 3.4, 1, 3.4, 0, 2.2]),
  '7': figure(4, [0, 6, 4, 6, 1.4, 0]),
  '8': figure(
    4,
    [
      1, 3.3, 0, 4.2, 0, 5.1, 1, 6, 3, 6, 4, 5.1, 4, 4.2, 3, 3.3, 1, 3.3, 0, 2.3, 0, 1, 1, 0, 3, 0, 4, 1, 4,
      2.3, 3, 3.3,
    ],
  ),
  '9': figure(4, [0.6, 0, 2.8, 1.4, 4, 3.8, 4, 5, 3, 6, 1, 6, 0, 5, 0, 3.6, 1, 2.6, 3, 2.6, 4, 3.8]),
  A: figure(4, [0, 0, 2, 6, 4, 0], [0.7, 2, 3.3, 2]),
  B: figure(4, [0, 0, 0, 6, 3, 6, 4, 5.2, 4, 4.1, 3, 3.3, 0, 3.3], [3, 3.3, 4, 2.4, 4, 0.9, 3, 0, 0, 0]),
  C: figure(4, [4, 5, 3, 6, 1, 6, 0, 5, 0, 1, 1, 0, 3, 0, 4, 1]),
  D: figure(4, [0, 0, 0, 6, 2.4, 6, 4, 4.4, 4, 1.6, 2.4, 0, 0, 0]),
  E: figure(4, [4, 6, 0, 6, 0, 0, 4, 0], [0, 3.2, 3, 3.2]),
  F: figure(4, [4, 6, 0, 6, 0, 0], [0, 3.2, 3, 3.2]),
  G: figure(4, [4, 5, 3, 6, 1, 6, 0, 5, 0, 1, 1, 0, 3, 0, 4, 1, 4, 2.8, 2.4, 2.8]),
  H: figure(4, [0, 0, 0, 6], [4, 0, 4, 6], [0, 3.2, 4, 3.2]),
  I: figure(2, [1, 0, 1, 6], [0, 0, 2, 0], [0, 6, 2, 6]),
  J: figure(3.4, [3.4, 6, 3.4, 1, 2.4, 0, 1, 0, 0, 1]),
  K: figure(4, [0, 0, 0, 6], [4, 6, 0, 2.6], [1.3, 3.7, 4, 0]),
  L: figure(3.6, [0, 6, 0, 0, 3.6, 0]),
  M: figure(5, [0, 0, 0, 6, 2.5, 2.4, 5, 6, 5, 0]),
  N: figure(4, [0, 0, 0, 6, 4, 0, 4, 6]),
  O: figure(4, [1, 0, 3, 0, 4, 1, 4, 5, 3, 6, 1, 6, 0, 5, 0, 1, 1, 0]),
  P: figure(4, [0, 0, 0, 6, 3, 6, 4, 5.1, 4, 3.7, 3, 2.8, 0, 2.8]),
  Q: figure(4, [1, 0, 3, 0, 4, 1, 4, 5, 3, 6, 1, 6, 0, 5, 0, 1, 1, 0], [2.4, 1.8, 4.2, -0.4]),
  R: figure(4, [0, 0, 0, 6, 3, 6, 4, 5.1, 4, 3.9, 3, 3, 0, 3], [2, 3, 4, 0]),
  S: figure(4, [4, 5, 3, 6, 1, 6, 0, 5.1, 0, 4.2, 1, 3.3, 3, 2.9, 4, 2, 4, 0.9, 3, 0, 1, 0, 0, 1]),
  T: figure(4, [0, 6, 4, 6], [2, 6, 2, 0]),
  U: figure(4, [0, 6, 0, 1, 1, 0, 3, 0, 4, 1, 4, 6]),
  V: figure(4, [0, 6, 2, 0, 4, 6]),
  W: figure(5, [0, 6, 1.2, 0, 2.5, 4, 3.8, 0, 5, 6]),
  X: figure(4, [0, 0, 4, 6], [0, 6, 4, 0]),
  Y: figure(4, [0, 6, 2, 3, 4, 6], [2, 3, 2, 0]),
  Z: figure(4, [0, 6, 4, 6, 0, 0, 4, 0]),
  '-': figure(3, [0, 3, 3, 3]),
  '+': figure(3, [0, 3, 3, 3], [1.5, 1.5, 1.5, 4.5]),
  '=': figure(3, [0, 2.2, 3, 2.2], [0, 3.8, 3, 3.8]),
  '.': figure(0.6, [0.3, 0, 0.3, 0.6]),
  ',': figure(0.8, [0.8, 0.7, 0, -0.9]),
  ':': figure(0.6, [0.3, 0.8, 0.3, 1.4], [0.3, 3.6, 0.3, 4.2]),
  '/': figure(3, [0, 0, 3, 6]),
  '(': figure(1.4, [1.4, 6.4, 0, 4.6, 0, 1.4, 1.4, -0.4]),
  ')': figure(1.4, [0, 6.4, 1.4, 4.6, 1.4, 1.4, 0, -0.4]),
  ' ': figure(2),
  [TURN_SIGN]: figure(4.4, [4, 0.6, 4, 2.6, 3.4, 4, 2.2, 4.6, 0.2, 4.6], [1.8, 6, 0.2, 4.6, 1.8, 3.2]),
};

function figureOf(character: string): Figure {
  return FIGURES[character] ?? FIGURES[character.toUpperCase()] ?? BOX;
}

/** Width of a line of lettering with capitals `heightMm` high, mm; 0 for an empty text. */
export function letteringWidth(text: string, heightMm: number): number {
  const characters = [...text];
  const grid = characters.reduce((sum, character) => sum + figureOf(character).width, 0);
  return ((grid + GRID_SPACE * Math.max(0, characters.length - 1)) * heightMm) / GRID_HEIGHT;
}

export interface LetteringPlace {
  /** Left end of the baseline, mm. */
  readonly at: Point;
  /** Height of the capitals, mm. */
  readonly heightMm: number;
  /** Direction of the baseline, counter-clockwise from +x; 0 when absent. */
  readonly angleDeg?: number;
}

/** The strokes of one line of text. A comma, a bracket and the tail of Q reach up to 0.15 heights below the baseline. */
export function letteringStrokes(text: string, place: LetteringPlace): MarkStroke[] {
  const scale = place.heightMm / GRID_HEIGHT;
  const angle = ((place.angleDeg ?? 0) * Math.PI) / 180;
  const cos = Math.cos(angle) * scale;
  const sin = Math.sin(angle) * scale;
  const strokes: MarkStroke[] = [];
  let left = 0;
  for (const character of text) {
    const drawn = figureOf(character);
    for (const stroke of drawn.strokes) {
      const points: Point[] = [];
      for (let i = 0; i < stroke.length; i += 2) {
        const x = left + stroke[i]!;
        const y = stroke[i + 1]!;
        points.push({ x: place.at.x + cos * x - sin * y, y: place.at.y + sin * x + cos * y });
      }
      strokes.push({ points });
    }
    left += drawn.width + GRID_SPACE;
  }
  return strokes;
}
