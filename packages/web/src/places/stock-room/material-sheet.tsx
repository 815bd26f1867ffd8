import type { Document, MaterialEntry } from '@inlaywright/formats';
import { type ReactElement, useState } from 'react';
import { addressOf, goTo } from '../../state/place.ts';
import { Cautions } from './cautions.tsx';
import { BASIS_WORDS, FIGURE_WORDS } from './figures.ts';
import { MaterialForm } from './material-form.tsx';
import { MovementPicture, PliesPicture } from './material-pictures.tsx';

/** One material: how it moves, its figures each with source and basis, its hazards, and what the laser makes of it. */
export function MaterialSheet(props: {
  readonly material: MaterialEntry;
  readonly all: readonly MaterialEntry[];
  /** The stored document of the maker's own. */
  readonly document: Document<'materials'> | null;
}): ReactElement {
  const { material, all, document } = props;
  const [editing, setEditing] = useState(false);
  const { name, botanicalName, figures, hazard, layers, notes, cautions } = material;
  const sources = [...new Set(Object.values(figures).map(({ source }) => source))];
  const rows = Object.entries(figures);
  if (editing && document) {
    return (
      <MaterialForm
        document={document}
        onSaved={() => setEditing(false)}
        onGone={() => goTo(addressOf('stock-room', ['materials']))}
      />
    );
  }
  return (
    <article className="material">
      <header className="room-head">
        <div>
          <h2>{name}</h2>
          {botanicalName !== '' && <p className="hint">{botanicalName}</p>}
        </div>
        <p className="room-head-actions">
          {document && (
            <button type="button" onClick={() => setEditing(true)}>
              Change
            </button>
          )}
          <a className="button" href={addressOf('stock-room', ['stocks', 'new'], { material: material.id })}>
            Make it a stock
          </a>
        </p>
      </header>
      <Cautions cautions={cautions} />
      <div className="material-drawings">
        {figures.shrinkageTangentialPct && figures.shrinkageRadialPct && (
          <MovementPicture
            radialPct={figures.shrinkageRadialPct.value}
            tangentialPct={figures.shrinkageTangentialPct.value}
          />
        )}
        {layers && layers.length > 0 && (
          <PliesPicture
            layers={layers.map((layer) => ({
              ...layer,
              name: all.find(({ id }) => id === layer.material)?.name ?? layer.material,
            }))}
          />
        )}
      </div>
      {rows.length === 0 ? (
        <p className="hint">No published figure is known here.</p>
      ) : (
        <div className="scroll-x">
          <table className="plain-table figures-table">
            <thead>
              <tr>
                <th scope="col">Figure</th>
                <th scope="col">Value</th>
                <th scope="col">How it is known</th>
              </tr>
            </thead>
            <tbody>
              {rows.map(([key, { value, source, basis }]) => (
                <tr key={key}>
                  <th scope="row">{FIGURE_WORDS[key]?.name ?? key}</th>
                  <td className="figures">{`${value} ${FIGURE_WORDS[key]?.unit ?? ''}`}</td>
                  <td>
                    {BASIS_WORDS[basis] ?? basis}{' '}
                    <span className="figures">{`[${sources.indexOf(source) + 1}]`}</span>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
      {sources.length > 0 && (
        <ol className="sources" aria-label="Sources">
          {sources.map((source, index) => (
            <li key={source}>
              <span className="figures">{`[${index + 1}] `}</span>
              {source}
            </li>
          ))}
        </ol>
      )}
      {'bendingStrengthMPa' in figures && (
        <p className="hint">
          Averages of clear wood of the species, not design values: a board may differ by a quarter.
        </p>
      )}
      {hazard && (
        <section className="hazard" aria-labelledby="hazard-title">
          <h3 id="hazard-title">Hazard</h3>
          <p>
            {`Dust or contact is known as ${hazard.reactions.join(', ')}; affects ${hazard.sites.join(', ') || 'not said'}; potency ${hazard.potency || 'not said'}.`}
          </p>
          <p className="hint">
            {`Listed as ${hazard.listedAs}. ${hazard.source} (${BASIS_WORDS[hazard.basis] ?? hazard.basis}). A usual caution, not medical advice: look at the safety data sheet, and extract smoke and dust.`}
          </p>
        </section>
      )}
      {notes.map((note) => (
        <p key={note} className="hint">
          {note}
        </p>
      ))}
    </article>
  );
}
