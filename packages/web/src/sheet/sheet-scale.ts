/**
 * From millimetres of the piece to pixels of the sheet. The scale is one a drawing would state (in round steps), on a screen of 96 px to the inch; other screens differ, which is why the sheet also bears a scale bar.
 */
import type { Box, Place } from '../drawing/model.ts';

export const PX_PER_MM = 96 / 25.4;

export interface Size {
  readonly width: number;
  readonly height: number;
}

export interface Insets {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** How close the reader has come: a factor on the stated scale, and the px the drawing was moved by. */
export interface Closeness {
  readonly factor: number;
  readonly dx: number;
  readonly dy: number;
}

export const WHOLE: Closeness = { factor: 1, dx: 0, dy: 0 };

export interface SheetScale {
  /** px for one mm. */
  readonly k: number;
  readonly originX: number;
  readonly originY: number;
  /** `4.5:1`. */
  readonly stated: string;
}

/** The largest ratio in steps of 0.5, below 5 of 0.2, that is not above `ratio`; reductions step likewise. */
export function statedRatio(ratio: number): number {
  const steps = (value: number): number => (value < 5 ? 5 : 2);
  if (ratio >= 1) return Math.floor(ratio * steps(ratio) + 1e-9) / steps(ratio);
  const times = 1 / ratio;
  return 1 / (Math.ceil(times * steps(times) - 1e-9) / steps(times));
}

export function ratioText(ratio: number): string {
  const round = (value: number): string => String(Number(value.toFixed(1)));
  return ratio >= 1 ? `${round(ratio)}:1` : `1:${round(1 / ratio)}`;
}

/** The scale that shows the box whole within the insets, come closer by `closeness`. */
export function fitSheet(box: Box, size: Size, insets: Insets, closeness: Closeness): SheetScale {
  const width = Math.max(1e-6, box.maxX - box.minX);
  const height = Math.max(1e-6, box.maxY - box.minY);
  const roomX = Math.max(40, size.width - insets.left - insets.right);
  const roomY = Math.max(40, size.height - insets.top - insets.bottom);
  const ratio = statedRatio(Math.min(roomX / width, roomY / height) / PX_PER_MM) * closeness.factor;
  const k = ratio * PX_PER_MM;
  return {
    k,
    originX: insets.left + roomX / 2 + closeness.dx - (k * (box.minX + box.maxX)) / 2,
    originY: insets.top + roomY / 2 + closeness.dy - (k * (box.minY + box.maxY)) / 2,
    stated: ratioText(ratio),
  };
}

export function toPx(scale: SheetScale, place: Place): Place {
  return { x: scale.originX + scale.k * place.x, y: scale.originY + scale.k * place.y };
}

export function boxToPx(scale: SheetScale, box: Box): Box {
  const low = toPx(scale, { x: box.minX, y: box.minY });
  const high = toPx(scale, { x: box.maxX, y: box.maxY });
  return { minX: low.x, minY: low.y, maxX: high.x, maxY: high.y };
}

/** A round length for the scale bar, mm: about `wantedPx` long. */
export function barLength(scale: SheetScale, wantedPx: number): number {
  const mm = wantedPx / scale.k;
  const power = 10 ** Math.floor(Math.log10(mm));
  const step = [5, 2, 1].find((n) => n * power <= mm) ?? 1;
  return step * power;
}
