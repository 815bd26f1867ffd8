import type { PieceEntry } from '@inlaywright/formats';
import type { ReactElement } from 'react';
import type { PieceDrawing } from '../drawing/model.ts';
import { openEntry, takeUp } from '../state/page.ts';
import { usePage } from '../state/use-page.ts';
import type { Miniature } from '../worker/messages.ts';

/** The register of pieces: every piece with a small picture. */
export function Register(): ReactElement {
  const register = usePage((state) => state.register);
  const miniatures = usePage((state) => state.miniatures);
  const open = usePage((state) => state.open);
  const drawing = usePage((state) => state.drawing);
  const aside = usePage((state) => state.aside);
  return (
    <section className="register" aria-label="Pieces of the workspace">
      {register.state === 'loading' && <p className="hint">Reading the pieces …</p>}
      {register.state === 'ready' && register.pieces.length === 0 && (
        <p className="hint">No piece yet. Bring in artwork, or open a piece file.</p>
      )}
      <ul>
        {open && open.entry === null && (
          <li>
            <span className="register-entry is-open">
              <span className="miniature">
                {drawing && <MiniaturePicture miniature={miniatureFrom(drawing)} />}
              </span>
              <span>
                <span className="register-name">{open.name}</span>
                <small>not saved yet</small>
              </span>
            </span>
          </li>
        )}
        {aside.map((one) => (
          <li key={one.open.source.key}>
            <button type="button" className="register-entry" onClick={() => takeUp(one)}>
              <span className="miniature" />
              <span>
                <span className="register-name">{one.open.name}</span>
                <small>not saved yet</small>
              </span>
            </button>
          </li>
        ))}
        {register.pieces.map((piece) => (
          <li key={piece.id}>
            <Entry
              piece={piece}
              open={open?.entry?.id === piece.id}
              miniature={miniatures[`${piece.id}@${piece.version}`]}
            />
          </li>
        ))}
      </ul>
      {register.state === 'ready' && (
        <p className="hint register-hint">Drop an SVG drawing anywhere to bring it in.</p>
      )}
      {register.unreadable.length > 0 && (
        <details className="unreadable">
          <summary>{`${register.unreadable.length} cannot be read`}</summary>
          <ul>
            {register.unreadable.map((one) => (
              <li key={one.id}>{`${one.id}: ${one.detail}`}</li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
}

function Entry(props: {
  readonly piece: PieceEntry;
  readonly open: boolean;
  readonly miniature: Miniature | undefined;
}): ReactElement {
  const { piece, miniature } = props;
  return (
    <a
      className={`register-entry${props.open ? ' is-open' : ''}`}
      href={`#/pieces/${encodeURIComponent(piece.id)}`}
      aria-current={props.open ? 'page' : undefined}
      onClick={(event) => {
        if (event.metaKey || event.ctrlKey || event.shiftKey) return;
        event.preventDefault();
        void openEntry(piece);
      }}
    >
      <span className="miniature">{miniature && <MiniaturePicture miniature={miniature} />}</span>
      <span>
        <span className="register-name">{piece.name}</span>
        <small>{piece.savedAt === null ? 'demo' : `version ${piece.version}`}</small>
      </span>
    </a>
  );
}

/** The small picture of what is on the sheet. */
function miniatureFrom(drawing: PieceDrawing): Miniature {
  const colours = new Map(drawing.tones.map((tone) => [tone.id, tone.colour]));
  return {
    box: drawing.box,
    parts: drawing.parts.map((part) => ({ path: part.path, colour: colours.get(part.tone) ?? '#888888' })),
  };
}

function MiniaturePicture({ miniature }: { readonly miniature: Miniature }): ReactElement {
  const { box } = miniature;
  const width = box.maxX - box.minX;
  const height = box.maxY - box.minY;
  const pad = 0.03 * Math.max(width, height);
  return (
    <svg
      viewBox={`${box.minX - pad} ${box.minY - pad} ${width + 2 * pad} ${height + 2 * pad}`}
      aria-hidden="true"
      width="40"
      height="40"
    >
      {miniature.parts.map((part) => (
        <path
          key={part.path}
          d={part.path}
          fill={part.colour}
          fillRule="evenodd"
          className="miniature-part"
        />
      ))}
    </svg>
  );
}
