import { type ReactElement, type ReactNode, useEffect, useRef, useState } from 'react';
import type { PieceDrawing } from '../drawing/model.ts';
import { downloadCutFiles, setStock } from '../state/page.ts';
import { usePage } from '../state/use-page.ts';
import { numbersOf } from '../worker/fit-of.ts';

/** The title block at the foot of the sheet (fields after ISO 7200), where what it names is also opened. */
export function TitleBlock({
  drawing,
  scale,
}: {
  readonly drawing: PieceDrawing;
  readonly scale: string;
}): ReactElement {
  const open = usePage((state) => state.open);
  const settings = usePage((state) => state.settings);
  const busy = usePage((state) => state.busy);
  const [stocksOpen, setStocksOpen] = useState(false);
  const { stocks } = settings;
  const fit = numbersOf(settings, null);
  const measured = [settings.records.all, ...Object.values(settings.records.byTone)].some(Boolean);
  const decisions = drawing.notes.filter((note) => note.severity === 'decision').length;
  const hands = settings.pair ? 2 : 1;
  const date = open?.entry?.savedAt?.slice(0, 10) ?? new Date().toISOString().slice(0, 10);
  return (
    <section className="title-block" aria-label="Title block">
      <Cell name="Piece" wide>
        <span className="title-name">{drawing.name}</span>
      </Cell>
      <Cell name="Version">
        {open?.entry ? `${open.entry.version}${open.unsaved ? ', changed' : ''}` : 'not saved'}
      </Cell>
      <Cell name="Scale">{scale}</Cell>
      <Cell name="Sizes">mm</Cell>
      <Cell name="Parts">
        {drawing.parts.length}
        {hands === 2 && ' \u00d7 2'}
      </Cell>
      <div className="cell cell-open">
        <button
          type="button"
          aria-expanded={stocksOpen}
          aria-controls="stocks-flap"
          onClick={() => setStocksOpen(!stocksOpen)}
        >
          <span className="cell-name">Stocks</span>
          <span className="cell-value">{stockWords(drawing, stocks)}</span>
        </button>
        {stocksOpen && <StocksFlap drawing={drawing} stocks={stocks} onClose={() => setStocksOpen(false)} />}
      </div>
      <div className="cell cell-open">
        <button type="button" onClick={goToFit}>
          <span className="cell-name">{measured ? 'Fit, from the fit book' : 'Fit'}</span>
          <span className="cell-value">
            {`kerf ${fit.kerfEntryMm.toFixed(2)} / ${fit.kerfExitMm.toFixed(2)}, allowance ${fit.allowanceMm.toFixed(3)}`}
          </span>
        </button>
      </div>
      <Cell name={open?.entry?.savedAt ? 'Saved on' : 'Date'}>{date}</Cell>
      <div className="cell cell-action">
        <button
          type="button"
          className="primary"
          disabled={busy !== null}
          onClick={() => void downloadCutFiles()}
        >
          {busy === 'writing' ? 'Writing \u2026' : 'Cut files'}
        </button>
        <span className="cell-name">
          {decisions > 0 ? `${decisions} to decide first, see notes` : 'SVG and DXF of each stock'}
        </span>
      </div>
    </section>
  );
}

/** Takes eye and focus to the first number of the fit, which stands elsewhere on narrow screens. */
function goToFit(): void {
  const field = document.querySelector<HTMLInputElement>('.fit input[type="text"]');
  field?.scrollIntoView({ block: 'center' });
  field?.focus();
}

export function Cell(props: {
  readonly name: string;
  readonly wide?: boolean;
  readonly children: ReactNode;
}): ReactElement {
  return (
    <div className={`cell${props.wide ? ' cell-wide' : ''}`}>
      <span className="cell-name">{props.name}</span>
      <span className="cell-value">{props.children}</span>
    </div>
  );
}

function stockWords(drawing: PieceDrawing, stocks: Readonly<Record<string, string>>): string {
  return drawing.tones
    .filter((tone) => tone.parts > 0)
    .map((tone) => stocks[tone.id] ?? tone.id)
    .join(', ');
}

/** What each tone is cut from. Opens out of the title block; Escape folds it back. */
function StocksFlap(props: {
  readonly drawing: PieceDrawing;
  readonly stocks: Readonly<Record<string, string>>;
  readonly onClose: () => void;
}): ReactElement {
  const first = useRef<HTMLInputElement>(null);
  useEffect(() => first.current?.focus(), []);
  return (
    <div
      className="flap"
      id="stocks-flap"
      role="group"
      aria-labelledby="stocks-title"
      onKeyDown={(event) => event.key === 'Escape' && props.onClose()}
    >
      <div className="flap-head">
        <h2 id="stocks-title">Tones and stocks</h2>
        <button type="button" onClick={props.onClose}>
          Fold back
        </button>
      </div>
      <p className="hint">
        Parts of one stock stand in one file. Write it as you label your boards, such as holly-3mm.
      </p>
      <table>
        <thead>
          <tr>
            <th scope="col">Tone</th>
            <th scope="col">Parts</th>
            <th scope="col">Area, mm²</th>
            <th scope="col">Cut from</th>
          </tr>
        </thead>
        <tbody>
          {props.drawing.tones.map((tone, index) => (
            <tr key={tone.id}>
              <th scope="row">
                <Swatch colour={tone.colour} /> {tone.name}
              </th>
              <td>{tone.parts}</td>
              <td>{tone.areaMm2.toFixed(1)}</td>
              <td>
                <input
                  ref={index === 0 ? first : undefined}
                  type="text"
                  maxLength={60}
                  aria-label={`Stock for ${tone.name}`}
                  placeholder={tone.id}
                  defaultValue={props.stocks[tone.id] ?? ''}
                  onBlur={(event) => setStock(tone.id, event.target.value)}
                  onKeyDown={(event) => event.key === 'Enter' && setStock(tone.id, event.currentTarget.value)}
                />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

export function Swatch({ colour }: { readonly colour: string }): ReactElement {
  return (
    <svg className="swatch" width="16" height="16" aria-hidden="true">
      <rect x="0.5" y="0.5" width="15" height="15" fill={colour} />
    </svg>
  );
}
