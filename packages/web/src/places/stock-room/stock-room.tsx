import type { ReactElement } from 'react';
import { addressOf, useAddress } from '../../state/place.ts';
import { readAgain } from '../../workspace/shelf.ts';
import { useDocuments, useMaterials, useShelf } from '../../workspace/use-shelf.ts';
import { PlaceTabs } from '../place-tabs.tsx';
import { ProblemNote } from '../problem-note.tsx';
import { MachinesPage } from './machines-page.tsx';
import { MaterialsPage } from './materials-page.tsx';
import { StocksPage } from './stocks-page.tsx';
import '../../styles/fit-views.css';
import '../../styles/book.css';
import '../../styles/stock-room.css';

/** The stock room: what there is to cut, and what cuts it. */
export function StockRoom(): ReactElement {
  const { rest, query } = useAddress();
  const [page = 'stocks', id] = rest;
  const problem = useShelf((state) => state.problem);
  const stocks = useDocuments('stocks');
  const machines = useDocuments('machines');
  const materials = useMaterials();
  const count = (items: readonly unknown[] | null): string => (items === null ? '' : String(items.length));
  return (
    <>
      <PlaceTabs
        label="Pages of the stock room"
        tabs={[
          {
            name: 'Stocks and boards',
            more: count(stocks),
            address: addressOf('stock-room'),
            open: page === 'stocks',
          },
          {
            name: 'Materials',
            more: count(materials),
            address: addressOf('stock-room', ['materials']),
            open: page === 'materials',
          },
          {
            name: 'Machines',
            more: count(machines),
            address: addressOf('stock-room', ['machines']),
            open: page === 'machines',
          },
        ]}
      />
      {problem ? (
        <main className="sheet sheet-empty">
          <ProblemNote
            problem={problem}
            onAgain={() => readAgain('stocks', 'sheets', 'machines', 'settings', 'materialTable')}
          />
        </main>
      ) : page === 'materials' ? (
        <MaterialsPage id={id} />
      ) : page === 'machines' ? (
        <MachinesPage id={id} setting={query.setting} />
      ) : (
        <StocksPage id={id} board={query.board} />
      )}
    </>
  );
}
