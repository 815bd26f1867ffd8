import type { Document } from '@inlaywright/formats';
import { type ReactElement, useState } from 'react';
import { signedMm } from '../../drawing/gap-class.ts';
import { addressOf } from '../../state/place.ts';
import { today } from '../../workspace/trial-desk.ts';
import { useDocuments } from '../../workspace/use-shelf.ts';
import { ageDays, ageWords, dayOf } from './age.ts';
import { useNames } from './names.ts';
import { Reckoning } from './reckoning.tsx';
import { WindowStrip } from './views/window-strip.tsx';

/** Every machine, stock and setting that was measured, with what is known of it. */
export function RecordList(): ReactElement {
  const records = useDocuments('records');
  const preferences = useDocuments('preferences');
  const names = useNames();
  const [all, setAll] = useState(false);
  const limit = preferences?.[0]?.body.recordLimitDays ?? 90;
  const shown = (records ?? [])
    .filter(({ supersededBy }) => all || supersededBy == null)
    .sort(
      (a, b) =>
        names.all(a.body).localeCompare(names.all(b.body)) || (a.body.createdAt < b.body.createdAt ? 1 : -1),
    );
  const older = (records ?? []).filter(({ supersededBy }) => supersededBy != null).length;
  return (
    <main className="sheet list-sheet">
      <div className="list-head">
        <h1>Fit records</h1>
        <p className="hint">
          How each machine cuts each stock with each setting, measured. Lengths in mm; intervals hold the true
          value 9 times in 10.
        </p>
      </div>
      {records === null ? (
        <p className="hint" role="status">
          Reading the fit book …
        </p>
      ) : shown.length === 0 ? (
        <div className="empty">
          <h2>Nothing measured yet</h2>
          <p>
            Draw a coupon for a machine, a stock and a setting, cut it, try its plugs, and type in how they
            fit. It takes one small board and about a quarter of an hour.
          </p>
          <p>
            <a className="button primary" href={addressOf('fit-book', ['new'])}>
              Start a trial
            </a>
          </p>
        </div>
      ) : (
        <ul className="record-list">
          {shown.map((record) => (
            <RecordLine
              key={record.id}
              record={record}
              of={[
                names.stock(record.body.stock),
                `${names.machine(record.body.machine)}, ${names.setting(record.body.setting)}`,
              ]}
              limit={limit}
            />
          ))}
        </ul>
      )}
      {older > 0 && (
        <label className="choice-option">
          <input type="checkbox" checked={all} onChange={(event) => setAll(event.target.checked)} />
          <span>{`Also ${older === 1 ? 'the older record' : `the ${older} older records`}, whose place newer ones took`}</span>
        </label>
      )}
      <Reckoning />
    </main>
  );
}

function RecordLine(props: {
  readonly record: Document<'records'>;
  readonly of: readonly [string, string];
  readonly limit: number;
}): ReactElement {
  const { record, of, limit } = props;
  const { fit, intervals, grade } = record.body;
  const days = ageDays(record.body, today());
  const old = days > limit;
  const window = intervals?.windows.find((one) => one.grade === grade);
  const mean = (value: typeof fit.kerfEntryMm): string =>
    (typeof value === 'number' ? value : (value.x + value.y) / 2).toFixed(3);
  return (
    <li>
      <a href={addressOf('fit-book', ['records', record.id])}>
        <span className="record-of">
          <strong>{of[0]}</strong>
          <span>{of[1]}</span>
        </span>
        <span className="record-scale">
          <WindowStrip window={window ?? null} allowanceMm={fit.allowanceMm} />
        </span>
        <span className="record-figure">
          <small>{grade}</small>
          <span className="figures">{signedMm(fit.allowanceMm)}</span>
          {window?.from && window.to && (
            <small className="figures">{`window ${signedMm(window.from.median)} to ${signedMm(window.to.median)}`}</small>
          )}
        </span>
        <span className="record-figure">
          <small>kerf, enters / leaves</small>
          <span className="figures">{`${mean(fit.kerfEntryMm)} / ${mean(fit.kerfExitMm)}`}</span>
          <small className="figures">{intervals ? `within ± ${reach(intervals.kerf)}` : 'typed in'}</small>
        </span>
        <span className={`record-age${old ? ' is-old' : ''}`}>
          <small>{dayOf(record.body)}</small>
          <span>
            {record.supersededBy != null
              ? 'a newer one took its place'
              : old
                ? `old: ${days} days, limit ${limit}`
                : ageWords(days)}
          </span>
        </span>
      </a>
    </li>
  );
}

/** Half of the widest of the four kerf intervals. */
function reach(kerf: NonNullable<Document<'records'>['body']['intervals']>['kerf']): string {
  return Math.max(...Object.values(kerf).map(({ low, high }) => (high - low) / 2)).toFixed(3);
}
