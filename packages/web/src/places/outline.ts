/** Outlines of boards: path data in mm, y up, to drawings, and from and to what is typed. */
import { readPathData } from '@inlaywright/formats';
import { type Curve, curveBounds } from '@inlaywright/geometry';

export function readOutline(text: string): readonly Curve[] {
  const reading = readPathData(text);
  return reading.ok ? reading.curves : [];
}

export interface BoardSize {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly minX: number;
  readonly minY: number;
}

/** Size of a board by its outermost ring. */
export function boardSize(outline: string): BoardSize | undefined {
  const [board] = readOutline(outline);
  if (!board) return undefined;
  const { minX, minY, maxX, maxY } = curveBounds(board);
  return { widthMm: maxX - minX, heightMm: maxY - minY, minX, minY };
}

export function rectangleOutline(widthMm: number, heightMm: number): string {
  return `M 0 0 L ${widthMm} 0 L ${widthMm} ${heightMm} L 0 ${heightMm} Z`;
}

/** Whether an outline is a plain rectangle along the axes. */
export function isRectangle(outline: string): boolean {
  const curves = readOutline(outline);
  const [board] = curves;
  if (curves.length !== 1 || !board || board.segments.length !== 4) return false;
  return board.segments.every(
    (segment) =>
      segment.kind === 'line' && (segment.from.x === segment.to.x || segment.from.y === segment.to.y),
  );
}

/** The corners of an outline of straight lines, `x y` a line; empty where it has arcs or several rings. */
export function cornersText(outline: string): string {
  const curves = readOutline(outline);
  const [board] = curves;
  if (curves.length !== 1 || !board || board.segments.some(({ kind }) => kind !== 'line')) return '';
  return board.segments.map(({ from }) => `${from.x} ${from.y}`).join('\n');
}

export type CornersReading =
  | { readonly ok: true; readonly outline: string }
  | { readonly ok: false; readonly message: string };

/**
 * Reads corners in mm, `x y` each, a line or a semicolon between them. Both decimal marks are taken, so that a comma never
 * parts two numbers.
 */
export function outlineFromCorners(text: string): CornersReading {
  const lines = text
    .split(/[\n;]+/)
    .map((line) => line.trim())
    .filter((line) => line !== '');
  const corners: [number, number][] = [];
  for (const [index, line] of lines.entries()) {
    const numbers = line.split(/\s+/);
    if (numbers.length !== 2 || !numbers.every((one) => /^[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)$/.test(one))) {
      return {
        ok: false,
        message: `Corner ${index + 1}, “${line}”: type two numbers, x and y, with a space between.`,
      };
    }
    corners.push(numbers.map((one) => Number(one.replace(',', '.'))) as [number, number]);
  }
  if (corners.length < 3) return { ok: false, message: 'A board has three corners or more.' };
  const [first, ...rest] = corners;
  return {
    ok: true,
    outline: `M ${first!.join(' ')} ${rest.map((corner) => `L ${corner.join(' ')}`).join(' ')} Z`,
  };
}
