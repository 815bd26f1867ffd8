import { type Conflict, type TrialBody, trialBodySchema } from '@inlaywright/formats';
import { type ReactElement, useEffect, useRef, useState } from 'react';
import { addressOf, goTo } from '../../../state/place.ts';
import type { TrialDesk } from '../../../workspace/trial-desk.ts';
import { differing, type EntryKey, entryName, entryText, join } from '../../../workspace/trial-entries.ts';

export interface TwoVersionsProps {
  readonly desk: TrialDesk;
  readonly conflict: Conflict;
  /** The version that both started from, and this device's. */
  readonly base: TrialBody;
  readonly mine: TrialBody;
}

/** Another device saved the same trial in between: what either changed, and what to keep. */
export function TwoVersions({ desk, conflict, base, mine }: TwoVersionsProps): ReactElement | null {
  const [keepTheirs, setKeepTheirs] = useState<ReadonlySet<EntryKey>>(new Set());
  const [busy, setBusy] = useState(false);
  const title = useRef<HTMLHeadingElement>(null);
  useEffect(() => title.current?.focus(), []);
  const theirs = trialBodySchema.safeParse(conflict.theirs.content);
  if (!theirs.success) return null;
  const joined = join(base, mine, theirs.data, keepTheirs);
  const gone = conflict.theirs.deletedAt !== null;
  // What both typed alike is no difference.
  const changed = differing(mine, theirs.data);
  const choose = async (choice: Parameters<TrialDesk['choose']>[0]): Promise<void> => {
    setBusy(true);
    const copy = await desk.choose(choice);
    setBusy(false);
    if (copy) goTo(addressOf('fit-book', ['trials', copy.id, 'results']));
  };
  return (
    <section className="two-versions" aria-labelledby="two-versions-title">
      <h2 id="two-versions-title" ref={title} tabIndex={-1}>
        {gone ? 'Another device put this trial aside' : 'Another device saved this trial in between'}
      </h2>
      <p>
        {gone
          ? 'What you typed is kept here. Bring the trial back with it, or let it go.'
          : `Theirs is version ${conflict.theirs.version}, saved at ${timeOf(conflict.theirs.savedAt)}. Nothing is lost: both are here.`}
      </p>
      {changed.length > 0 && (
        <table className="plain-table">
          <thead>
            <tr>
              <th scope="col">Entry</th>
              <th scope="col">This device</th>
              <th scope="col">The other</th>
            </tr>
          </thead>
          <tbody>
            {changed.map((key) => {
              const contested = joined.both.includes(key);
              const own = joined.mine.includes(key);
              return (
                <tr key={key}>
                  <th scope="row">{entryName(key)}</th>
                  <td>
                    {contested ? (
                      <Pick
                        label={`${entryName(key)}: this device`}
                        name={key}
                        checked={!keepTheirs.has(key)}
                        text={entryText(mine, key)}
                        onPick={() => setKeepTheirs(without(keepTheirs, key))}
                      />
                    ) : own ? (
                      entryText(mine, key)
                    ) : (
                      <span className="hint">as before</span>
                    )}
                  </td>
                  <td>
                    {contested ? (
                      <Pick
                        label={`${entryName(key)}: the other device`}
                        name={key}
                        checked={keepTheirs.has(key)}
                        text={entryText(theirs.data, key)}
                        onPick={() => setKeepTheirs(new Set([...keepTheirs, key]))}
                      />
                    ) : own && !joined.theirs.includes(key) ? (
                      <span className="hint">as before</span>
                    ) : (
                      entryText(theirs.data, key)
                    )}
                  </td>
                </tr>
              );
            })}
          </tbody>
        </table>
      )}
      <div className="choices">
        <button
          type="button"
          className="primary"
          disabled={busy}
          onClick={() => void choose({ keep: 'both', theirs: keepTheirs })}
        >
          {gone ? 'Bring it back with mine' : joined.both.length > 0 ? 'Keep both, as chosen' : 'Keep both'}
        </button>
        {!gone && (
          <button type="button" disabled={busy} onClick={() => void choose({ keep: 'mine' })}>
            Keep mine only
          </button>
        )}
        <button type="button" disabled={busy} onClick={() => void choose({ keep: 'theirs' })}>
          {gone ? 'Let mine go' : 'Keep theirs only'}
        </button>
        <button type="button" disabled={busy} onClick={() => void choose({ keep: 'copy' })}>
          Mine as a trial of its own
        </button>
      </div>
      {!gone && (
        <p className="hint">
          Theirs stays among the trial’s versions whatever you choose; “Keep theirs only” lets yours go.
        </p>
      )}
    </section>
  );
}

function Pick(props: {
  readonly label: string;
  readonly name: string;
  readonly checked: boolean;
  readonly text: string;
  readonly onPick: () => void;
}): ReactElement {
  return (
    <label className="choice-option">
      <input
        type="radio"
        name={`two-versions-${props.name}`}
        aria-label={`${props.label}, ${props.text}`}
        checked={props.checked}
        onChange={props.onPick}
      />
      <span>{props.text}</span>
    </label>
  );
}

function without(set: ReadonlySet<EntryKey>, key: EntryKey): ReadonlySet<EntryKey> {
  return new Set([...set].filter((one) => one !== key));
}

function timeOf(iso: string): string {
  return new Date(iso).toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' });
}
