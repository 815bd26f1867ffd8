import type { ReactElement } from 'react';
import { addressOf, useAddress } from '../../state/place.ts';
import { readAgain } from '../../workspace/shelf.ts';
import { progressOf } from '../../workspace/trial-entries.ts';
import { useDocuments, useShelf } from '../../workspace/use-shelf.ts';
import { PlaceTabs } from '../place-tabs.tsx';
import { ProblemNote } from '../problem-note.tsx';
import { NewTrial } from './new-trial.tsx';
import { OutcomeForm } from './outcome-form.tsx';
import { RecordList } from './record-list.tsx';
import { RecordSheet } from './record-sheet.tsx';
import { Results } from './results/results.tsx';
import { TrialList } from './trial-list.tsx';
import { TrialSheet } from './trial-sheet.tsx';
import '../../styles/fit-views.css';
import '../../styles/book.css';
import '../../styles/results.css';

/** The fit book: how each machine cuts each stock with each setting, and the trials that say so. */
export function FitBook(): ReactElement {
  const { rest, query } = useAddress();
  const [page = 'records', id, deeper] = rest;
  const problem = useShelf((state) => state.problem);
  if (page === 'trials' && id !== undefined && deeper === 'results') {
    return <Results key={id} id={id} at={query.at} />;
  }
  if (page === 'records' && id !== undefined && deeper === 'batch') return <OutcomeForm key={id} id={id} />;
  return (
    <>
      <FitBookTabs page={page} />
      {problem ? (
        <main className="sheet sheet-empty">
          <ProblemNote problem={problem} onAgain={() => readAgain(...KINDS)} />
        </main>
      ) : page === 'trials' ? (
        id === undefined ? (
          <TrialList />
        ) : (
          <TrialSheet key={id} id={id} />
        )
      ) : page === 'new' ? (
        <NewTrial />
      ) : id !== undefined ? (
        <RecordSheet key={id} id={id} />
      ) : (
        <RecordList />
      )}
    </>
  );
}

const KINDS = ['machines', 'settings', 'stocks', 'trials', 'records', 'outcomes', 'preferences'] as const;

function FitBookTabs({ page }: { readonly page: string }): ReactElement {
  const records = useDocuments('records');
  const trials = useDocuments('trials');
  const inForce = records?.filter(({ supersededBy }) => supersededBy == null).length;
  const open = trials?.filter(({ body }) => {
    const { graded, steps, sizesRead, sizes } = progressOf(body.trial);
    return graded + sizesRead < steps + sizes;
  }).length;
  return (
    <PlaceTabs
      label="Pages of the fit book"
      tabs={[
        {
          name: 'Records',
          more: inForce === undefined ? '' : `${inForce} in force`,
          address: addressOf('fit-book'),
          open: page === 'records',
        },
        {
          name: 'Trials',
          more: open === undefined ? '' : open === 0 ? 'none waits' : `${open} to fill in`,
          address: addressOf('fit-book', ['trials']),
          open: page === 'trials',
        },
        {
          name: 'New trial',
          more: 'draw a coupon',
          address: addressOf('fit-book', ['new']),
          open: page === 'new',
        },
      ]}
    />
  );
}
