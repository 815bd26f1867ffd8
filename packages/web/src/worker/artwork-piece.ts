/** Artwork to piece, in a file of its own: the SVG reader is loaded only when an artwork comes. */
import { type Artwork, artworkToPiece, readArtwork } from '@inlaywright/formats';
import { PIERCING } from '@inlaywright/workshop';
import type { ArtworkSource, ArtworkSummary } from './messages.ts';
import type { OpenedPiece } from './piece-of.ts';

/** The piece that an artwork draws, its fills mapped as the source says. Throws FormatError. */
export function artworkPiece(source: ArtworkSource): OpenedPiece {
  const artwork = artworkOf(source);
  const pierce = artwork.fills.map((fill) => fill.key).filter((key) => source.becomes[key] === PIERCING);
  const toneOf = Object.fromEntries(Object.entries(source.becomes).filter(([, tone]) => tone !== PIERCING));
  const made = artworkToPiece(artwork, { toneOf, pierce, name: source.name });
  const piece = {
    ...made,
    tones: made.tones.map((tone) => ({ ...tone, name: source.toneNames[tone.id] ?? tone.name })),
  };
  return { piece, findings: artwork.warnings, artwork: summary(artwork, source) };
}

let kept: { readonly id: string; readonly artwork: Artwork } | undefined;

/** The artwork of a source; kept while file, width and strokes stay the same, for roles and names change often. */
function artworkOf(source: ArtworkSource): Artwork {
  const id = `${source.key} ${source.widthMm} ${source.strokes}`;
  if (kept?.id === id) return kept.artwork;
  const artwork = readArtwork(source.text, {
    strokes: source.strokes,
    ...(source.widthMm === null ? {} : { widthMm: source.widthMm }),
  });
  kept = { id, artwork };
  return artwork;
}

function summary(artwork: Artwork, source: ArtworkSource): ArtworkSummary {
  return {
    widthMm: artwork.viewport.widthMm,
    heightMm: artwork.viewport.heightMm,
    fills: artwork.fills.map((fill) => ({
      key: fill.key,
      colour: fill.colour,
      areas: artwork.areas.filter((area) => area.fill === fill.key).length,
      tone: source.becomes[fill.key] ?? fill.toneId,
    })),
  };
}
