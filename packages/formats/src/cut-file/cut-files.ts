import type { CutSheet } from '@inlaywright/workshop';
import { cutListRows, writeCutList } from './cut-list.ts';
import { seamsText } from './record.ts';
import { cutDxfText } from './write-dxf.ts';
import { cutSvgText } from './write-svg.ts';
import { writtenParts } from './written-curve.ts';

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
  const seamTexts = new Map<CutSheet['seams'], string>();
  const files = sheets.flatMap((sheet, i) => {
    const seams = seamTexts.get(sheet.seams) ?? seamsText(sheet.seams);
    seamTexts.set(sheet.seams, seams);
    const written = writtenParts(sheet);
    return [
      { name: `${stems[i + 1]}.svg`, text: cutSvgText(sheet, written, seams) },
      { name: `${stems[i + 1]}.dxf`, text: cutDxfText(sheet, written, seams) },
    ];
  });
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
