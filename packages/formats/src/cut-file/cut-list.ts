import { curveBounds } from '@inlaywright/geometry';
import type { CutSheet } from '@inlaywright/workshop';

/** A row of the cut list. Sizes are those of the finished part as it lies on the sheet, mm and mm2. */
export interface CutListRow {
  readonly part: string;
  readonly tone: string;
  readonly stock: string;
  readonly hand: string;
  readonly turned: boolean;
  readonly areaMm2: number;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly label: string;
}

const COLUMNS = ['part', 'tone', 'stock', 'hand', 'turned', 'area_mm2', 'width_mm', 'height_mm', 'label'];

/**
 * The parts of the sheets in order. Areas are those of the mosaic's parts, by id. Width and height are the box of the
 * outside beam path less the kerf at mid-depth: the path is the part grown by half that kerf, and a disk or ellipse
 * widens any box by exactly its own size.
 */
export function cutListRows(
  sheets: readonly CutSheet[],
  parts: readonly { readonly id: string; readonly areaMm2: number }[],
): CutListRow[] {
  const areas = new Map(parts.map((part) => [part.id, part.areaMm2]));
  return sheets.flatMap((sheet) =>
    sheet.parts.map((part) => {
      const outside = part.contours.filter((contour) => contour.role === 'outside');
      const boxes = outside.map((contour) => curveBounds(contour.curve));
      const fit = sheet.fit[part.tone];
      const kerfX = fit ? (fit.kerfEntry.xMm + fit.kerfExit.xMm) / 2 : 0;
      const kerfY = fit ? (fit.kerfEntry.yMm + fit.kerfExit.yMm) / 2 : 0;
      return {
        part: part.part,
        tone: part.tone,
        stock: sheet.stock,
        hand: part.hand,
        turned: part.turned,
        areaMm2: areas.get(part.part) ?? Number.NaN,
        widthMm:
          Math.max(...boxes.map((box) => box.maxX)) - Math.min(...boxes.map((box) => box.minX)) - kerfX,
        heightMm:
          Math.max(...boxes.map((box) => box.maxY)) - Math.min(...boxes.map((box) => box.minY)) - kerfY,
        label: part.label,
      };
    }),
  );
}

/**
 * The rows as CSV by RFC 4180: a header line, lines end with CR LF, fields with commas, quotes or line breaks in quotes.
 * Numbers have a point and three decimals; one that is unknown is left empty.
 */
export function writeCutList(rows: readonly CutListRow[]): string {
  const lines = rows.map((row) => [
    row.part,
    row.tone,
    row.stock,
    row.hand,
    row.turned ? 'yes' : 'no',
    numberText(row.areaMm2),
    numberText(row.widthMm),
    numberText(row.heightMm),
    row.label,
  ]);
  return [COLUMNS, ...lines].map((fields) => `${fields.map(fieldText).join(',')}\r\n`).join('');
}

function numberText(value: number): string {
  return Number.isFinite(value) ? value.toFixed(3) : '';
}

function fieldText(text: string): string {
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
