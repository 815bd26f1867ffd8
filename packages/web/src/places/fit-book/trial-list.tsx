import type { Document } from '@inlaywright/formats';
import type { ReactElement } from 'react';
import { addressOf } from '../../state/place.ts';
import { trialsWaiting } from '../../workspace/trial-desk.ts';
import { progressOf } from '../../workspace/trial-entries.ts';
import { useDocuments } from '../../workspace/use-shelf.ts';
import { useNames } from './names.ts';

/** Every coupon that was drawn, those that wait for results first. */
export function TrialList(): ReactElement {
  const trials = useDocuments('trials');
  const names = useNames();
  const here = new Set(trialsWaiting());
  const isOpen = ({ body }: Document<'trials'>): boolean => {
    const { graded, steps, sizesRead, sizes } = progressOf(body.trial);
    return graded + sizesRead < steps + sizes;
  };
  const ordered = [...(trials ?? [])].sort(
    (a, b) => Number(isOpen(b)) - Number(isOpen(a)) || (a.savedAt < b.savedAt ? 1 : -1),
  );
  return (
    <main className="sheet list-sheet">
      <div className="list-head">
        <h1>Trials</h1>
        <p className="hint">
          A coupon that was cut, tried and measured. Results can be typed in on any device that shows this
          page.
        </p>
      </div>
      {trials === null ? (
        <p className="hint" role="status">
          Reading the trials …
        </p>
      ) : ordered.length === 0 ? (
        <div className="empty">
          <h2>No trial yet</h2>
          <p>
            <a className="button primary" href={addressOf('fit-book', ['new'])}>
              Start a trial
            </a>
          </p>
        </div>
      ) : (
        <ul className="record-list trial-list">
          {ordered.map((trial) => {
            const progress = progressOf(trial.body.trial);
            const open = isOpen(trial);
            return (
              <li key={trial.id}>
                <a href={addressOf('fit-book', ['trials', trial.id])}>
                  <span className="record-of">
                    <strong>{trial.body.name}</strong>
                    <span>{names.all(trial.body)}</span>
                  </span>
                  <span className="record-figure">
                    <small>graded</small>
                    <span className="figures">{`${progress.graded} of ${progress.steps} steps`}</span>
                  </span>
                  <span className="record-figure">
                    <small>measured</small>
                    <span className="figures">{`${progress.sizesRead} of ${progress.sizes} sizes`}</span>
                  </span>
                  <span className="record-age">
                    <small>{trial.body.trial.date ?? 'no day yet'}</small>
                    <span>
                      {here.has(trial.id)
                        ? 'entries wait on this device'
                        : open
                          ? 'waits for results'
                          : 'filled in'}
                    </span>
                  </span>
                </a>
                {open && (
                  <a className="button" href={addressOf('fit-book', ['trials', trial.id, 'results'])}>
                    Type in results
                  </a>
                )}
              </li>
            );
          })}
        </ul>
      )}
    </main>
  );
}
