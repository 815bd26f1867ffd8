import { readPiece } from '@inlaywright/formats';
import type { Finding, Piece } from '@inlaywright/workshop';
import type { ArtworkSummary, Source } from './messages.ts';

export interface OpenedPiece {
  readonly piece: Piece;
  /** Findings of the reading itself. */
  readonly findings: readonly Finding[];
  readonly artwork: ArtworkSummary | null;
}

/** The piece that a source describes. Rejects with FormatError for text that cannot be read. */
export async function pieceOf(source: Source): Promise<OpenedPiece> {
  if (source.kind === 'piece') return { piece: readPiece(source.text), findings: [], artwork: null };
  const { artworkPiece } = await import('./artwork-piece.ts');
  return artworkPiece(source);
}
