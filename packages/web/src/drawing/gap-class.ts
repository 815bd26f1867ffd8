/**
 * Classes of the signed gap of a seam, from hard interference to open air. A class is told by words, sign,
 * line pattern and width; its colour (Okabe and Ito's palette) comes on top and is never needed to read it.
 * A press fit overlaps 0.025 to 0.05 mm a side (common practice, no published source): the limits lie around that.
 */
export type GapClassId = 'hard' | 'presses' | 'meets' | 'hairline' | 'open';

export interface GapClass {
  readonly id: GapClassId;
  readonly name: string;
  /** Gaps from `fromMm` up to, not including, `toMm`. */
  readonly fromMm: number;
  readonly toMm: number;
  readonly widthPx: number;
  /** Dash pattern in px; empty for a continuous line. */
  readonly dash: string;
  readonly round: boolean;
}

export const GAP_CLASSES: readonly GapClass[] = [
  { id: 'hard', name: 'presses hard', fromMm: -Infinity, toMm: -0.05, widthPx: 5, dash: '', round: false },
  { id: 'presses', name: 'presses', fromMm: -0.05, toMm: -0.015, widthPx: 2.5, dash: '', round: false },
  { id: 'meets', name: 'just meets', fromMm: -0.015, toMm: 0.015, widthPx: 1.25, dash: '', round: false },
  {
    id: 'hairline',
    name: 'hairline of air',
    fromMm: 0.015,
    toMm: 0.05,
    widthPx: 2.5,
    dash: '7 4',
    round: false,
  },
  { id: 'open', name: 'open', fromMm: 0.05, toMm: Infinity, widthPx: 4, dash: '0.1 7', round: true },
];

/** The class of a gap in mm. */
export function gapClass(gapMm: number): GapClass {
  return GAP_CLASSES.find((one) => gapMm < one.toMm) ?? GAP_CLASSES[GAP_CLASSES.length - 1]!;
}

/** A signed number of mm with a true minus sign, `−0.031`, `+0.012`, `0.000`. */
export function signedMm(mm: number, digits = 3): string {
  const text = Math.abs(mm).toFixed(digits);
  if (Number(text) === 0) return text;
  return `${mm < 0 ? '\u2212' : '+'}${text}`;
}

/** The limits of a class in words, `−0.050 to −0.015`. */
export function limitsOf(one: GapClass): string {
  if (one.fromMm === -Infinity) return `below ${signedMm(one.toMm)}`;
  if (one.toMm === Infinity) return `${signedMm(one.fromMm)} and more`;
  return `${signedMm(one.fromMm)} to ${signedMm(one.toMm)}`;
}
