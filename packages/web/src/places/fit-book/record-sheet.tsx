import type { Document, FitRecordBody, Problem, RecordLookup } from '@inlaywright/formats';
import { type ReactElement, useEffect, useState } from 'react';
import { signedMm } from '../../drawing/gap-class.ts';
import { SheetFrame } from '../../sheet/sheet-frame.tsx';
import { Cell } from '../../sheet/title-block.tsx';
import { addressOf, goTo } from '../../state/place.ts';
import { workspace } from '../../workspace/client.ts';
import { putAside } from '../../workspace/shelf.ts';
import { today } from '../../workspace/trial-desk.ts';
import { useDocuments } from '../../workspace/use-shelf.ts';
import { ProblemNote } from '../problem-note.tsx';
import { ageDays, ageWords, dayOf } from './age.ts';
import { belongingQuery, sameBelonging, useNames } from './names.ts';
import { OutcomeList } from './outcome-list.tsx';
import { UseInPiece } from './use-in-piece.tsx';
import { DriftChart, type DriftPoint } from './views/drift-chart.tsx';
import { GradeScale, type TriedStep } from './views/grade-scale.tsx';
import { KerfSection } from './views/kerf-section.tsx';

/** A fit record: what is known of a machine, stock and setting, how it drifted, and what to do with it. */
export function RecordSheet({ id }: { readonly id: string }): ReactElement {
  const records = useDocuments('records');
  const record = records?.find((one) => one.id === id);
  if (!records || !record) {
    return (
      <main className="sheet sheet-empty">
        {records === null ? (
          <p className="hint" role="status">
            Reading the record …
          </p>
        ) : (
          <div className="empty">
            <h1>This record is not in the fit book</h1>
            <p>
              It may have been put aside. <a href={addressOf('fit-book')}>All records</a>
            </p>
          </div>
        )}
      </main>
    );
  }
  return <Sheet record={record} all={records} />;
}

function Sheet(props: {
  readonly record: Document<'records'>;
  readonly all: readonly Document<'records'>[];
}): ReactElement {
  const { record, all } = props;
  const { body } = record;
  const names = useNames();
  const trials = useDocuments('trials');
  const preferences = useDocuments('preferences')?.[0]?.body;
  const [problem, setProblem] = useState<Problem | null>(null);
  const line = all
    .filter((one) => sameBelonging(one.body, body))
    .sort((a, b) => (a.body.createdAt < b.body.createdAt ? -1 : 1));
  const before = line.find(({ id }) => id === body.supersedes);
  const inForce = record.supersededBy == null;
  const limitDays = preferences?.recordLimitDays ?? 90;
  const warnings = useWarnings(body, inForce, limitDays);
  const newestTrial = trials?.find(({ id }) => id === body.trials.at(-1)?.id);
  const remove = async (): Promise<void> => {
    const gone = await putAside(record);
    if (gone.ok) goTo(addressOf('fit-book'));
    else setProblem(gone.problem);
  };
  return (
    <main className="sheet trial-sheet is-record">
      <SheetFrame onZones={ignore}>
        <h1 className="unseen">{names.all(body)}</h1>
        {problem && <ProblemNote problem={problem} />}
        <div className="sheet-drawing views">
          {body.intervals ? (
            <section className="view" aria-labelledby="view-windows">
              <h2 id="view-windows">Where the grades begin and end</h2>
              <GradeScale
                windows={body.intervals.windows}
                grade={body.grade}
                allowanceMm={body.fit.allowanceMm}
                steps={newestTrial ? stepsOf(newestTrial.body.trial, body) : []}
              />
            </section>
          ) : (
            <p className="caution">
              These figures were typed in; nothing was measured, so nobody knows how far off they are. Cut a
              coupon.
            </p>
          )}
          <div className="view-row">
            <section className="view" aria-labelledby="view-kerf">
              <h2 id="view-kerf">Kerf</h2>
              <KerfSection kerf={kerfOf(body)} plain={!body.intervals} />
            </section>
            <section className="view" aria-labelledby="view-drift">
              <h2 id="view-drift">Drift</h2>
              <DriftChart points={line.map(pointOf)} limitDays={limitDays} today={today()} />
            </section>
          </div>
        </div>
        <div className="sheet-margin">
          {!inForce && (
            <p className="caution">
              A newer record took the place of this one.{' '}
              <a href={addressOf('fit-book', ['records', record.supersededBy!])}>See the one in force</a>
            </p>
          )}
          {warnings.map((warning) => (
            <p key={warning.message} className="caution">
              <strong>Warning.</strong> {warning.message} <span className="note-hint">{warning.hint}</span>
            </p>
          ))}
          <section aria-labelledby="words-title">
            <h2 id="words-title">In words</h2>
            <div className="words">
              {body.words.length === 0 && <p>Typed in by hand.</p>}
              {body.words.map((sentence) => (
                <p key={sentence}>{sentence}</p>
              ))}
              {before && (
                <p>
                  {`Before, on ${dayOf(before.body)}, the allowance was ${signedMm(before.body.fit.allowanceMm)} mm. `}
                  <a href={addressOf('fit-book', ['records', before.id])}>That record</a>
                </p>
              )}
              {body.notes !== '' && <p>{body.notes}</p>}
            </div>
          </section>
          {inForce && <UseInPiece record={record} name={names.all(body)} />}
          <OutcomeList record={record} line={line} />
          <section aria-labelledby="from-title">
            <h2 id="from-title">Weighed from</h2>
            <ul className="plain-list">
              {body.trials.map(({ id }) => (
                <li key={id}>
                  <a href={addressOf('fit-book', ['trials', id])}>
                    {trials?.find((trial) => trial.id === id)?.body.name ?? id}
                  </a>
                </li>
              ))}
              {body.outcomes.length > 0 && (
                <li>{`${body.outcomes.length} ${body.outcomes.length === 1 ? 'batch' : 'batches'} as assembled`}</li>
              )}
            </ul>
            {inForce && (
              <p>
                <a className="button" href={addressOf('fit-book', ['new'], belongingQuery(body))}>
                  Measure again
                </a>
              </p>
            )}
          </section>
        </div>
        <section className="title-block" aria-label="Title block">
          <Cell name="Fit record" wide>
            <span className="title-name">{names.stock(body.stock)}</span>
          </Cell>
          <Cell name="Machine, setting">{`${names.machine(body.machine)}, ${names.setting(body.setting)}`}</Cell>
          <Cell name="Aimed at">{body.grade}</Cell>
          <Cell name="Allowance, mm">{signedMm(body.fit.allowanceMm)}</Cell>
          <Cell name="Scatter, mm">
            {body.intervals
              ? `${body.intervals.scatter.median.toFixed(3)} (${body.intervals.scatter.low.toFixed(3)} to ${body.intervals.scatter.high.toFixed(3)})`
              : (body.fit.scatterMm?.toFixed(3) ?? '–')}
          </Cell>
          <Cell name="Thickness, mm">{body.thicknessMm?.toFixed(2) ?? '–'}</Cell>
          <Cell name={dayOf(body)}>{inForce ? ageWords(ageDays(body, today())) : 'no longer in force'}</Cell>
          <div className="cell">
            <button type="button" onClick={() => void remove()}>
              Put aside
            </button>
          </div>
        </section>
      </SheetFrame>
    </main>
  );
}

/** What speaks against the record: its age, and boards of its stock that are thicker or thinner than the one it was measured on. */
function useWarnings(body: FitRecordBody, inForce: boolean, limitDays: number): RecordLookup['warnings'] {
  const [warnings, setWarnings] = useState<RecordLookup['warnings']>([]);
  const boards = useDocuments('sheets');
  const thicknesses = JSON.stringify([
    ...new Set(
      (boards ?? [])
        .filter((board) => board.body.stock === body.stock && !board.body.usedUp)
        .map((board) => board.body.thicknessMm),
    ),
  ]);
  const { machine, stock, setting } = body;
  // biome-ignore lint/correctness/useExhaustiveDependencies: the server reckons with the limit, so another limit asks again
  useEffect(() => {
    if (!inForce) return;
    let left = false;
    const asked = JSON.parse(thicknesses) as number[];
    const questions = (asked.length === 0 ? [undefined] : asked).map((thicknessMm) =>
      workspace.recordInForce({
        machine,
        stock,
        setting,
        ...(thicknessMm === undefined ? {} : { thicknessMm }),
        on: today(),
      }),
    );
    void Promise.all(questions).then((answers) => {
      if (left) return;
      const found = answers.flatMap((answer) => (answer.ok ? answer.value.warnings : []));
      setWarnings(
        found.filter(
          (warning, index) => found.findIndex((other) => other.message === warning.message) === index,
        ),
      );
    });
    return () => {
      left = true;
    };
  }, [machine, stock, setting, inForce, thicknesses, limitDays]);
  return inForce ? warnings : [];
}

/** The record's kerf with its intervals; a typed-in one has none, its bounds are then itself. */
function kerfOf(body: FitRecordBody): NonNullable<FitRecordBody['intervals']>['kerf'] {
  if (body.intervals) return body.intervals.kerf;
  const sure = (mm: number): { median: number; low: number; high: number } => ({
    median: mm,
    low: mm,
    high: mm,
  });
  const axis = (value: FitRecordBody['fit']['kerfEntryMm'], which: 'x' | 'y'): number =>
    typeof value === 'number' ? value : value[which];
  const { kerfEntryMm, kerfExitMm } = body.fit;
  return {
    entryX: sure(axis(kerfEntryMm, 'x')),
    entryY: sure(axis(kerfEntryMm, 'y')),
    exitX: sure(axis(kerfExitMm, 'x')),
    exitY: sure(axis(kerfExitMm, 'y')),
  };
}

/**
 * A record's place in the drift: the mean over both axes. The mean of two intervals' ends is a little wider than the interval of the
 * mean, which is what an honest chart may be.
 */
function pointOf({ id, body }: Document<'records'>): DriftPoint {
  const { entryX, entryY, exitX, exitY } = kerfOf(body);
  const mean = (a: typeof entryX, b: typeof entryX): typeof entryX => ({
    median: (a.median + b.median) / 2,
    low: (a.low + b.low) / 2,
    high: (a.high + b.high) / 2,
  });
  return {
    id,
    day: dayOf(body),
    entry: mean(entryX, entryY),
    exit: mean(exitX, exitY),
    allowanceMm: body.fit.allowanceMm,
  };
}

/** Steps of a trial at the allowances they would have in a design drawn for the record's kerf. */
function stepsOf(trial: Document<'trials'>['body']['trial'], body: FitRecordBody): readonly TriedStep[] {
  const { entryX, entryY, exitX, exitY } = kerfOf(body);
  const shift = trial.drawnKerfMm - (entryX.median + entryY.median + exitX.median + exitY.median) / 4;
  return trial.steps.flatMap(({ step, allowanceMm, grade }) =>
    grade === undefined ? [] : [{ step, allowanceMm: allowanceMm + shift, grade }],
  );
}

function ignore(): void {}
