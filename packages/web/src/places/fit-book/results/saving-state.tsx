import type { ReactElement } from 'react';
import { type TrialDesk, type TrialState, waiting } from '../../../workspace/trial-desk.ts';
import { useShelf } from '../../../workspace/use-shelf.ts';

/** What is saved and what waits, in a line. */
export function SavingState(props: {
  readonly state: TrialState;
  readonly desk: TrialDesk | null;
}): ReactElement {
  const { state, desk } = props;
  const live = useShelf((shelf) => shelf.live);
  const count = waiting(state);
  const entries = count === 1 ? '1 entry waits' : `${count} entries wait`;
  const where = state.kept
    ? 'on this device'
    : 'in this page only: this browser keeps nothing, leave the page open';
  let mood = 'is-saved';
  let words = state.base ? `All saved, version ${state.base.version}` : 'Reading …';
  if (state.conflict) {
    mood = 'is-held';
    words = `${entries} ${where}: choose below`;
  } else if (state.refused) {
    mood = 'is-held';
    words = `${count > 0 ? `${entries} ${where}. ` : ''}${state.refused.title}: ${state.refused.detail}`;
  } else if (count > 0 && state.sending && !state.away) {
    mood = 'is-sending';
    words = 'Saving …';
  } else if (count > 0) {
    mood = 'is-waiting';
    words = `${entries} ${where}, sent as soon as the server answers`;
  } else if (state.away || live === false) {
    mood = 'is-waiting';
    words = `${words}; no connection, what you type is kept here`;
  }
  return (
    <p className={`saving ${mood}`} role="status">
      <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true">
        {mood === 'is-saved' ? (
          <path d="M2 7.5l3.5 3.5L12 3.5" />
        ) : mood === 'is-held' ? (
          <path d="M7 1.5v7M7 11v1.5" />
        ) : (
          <path d="M7 1.5v5.5l3.5 2M7 13a6 6 0 1 1 .01 0" />
        )}
      </svg>
      <span>{words}</span>
      {mood === 'is-waiting' && count > 0 && (
        <button type="button" onClick={() => desk?.sendNow()}>
          Try now
        </button>
      )}
    </p>
  );
}
