import type { ReactElement } from 'react';
import { Swatch } from '../sheet/title-block.tsx';
import { changeArtwork, makeArtworkAPiece } from '../state/page.ts';
import { usePage } from '../state/use-page.ts';
import type { ArtworkFill, ArtworkSource } from '../worker/messages.ts';

const PIERCING = 'piercing';

/** What the fills of an artwork become: tones of their own, one tone together, or piercings. */
export function ArtworkTones({ source }: { readonly source: ArtworkSource }): ReactElement {
  const artwork = usePage((state) => state.artwork);
  const drawing = usePage((state) => state.drawing);
  const fills = artwork?.fills ?? [];
  const nameOf = (tone: string): string =>
    source.toneNames[tone] ?? drawing?.tones.find(({ id }) => id === tone)?.name ?? tone;
  const become = (fill: ArtworkFill, tone: string): void => {
    changeArtwork({ becomes: { ...source.becomes, [fill.key]: tone } });
  };
  // A tone stands under the first of its fills; the others say which one they joined.
  const owner = new Map<string, ArtworkFill>();
  for (const fill of fills) if (fill.tone !== PIERCING && !owner.has(fill.tone)) owner.set(fill.tone, fill);
  return (
    <section className="artwork" aria-labelledby="artwork-title">
      <h2 id="artwork-title">Artwork brought in</h2>
      <p className="hint">
        Each fill of the drawing is a tone: name it, join it with another, or declare it a piercing. Type the
        width at the dimension line under the drawing.
      </p>
      <ul className="fills">
        {fills.map((fill) => (
          <li key={fill.key}>
            <Swatch colour={fill.colour} />
            <div className="fill-fields">
              {owner.get(fill.tone) === fill ? (
                <input
                  type="text"
                  maxLength={60}
                  aria-label={`Name of the tone of fill ${fill.key}`}
                  value={nameOf(fill.tone)}
                  onChange={(event) =>
                    changeArtwork({ toneNames: { ...source.toneNames, [fill.tone]: event.target.value } })
                  }
                />
              ) : (
                <span className="fill-joined">
                  {fill.tone === PIERCING ? 'through opening' : `joined to ${nameOf(fill.tone)}`}
                </span>
              )}
              <select
                aria-label={`What fill ${fill.key} becomes`}
                value={fill.tone === PIERCING ? PIERCING : owner.get(fill.tone) === fill ? OWN : fill.tone}
                onChange={(event) =>
                  become(fill, event.target.value === OWN ? ownTone(fill, fills, source) : event.target.value)
                }
              >
                <option value={OWN}>its own tone</option>
                {fills
                  .filter((other) => owner.get(other.tone) === other && other !== fill)
                  .map((other) => (
                    <option key={other.key} value={other.tone}>{`same as ${nameOf(other.tone)}`}</option>
                  ))}
                <option value={PIERCING}>piercing</option>
              </select>
              <small>{`${fill.key}, ${fill.areas} ${fill.areas === 1 ? 'area' : 'areas'}`}</small>
            </div>
          </li>
        ))}
      </ul>
      <label className="choice-option">
        <input
          type="checkbox"
          checked={source.strokes}
          onChange={(event) => changeArtwork({ strokes: event.target.checked })}
        />
        <span>Turn strokes into outlines</span>
      </label>
      <button type="button" className="primary" onClick={() => void makeArtworkAPiece()}>
        Make it a piece
      </button>
    </section>
  );
}

const OWN = '';

/** A tone id that no other fill uses, from the fill's colour. */
function ownTone(fill: ArtworkFill, fills: readonly ArtworkFill[], source: ArtworkSource): string {
  const taken = new Set([
    ...fills.filter((other) => other !== fill).map((other) => other.tone),
    ...Object.values(source.becomes),
  ]);
  const stem = fill.key.replace(/[^a-z0-9]+/gi, '').toLowerCase() || 'tone';
  const base = `tone-${stem}`;
  if (!taken.has(base)) return base;
  for (let n = 2; ; n++) if (!taken.has(`${base}-${n}`)) return `${base}-${n}`;
}
