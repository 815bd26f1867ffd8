import type { ReactElement } from 'react';
import type { DrawnNote } from '../drawing/model.ts';
import { point, select } from '../state/page.ts';
import { type Mark, sameMark } from '../state/page-state.ts';
import { usePage } from '../state/use-page.ts';

const WORD: Readonly<Record<DrawnNote['severity'], string>> = {
  error: 'Wrong',
  decision: 'Decide',
  warning: 'Watch',
  note: 'Note',
};

/** Findings as the notes of the drawing, numbered like their balloons. */
export function NotesList(props: {
  readonly notes: readonly DrawnNote[];
  readonly zoneOf: (note: DrawnNote) => string | null;
}): ReactElement {
  const pointed = usePage((state) => state.pointed);
  const selected = usePage((state) => state.selected);
  return (
    <section className="notes" aria-labelledby="notes-title">
      <h2 id="notes-title">Notes</h2>
      {props.notes.length === 0 ? (
        <p className="hint">Nothing was found that you should know before cutting.</p>
      ) : (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard
        <div className="scroll" tabIndex={0} role="region" aria-labelledby="notes-title">
          <ol>
            {props.notes.map((note) => {
              const mark: Mark = { kind: 'note', id: String(note.number) };
              const lit = sameMark(pointed, mark) || sameMark(selected, mark);
              const zone = props.zoneOf(note);
              return (
                <li
                  key={note.number}
                  className={`note note-${note.severity}${lit ? ' is-lit' : ''}`}
                  onPointerEnter={() => point(mark)}
                  onPointerLeave={() => point(null)}
                >
                  <button
                    type="button"
                    className="note-number"
                    aria-label={`Show note ${note.number} on the drawing`}
                    aria-pressed={sameMark(selected, mark)}
                    onFocus={() => point(mark)}
                    onBlur={() => point(null)}
                    onClick={() => select(sameMark(selected, mark) ? null : mark)}
                  >
                    {note.number}
                  </button>
                  <div>
                    <p>
                      <strong>{WORD[note.severity]}.</strong> {note.message}
                      {zone !== null && <span className="zone"> Zone {zone}.</span>}
                    </p>
                    {note.hint !== '' && <p className="note-hint">{note.hint}</p>}
                    {note.all.length > 1 && (
                      <details>
                        <summary>{`${note.all.length} places in all`}</summary>
                        <ul>
                          {note.all.slice(1).map((message) => (
                            <li key={message}>{message}</li>
                          ))}
                        </ul>
                      </details>
                    )}
                  </div>
                </li>
              );
            })}
          </ol>
        </div>
      )}
    </section>
  );
}
