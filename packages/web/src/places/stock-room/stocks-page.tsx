import type { Document } from '@inlaywright/formats';
import { type ReactElement, useState } from 'react';
import { addressOf, goTo, useAddress } from '../../state/place.ts';
import { useDocuments, useMaterials } from '../../workspace/use-shelf.ts';
import { BoardForm } from './board-form.tsx';
import { BoardShelf } from './board-shelf.tsx';
import { Cautions } from './cautions.tsx';
import { StockForm } from './stock-form.tsx';

/** The shelf: every stock, and the boards and offcuts there are of it. */
export function StocksPage(props: {
  readonly id: string | undefined;
  readonly board: string | undefined;
}): ReactElement {
  const stocks = useDocuments('stocks');
  const sheets = useDocuments('sheets');
  const materials = useMaterials();
  const { query } = useAddress();
  const isNew = props.id === 'new';
  const open = isNew ? undefined : (stocks?.find(({ id }) => id === props.id) ?? stocks?.[0]);
  const materialName = (id: string): string => materials?.find((one) => one.id === id)?.name ?? id;
  const boardsOf = (id: string): readonly Document<'sheets'>[] =>
    (sheets ?? []).filter(({ body }) => body.stock === id);
  return (
    <main className="sheet room-sheet">
      <section className="room-list" aria-labelledby="stocks-title">
        <div className="room-list-head">
          <h1 id="stocks-title">Stocks</h1>
          <a className="button" href={addressOf('stock-room', ['stocks', 'new'])}>
            New stock
          </a>
        </div>
        <p className="hint">A material in a thickness from a supplier.</p>
        {stocks === null ? (
          <p className="hint" role="status">
            Reading the shelf …
          </p>
        ) : (
          <ul className="room-lines">
            {stocks.map((stock) => {
              const { id, body } = stock;
              const there = boardsOf(id).filter((board) => !board.body.usedUp).length;
              return (
                <li key={id}>
                  <a
                    className="room-line"
                    href={addressOf('stock-room', ['stocks', id])}
                    aria-current={id === open?.id ? 'true' : undefined}
                  >
                    <EdgePicture thicknessMm={body.thicknessMm} grain={body.grain} />
                    <span>
                      <strong>{body.name}</strong>
                      <em>{materialName(body.material)}</em>
                    </span>
                    <span className="room-line-more">
                      <span className="figures">{`${body.thicknessMm} mm`}</span>
                      <small>{there === 0 ? 'no board' : there === 1 ? '1 board' : `${there} boards`}</small>
                    </span>
                  </a>
                </li>
              );
            })}
          </ul>
        )}
      </section>
      <div className="room-detail">
        {isNew ? (
          <StockForm
            key="new"
            document={null}
            material={query.material}
            onSaved={(saved) => goTo(addressOf('stock-room', ['stocks', saved.id]))}
          />
        ) : open ? (
          <StockDetail
            key={open.id}
            stock={open}
            boards={boardsOf(open.id)}
            board={props.board}
            materialName={materialName(open.body.material)}
          />
        ) : (
          stocks !== null && (
            <div className="empty">
              <h2>The shelf is empty</h2>
              <p>Enter what you cut: a material, how thick, from whom.</p>
            </div>
          )
        )}
      </div>
    </main>
  );
}

/** The edge of a board at its true proportion to its neighbours on the shelf. */
function EdgePicture({
  thicknessMm,
  grain,
}: {
  readonly thicknessMm: number;
  readonly grain: boolean;
}): ReactElement {
  const height = Math.max(2, Math.min(30, thicknessMm * 4));
  return (
    <svg className="edge-picture" viewBox="0 0 44 32" aria-hidden="true">
      <rect className="edge" x="1" y={16 - height / 2} width="42" height={height} />
      {grain && <path className="edge-grain" d={`M6 ${16 - height / 6}h18M16 ${16 + height / 6}h20`} />}
    </svg>
  );
}

function StockDetail(props: {
  readonly stock: Document<'stocks'>;
  readonly boards: readonly Document<'sheets'>[];
  readonly board: string | undefined;
  readonly materialName: string;
}): ReactElement {
  const { stock, boards, materialName } = props;
  const [editing, setEditing] = useState(false);
  const { body, cautions } = stock;
  const board = props.board === 'new' ? null : boards.find(({ id }) => id === props.board);
  const back = (): void => goTo(addressOf('stock-room', ['stocks', stock.id]));
  if (editing) {
    return (
      <StockForm
        document={stock}
        onSaved={() => setEditing(false)}
        onGone={() => goTo(addressOf('stock-room'))}
      />
    );
  }
  return (
    <article className="stock">
      <header className="room-head">
        <div>
          <h2>{body.name}</h2>
          <p className="hint">
            {[
              materialName,
              `${body.thicknessMm} mm`,
              body.widthMm && body.heightMm ? `sold as ${body.widthMm} × ${body.heightMm} mm` : '',
              body.supplier,
              body.price ? `${body.price.amount.toFixed(2)} ${body.price.currency} a sheet` : '',
              body.grain ? 'has a grain' : 'no grain',
            ]
              .filter(Boolean)
              .join(' · ')}
          </p>
          {body.notes !== '' && <p className="hint">{body.notes}</p>}
        </div>
        <p className="room-head-actions">
          <button type="button" onClick={() => setEditing(true)}>
            Change
          </button>
          <a className="button" href={addressOf('stock-room', ['materials', body.material])}>
            Its material
          </a>
          <a className="button" href={addressOf('fit-book', ['new'], { stock: stock.id })}>
            Fit trial
          </a>
        </p>
      </header>
      {cautions && <Cautions cautions={cautions} />}
      <h3>Boards and offcuts</h3>
      <BoardShelf stock={stock.id} boards={boards} open={board?.id} />
      {board !== undefined && (
        <BoardForm key={board?.id ?? 'new'} stock={stock} document={board} onSaved={back} onGone={back} />
      )}
    </article>
  );
}
