import type { Finding } from '../finding.ts';
import type { FitByTone } from '../fit/fit-record.ts';
import type { Mosaic } from '../mosaic/model.ts';
import { mosaic as partition } from '../mosaic/mosaic.ts';
import { compensate } from '../parts/compensate.ts';
import { cutSheets } from '../parts/cut-sheet.ts';
import type { CutSheet } from '../parts/cut-sheet-model.ts';
import type { Compensation, CompensationOptions } from '../parts/model.ts';
import type { Piece } from '../piece/piece.ts';

export interface MakeOptions extends CompensationOptions {
  /** Stock by tone id; a tone without one is cut from a stock of its own name. */
  readonly stocks: Readonly<Record<string, string>>;
  /** Also make the mirrored partner. */
  readonly pair: boolean;
}

export interface Made {
  readonly mosaic: Mosaic;
  readonly compensation: Compensation;
  /** One sheet per stock, parts side by side. */
  readonly sheets: readonly CutSheet[];
  /** Findings of the partition and the compensation; the dry fit adds its own after the files are read back. */
  readonly findings: readonly Finding[];
}

export const defaultMakeOptions: MakeOptions = { share: 'inserted', turn: 'auto', stocks: {}, pair: false };

/**
 * The chain from a piece to what is cut: partition, compensation, sheets. Page, server and command line
 * all call this, so that they cannot differ. The dry fit is not part of it: it is computed from the
 * written files.
 */
export function make(piece: Piece, fit: FitByTone, options: MakeOptions = defaultMakeOptions): Made {
  return makeParts(partition(piece), piece.name, fit, options);
}

/** The chain after the partition, for a caller that keeps the partition while fit and options change. */
export function makeParts(parts: Mosaic, pieceName: string, fit: FitByTone, options: MakeOptions): Made {
  const compensation = compensate(parts, fit, options);
  const sheets = cutSheets(compensation, parts, {
    piece: pieceName,
    fit,
    stockOfTone: options.stocks,
    pair: options.pair,
  });
  return { mosaic: parts, compensation, sheets, findings: [...parts.findings, ...compensation.findings] };
}
