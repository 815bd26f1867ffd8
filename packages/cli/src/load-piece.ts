import { basename, extname } from 'node:path';
import { artworkToPiece, readArtwork, readPiece } from '@inlaywright/formats';
import type { Finding, Piece } from '@inlaywright/workshop';
import { InputError } from './fail.ts';
import { lengthOption, pairsOption } from './options.ts';
import { readText } from './read-input.ts';

export interface PieceOptions {
  readonly tone: readonly string[];
  readonly pierce: readonly string[];
  readonly width?: string;
  readonly strokes?: boolean;
}

export interface LoadedPiece {
  readonly piece: Piece;
  readonly findings: readonly Finding[];
}

/** A piece from a piece file or from SVG artwork, told apart by content, not by the name's ending. */
export function loadPiece(path: string, options: PieceOptions): LoadedPiece {
  const text = readText(path);
  const start = text.replace(/^\uFEFF/, '').trimStart();
  if (start.startsWith('{')) {
    refuseArtworkOptions(path, options);
    return { piece: readPiece(text), findings: [] };
  }
  if (start.startsWith('<')) return fromArtwork(path, text, options);
  throw new InputError(
    `${path} is neither a piece file nor SVG artwork.`,
    path,
    'A piece file starts with "{", an SVG file with "<".',
  );
}

function refuseArtworkOptions(path: string, options: PieceOptions): void {
  const given = [
    options.tone.length > 0 && '--tone',
    options.pierce.length > 0 && '--pierce',
    options.width !== undefined && '--width',
    options.strokes === true && '--strokes',
  ].filter(Boolean);
  if (given.length === 0) return;
  throw new InputError(
    `${given.join(' and ')} belong to SVG artwork; ${path} is a piece file, which has its own tones and sizes.`,
    given.join(', '),
    'Leave the option out, or change the piece file.',
  );
}

function fromArtwork(path: string, text: string, options: PieceOptions): LoadedPiece {
  const widthMm = options.width === undefined ? undefined : lengthOption('--width', options.width);
  if (widthMm !== undefined && !(widthMm > 0 && widthMm <= 2000)) {
    throw new InputError(
      `A width of ${widthMm} mm is not possible.`,
      '--width',
      'Give more than 0 and up to 2000 mm.',
    );
  }
  const artwork = readArtwork(text, {
    ...(widthMm === undefined ? {} : { widthMm }),
    strokes: options.strokes ?? false,
  });
  const toneOf = pairsOption('--tone', options.tone);
  const name = basename(path, extname(path));
  return {
    piece: artworkToPiece(artwork, { toneOf, pierce: options.pierce, name }),
    findings: artwork.warnings,
  };
}
