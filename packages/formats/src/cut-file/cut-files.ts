import type { CutSheet } from '@inlaywright/workshop';
import { cutListRows, writeCutList } from './cut-list.ts';
import { writeCutDxf } from './write-dxf.ts';
import { writeCutSvg } from './write-svg.ts';

export interface NamedText {
  readonly name: string;
  readonly text: string;
}

/**
 * All files of a piece's sheets: an SVG and a DXF per stock, and one cut list, named after piece and stock.
 * `parts` gives the drawn areas for the cut list.
 */
export function cutFiles(
  piece: string,
  sheets: readonly CutSheet[],
  parts: readonly { readonly id: string; readonly areaMm2: number }[],
): NamedText[] {
  const stems = distinct([
    fileStem(piece),
    ...sheets.map((sheet) => `${fileStem(piece)}-${fileStem(sheet.stock)}`),
  ]);
  const files = sheets.flatMap((sheet, i) => [
    { name: `${stems[i + 1]}.svg`, text: writeCutSvg(sheet) },
    { name: `${stems[i + 1]}.dxf`, text: writeCutDxf(sheet) },
  ]);
  return [...files, { name: `${stems[0]}-cut-list.csv`, text: writeCutList(cutListRows(sheets, parts)) }];
}

/** A name that every file system takes: letters, digits and hyphens, never empty, never too long. */
export function fileStem(name: string): string {
  const plain = name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60);
  return plain === '' ? 'piece' : plain;
}

/** Two stocks whose names differ only in signs must not write one file over the other. */
function distinct(stems: readonly string[]): string[] {
  const taken = new Set<string>();
  return stems.map((stem) => {
    let name = stem;
    for (let count = 2; taken.has(name); count++) name = `${stem}-${count}`;
    taken.add(name);
    return name;
  });
}
