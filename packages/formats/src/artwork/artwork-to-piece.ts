/** From artwork to a piece: every fill becomes a tone, unless the maker merges it into another or declares it a piercing. */
import { type Area, PIERCING, type Piece, type Tone } from '@inlaywright/workshop';
import { FormatError } from '../errors.ts';
import type { Artwork, ArtworkArea, ArtworkFill } from './artwork.ts';
import { colourKey, parseColour } from './colour.ts';

export interface ArtworkToPieceOptions {
  /** Tone id by fill key; fills left out keep their suggested tone. Two fills with one tone id become one tone. */
  readonly toneOf?: Readonly<Record<string, string>>;
  /** Keys of the fills that are through openings. Nothing else is: white is a tone like any other. */
  readonly pierce?: readonly string[];
  readonly name: string;
}

const TONE_ID = /^[a-z0-9-]+$/;

/**
 * The piece the artwork draws. Keys may be written as any CSS colour (`#FFF`, `white`). Every area adds to the outline,
 * for artwork has no ground of its own: the lowest shape is only the first of several.
 * @throws FormatError no-areas, unknown-fill, bad-tone-id, tone-and-piercing, two-tones
 */
export function artworkToPiece(artwork: Artwork, options: ArtworkToPieceOptions): Piece {
  const toneOf = new Map<string, string>();
  for (const [text, tone] of Object.entries(options.toneOf ?? {})) {
    const { key } = findFill(artwork, text);
    const other = toneOf.get(key);
    if (other !== undefined && other !== tone) refuseTwoTones(key, other, tone);
    toneOf.set(key, tone);
  }
  const pierced = new Set((options.pierce ?? []).map((key) => findFill(artwork, key).key));
  for (const [key, tone] of toneOf) checkTone(key, tone, pierced);
  if (artwork.areas.every((area) => pierced.has(area.fill))) refuseEmpty(artwork);

  const idOf = (fill: ArtworkFill): string => toneOf.get(fill.key) ?? fill.toneId;
  const tones = new Map<string, Tone>();
  const toneByFill = new Map<string, string>();
  for (const fill of artwork.fills) {
    const id = pierced.has(fill.key) ? PIERCING : idOf(fill);
    toneByFill.set(fill.key, id);
    if (id === PIERCING || tones.has(id)) continue;
    const name = id === fill.toneId ? fill.toneName : id.replaceAll('-', ' ');
    tones.set(id, { id, name, colour: fill.colour });
  }
  return {
    name: options.name,
    tones: [...tones.values()],
    areas: artwork.areas.map((area) => toArea(area, toneByFill.get(area.fill)!)),
  };
}

function toArea(area: ArtworkArea, tone: string): Area {
  const { id, name, curves, fillRule } = area;
  const shape = { kind: 'path', curves, fillRule } as const;
  return tone === PIERCING ? { id, name, shape, tone } : { id, name, shape, tone, extendsOutline: true };
}

function findFill(artwork: Artwork, text: string): ArtworkFill {
  const colour = parseColour(text);
  const key = colour ? colourKey(colour) : text.toLowerCase();
  const fill = artwork.fills.find((candidate) => candidate.key === key);
  if (fill) return fill;
  const known = artwork.fills.map((candidate) => candidate.key).join(', ') || 'none';
  throw new FormatError('unknown-fill', `No area of the artwork has the fill ${text}. Its fills: ${known}.`, {
    where: text,
    hint: 'Take one of the fills listed; strokes have fills only when they are outlined.',
  });
}

function checkTone(key: string, tone: string, pierced: ReadonlySet<string>): void {
  if (pierced.has(key)) {
    throw new FormatError(
      'tone-and-piercing',
      `The fill ${key} cannot be the tone "${tone}" and a piercing at once.`,
      {
        where: key,
        hint: 'Keep one of the two.',
      },
    );
  }
  if (TONE_ID.test(tone) && tone !== PIERCING) return;
  const reason = tone === PIERCING ? 'is reserved for through openings' : 'is not a tone id';
  throw new FormatError('bad-tone-id', `"${tone}" ${reason}; the fill ${key} needs another.`, {
    where: key,
    hint:
      tone === PIERCING
        ? 'Declare the fill a piercing instead of giving it a tone.'
        : 'Use lower-case letters, digits and hyphens.',
  });
}

function refuseTwoTones(key: string, one: string, other: string): never {
  throw new FormatError('two-tones', `The fill ${key} is given two tones: "${one}" and "${other}".`, {
    where: key,
    hint: 'Keep one of the two.',
  });
}

function refuseEmpty(artwork: Artwork): never {
  const reason =
    artwork.areas.length > 0
      ? 'Every area of the artwork is declared a piercing: nothing is left to pierce.'
      : `The artwork has no area. ${artwork.warnings.map((warning) => warning.message).join(' ')}`.trim();
  throw new FormatError('no-areas', reason, {
    where: 'the artwork',
    hint:
      artwork.areas.length > 0
        ? 'Keep at least one fill as a tone.'
        : 'Fill its shapes, or ask for strokes to be outlined.',
  });
}
