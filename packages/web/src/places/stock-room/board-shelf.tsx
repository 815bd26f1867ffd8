import type { Document } from '@inlaywright/formats';
import type { ReactElement } from 'react';
import { addressOf } from '../../state/place.ts';
import { boardSize } from '../outline.ts';

/** The longest side of the largest board takes this many px; all boards of a stock share the scale. */
const LONGEST_PX = 200;

/** The boards of a stock, drawn to one scale, with their sizes as dimensions. */
export function BoardShelf(props: {
  readonly stock: string;
  readonly boards: readonly Document<'sheets'>[];
  readonly open: string | undefined;
}): ReactElement {
  const { stock, boards, open } = props;
  const sizes = boards.map(({ body }) => boardSize(body.outline));
  const longest = Math.max(1, ...sizes.map((size) => (size ? Math.max(size.widthMm, size.heightMm) : 0)));
  const k = LONGEST_PX / longest;
  return (
    <ul className="board-shelf">
      {boards.map((board, index) => {
        const size = sizes[index];
        const { body } = board;
        return (
          <li key={board.id}>
            <a
              className="board"
              href={addressOf('stock-room', ['stocks', stock], { board: board.id })}
              aria-current={board.id === open ? 'true' : undefined}
            >
              {size && <BoardPicture board={board} size={size} k={k} />}
              <span className="board-words">
                <strong>{body.name}</strong>
                <span className="figures">
                  {size
                    ? `${round(size.widthMm)} × ${round(size.heightMm)}, ${body.thicknessMm.toFixed(2)} mm thick`
                    : ''}
                </span>
                <small>
                  {[body.kind, body.place, body.usedUp ? 'used up' : ''].filter(Boolean).join(' · ')}
                </small>
              </span>
            </a>
          </li>
        );
      })}
      <li>
        <a className="board board-new" href={addressOf('stock-room', ['stocks', stock], { board: 'new' })}>
          <span className="board-words">
            <strong>Another board</strong>
            <small>a sheet, or what is left of one</small>
          </span>
        </a>
      </li>
    </ul>
  );
}

function BoardPicture(props: {
  readonly board: Document<'sheets'>;
  readonly size: NonNullable<ReturnType<typeof boardSize>>;
  readonly k: number;
}): ReactElement {
  const { board, size, k } = props;
  const { outline, grainDeg, usedUp } = board.body;
  const [width, height] = [size.widthMm * k, size.heightMm * k];
  const grain = grainDeg === undefined ? null : (-grainDeg * Math.PI) / 180;
  const reach = 0.32 * Math.min(width, height);
  return (
    <svg
      className="board-picture"
      viewBox={`-3 -3 ${width + 6} ${height + 6}`}
      width={width + 6}
      height={height + 6}
      aria-hidden="true"
    >
      <path
        className={usedUp ? 'board-outline is-used-up' : 'board-outline'}
        fillRule="evenodd"
        transform={`translate(${-size.minX * k} ${(size.heightMm + size.minY) * k}) scale(${k} ${-k})`}
        d={outline}
      />
      {grain !== null && (
        <path
          className="line-grain"
          d={`M${width / 2 - reach * Math.cos(grain)} ${height / 2 - reach * Math.sin(grain)}L${width / 2 + reach * Math.cos(grain)} ${height / 2 + reach * Math.sin(grain)}`}
        />
      )}
    </svg>
  );
}

function round(mm: number): string {
  return String(Number(mm.toFixed(1)));
}
