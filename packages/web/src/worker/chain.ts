/**
 * The chain from a source to its drawing: piece, partition, compensation, cut files, dry fit from those files
 * read back. What a stage made is kept while its input stays the same, so that a slider repeats only what
 * depends on it.
 */
import { cutFiles, fileStem, readCutSvg, writeCutSvg, writePiece } from '@inlaywright/formats';
import {
  type CutSheet,
  checkPiece,
  dryFit,
  type Finding,
  type Made,
  type Mosaic,
  makeParts,
  mosaic,
} from '@inlaywright/workshop';
import { drawPiece, outlineParts, type PartOutlines } from '../drawing/draw-piece.ts';
import { fitOf } from './fit-of.ts';
import type { Drawn, FileBundle, MakeSettings, Miniature, Source, TextFile } from './messages.ts';
import { type OpenedPiece, pieceOf } from './piece-of.ts';

interface Partitioned extends OpenedPiece {
  readonly mosaic: Mosaic;
  readonly outlines: PartOutlines;
  readonly checks: readonly Finding[];
}

/** Sources whose partition is kept: the one on the sheet, and a few to go back to. */
const KEPT = 4;
const kept = new Map<string, Partitioned>();

async function partitioned(source: Source): Promise<Partitioned> {
  const id = source.kind === 'piece' ? source.key : JSON.stringify({ ...source, text: '' });
  const found = kept.get(id);
  if (found) {
    kept.delete(id);
    kept.set(id, found);
    return found;
  }
  const opened = await pieceOf(source);
  const checks = checkPiece(opened.piece);
  const parts = mosaic(opened.piece);
  const made = { ...opened, checks, mosaic: parts, outlines: outlineParts(opened.piece, parts) };
  kept.set(id, made);
  for (const old of kept.keys()) {
    if (kept.size <= KEPT) break;
    kept.delete(old);
  }
  return made;
}

function madeOf(parts: Partitioned, settings: MakeSettings): Made {
  return makeParts(parts.mosaic, parts.piece.name, fitOf(settings), {
    share: settings.share,
    turn: settings.turn,
    stocks: settings.stocks,
    pair: settings.pair,
  });
}

/**
 * The drawing of a source. `goOn` is asked between stages and may say no: then the answer is null.
 * Throws what the stages throw.
 */
export async function drawSource(
  source: Source,
  settings: MakeSettings,
  goOn: () => Promise<boolean>,
): Promise<Drawn | null> {
  const parts = await partitioned(source);
  if (!(await goOn())) return null;
  const made = madeOf(parts, settings);
  if (!(await goOn())) return null;
  // From the text of the files, not from what was written into them: a fault in writing shows in the gaps.
  const readBack = made.sheets.map((sheet: CutSheet) => readCutSvg(writeCutSvg(sheet)));
  if (!(await goOn())) return null;
  const fitted = dryFit(readBack, fitOf(settings));
  const drawing = drawPiece({
    piece: parts.piece,
    pair: settings.pair,
    mosaic: parts.mosaic,
    outlines: parts.outlines,
    compensation: made.compensation,
    sheets: made.sheets,
    dryFit: fitted,
    findings: [
      ...parts.findings,
      ...parts.checks,
      ...made.findings,
      ...readBack.flatMap((sheet) => sheet.warnings),
      ...fitted.findings,
    ],
  });
  return { drawing, artwork: parts.artwork };
}

/** The cut files of all stocks in one zip. The same piece and settings give the same bytes. */
export async function bundleCutFiles(source: Source, settings: MakeSettings): Promise<FileBundle> {
  const { strToU8, zipSync } = await import('fflate');
  const parts = await partitioned(source);
  const files = cutFiles(parts.piece.name, madeOf(parts, settings).sheets, parts.mosaic.parts);
  const bytes = zipSync(
    Object.fromEntries(files.map((file) => [file.name, strToU8(file.text)])),
    // A fixed time keeps the bytes the same; zip cannot tell earlier years.
    { mtime: '1980-01-01T00:00:00' },
  );
  return {
    name: `${fileStem(parts.piece.name)}-cut-files.zip`,
    bytes,
    files: files.map((file) => file.name),
  };
}

export async function pieceFileOf(source: Source): Promise<TextFile> {
  const { piece } = await pieceOf(source);
  return { name: `${fileStem(piece.name)}.json`, text: writePiece(piece) };
}

export async function miniatureOf(source: Source): Promise<Miniature> {
  const { piece, outlines } = await partitioned(source);
  const colours = new Map(piece.tones.map((tone) => [tone.id, tone.colour]));
  return {
    box: outlines.box,
    parts: [...outlines.byPart.values()].map((part) => ({
      path: part.path,
      colour: colours.get(part.tone) ?? '#888888',
    })),
  };
}
