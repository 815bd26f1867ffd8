import type { Document, Problem, TrialBody } from '@inlaywright/formats';
import { type ReactElement, useMemo, useState } from 'react';
import { SheetFrame } from '../../sheet/sheet-frame.tsx';
import { Cell } from '../../sheet/title-block.tsx';
import { addressOf, goTo } from '../../state/place.ts';
import { newKey, workspace } from '../../workspace/client.ts';
import { putAside, saved } from '../../workspace/shelf.ts';
import { trialsWaiting } from '../../workspace/trial-desk.ts';
import { hasResult, progressOf } from '../../workspace/trial-entries.ts';
import { useDocuments } from '../../workspace/use-shelf.ts';
import { ProblemNote } from '../problem-note.tsx';
import { CouponDrawing } from './coupon-drawing.tsx';
import { CouponFiles } from './coupon-files.tsx';
import { useNames } from './names.ts';
import { OnThePhone } from './on-the-phone.tsx';
import { TrialEntries } from './trial-entries-list.tsx';
import { couponFile, useCouponOf } from './use-coupon.ts';
import { earlierThan, type Judged, useJudgement } from './use-judgement.ts';
import { GradeScale } from './views/grade-scale.tsx';
import { KerfSection } from './views/kerf-section.tsx';
import { WordsOfTrial } from './words-of-trial.tsx';

/** A trial: its coupon until it was tried, then what it tells, live as results come in on any device. */
export function TrialSheet({ id }: { readonly id: string }): ReactElement {
  const trials = useDocuments('trials');
  const trial = trials?.find((one) => one.id === id);
  if (trials === null || !trial) {
    return (
      <main className="sheet sheet-empty">
        {trials === null ? (
          <p className="hint" role="status">
            Reading the trial …
          </p>
        ) : (
          <div className="empty">
            <h1>This trial is not in the fit book</h1>
            <p>
              It may have been put aside. <a href={addressOf('fit-book', ['trials'])}>All trials</a>
            </p>
          </div>
        )}
      </main>
    );
  }
  return <Sheet trial={trial} all={trials} />;
}

function Sheet(props: {
  readonly trial: Document<'trials'>;
  readonly all: readonly Document<'trials'>[];
}): ReactElement {
  const { trial, all } = props;
  const { body, id } = trial;
  const names = useNames();
  const preferences = useDocuments('preferences')?.[0]?.body;
  const grade = preferences?.grade ?? 'presses by hand';
  const earlier = earlierThan(body, id, all);
  const judged = useJudgement(body.trial, earlier, grade, preferences?.halfLifeDays ?? 90);
  const [problem, setProblem] = useState<Problem | null>(null);
  const [busy, setBusy] = useState(false);
  // Weighing again the same results is the same request.
  // biome-ignore lint/correctness/useExhaustiveDependencies: another version of the trial needs another key
  const onceKey = useMemo(() => newKey(), [id, trial.version]);
  const coupon = useCouponOf(body);
  const tried = hasResult(body.trial);
  const progress = progressOf(body.trial);
  const waits = trialsWaiting().includes(id);

  const save = async (): Promise<void> => {
    setBusy(true);
    setProblem(null);
    const { machine, stock, setting } = body;
    const record = await saved(workspace.weigh({ machine, stock, setting, grade }, { key: onceKey }));
    setBusy(false);
    if (record.ok) goTo(addressOf('fit-book', ['records', record.value.id]));
    else setProblem(record.problem);
  };
  const remove = async (): Promise<void> => {
    const gone = await putAside(trial);
    if (gone.ok) goTo(addressOf('fit-book', ['trials']));
    else setProblem(gone.problem);
  };
  return (
    <main className="sheet trial-sheet" aria-busy={judged.working}>
      <SheetFrame onZones={ignore}>
        <h1 className="unseen">{body.name}</h1>
        {problem && <ProblemNote problem={problem} />}
        <div className="sheet-drawing views">
          {tried ? (
            <ResultViews body={body} judged={judged} earlier={earlier.length} />
          ) : (
            <>
              <ol className="bench-steps">
                <li>
                  <strong>Cut the coupon.</strong> Note which face the beam enters.
                  <CouponFiles answer={coupon.answer} />
                </li>
                <li>
                  <strong>Try the plugs</strong> in their sockets and measure gauge and slats, beside the
                  laser.
                </li>
                <li>
                  <strong>Type in</strong> what you see, here or on a phone.{' '}
                  <a className="button primary" href={addressOf('fit-book', ['trials', id, 'results'])}>
                    Type in results
                  </a>
                </li>
              </ol>
              <CouponDrawing
                svgText={couponFile(coupon.answer, '.svg')?.text ?? null}
                words={`Coupon of ${body.trial.steps.length} steps`}
              />
            </>
          )}
        </div>
        <div className="sheet-fit">
          <TrialEntries id={id} body={body} />
          {waits && (
            <p className="caution">
              Entries wait on this device.{' '}
              <a href={addressOf('fit-book', ['trials', id, 'results'])}>Send them</a>
            </p>
          )}
        </div>
        <div className="sheet-margin">
          {tried && <WordsOfTrial judged={judged} body={body} />}
          <OnThePhone trial={id} atOnce={!tried} />
          {tried && (
            <details>
              <summary>The coupon’s files again</summary>
              <CouponFiles answer={coupon.answer} />
            </details>
          )}
        </div>
        <section className="title-block" aria-label="Title block">
          <Cell name="Trial" wide>
            <span className="title-name">{body.name}</span>
          </Cell>
          <Cell name="Machine, setting">{`${names.machine(body.machine)}, ${names.setting(body.setting)}`}</Cell>
          <Cell name="Thickness, mm">{body.trial.thicknessMm?.toFixed(2) ?? '–'}</Cell>
          <Cell name="Drawn for kerf">{body.trial.drawnKerfMm.toFixed(3)}</Cell>
          <Cell name="Filled in">
            {`${progress.graded + progress.sizesRead} of ${progress.steps + progress.sizes}`}
          </Cell>
          <Cell name="Version">{trial.version}</Cell>
          <Cell name="Day">{body.trial.date ?? 'not tried yet'}</Cell>
          <div className="cell">
            <button type="button" onClick={() => void remove()}>
              Put aside
            </button>
          </div>
          <div className="cell cell-action">
            <button
              type="button"
              className="primary"
              disabled={!judged.judgement || busy}
              onClick={() => void save()}
            >
              {busy ? 'Weighing …' : 'Save as fit record'}
            </button>
            <span className="cell-name">with earlier trials and batches</span>
          </div>
        </section>
      </SheetFrame>
    </main>
  );
}

function ResultViews(props: {
  readonly body: TrialBody;
  readonly judged: Judged;
  readonly earlier: number;
}): ReactElement {
  const { body, judged, earlier } = props;
  const { judgement, problem } = judged;
  if (problem) return <ProblemNote problem={problem} />;
  if (!judgement) {
    return (
      <p className="hint" role="status">
        Weighing the results …
      </p>
    );
  }
  const { kerf } = judgement;
  // The scale is that of a design drawn for the measured kerf; the coupon was drawn for a guess.
  const meanKerf = (kerf.entryX.median + kerf.entryY.median + kerf.exitX.median + kerf.exitY.median) / 4;
  const shift = body.trial.drawnKerfMm - meanKerf;
  const steps = body.trial.steps.flatMap(({ step, allowanceMm, grade }) =>
    grade === undefined ? [] : [{ step, allowanceMm: allowanceMm + shift, grade }],
  );
  return (
    <>
      <section className="view" aria-labelledby="view-windows">
        <h2 id="view-windows">Where the grades begin and end</h2>
        <p className="hint">
          Bars between the rows hold the true boundary 9 times in 10. Numbers are the steps that were tried
          {Math.abs(shift) >= 0.0005 &&
            `, moved by ${(shift * 1000).toFixed(0).replace('-', '\u2212')} µm: pieces are drawn for the measured kerf, the coupon was for ${body.trial.drawnKerfMm.toFixed(3)}`}
          .
          {earlier > 0 &&
            ` Weighed together with ${earlier === 1 ? 'an earlier trial' : `${earlier} earlier trials`}.`}
        </p>
        <GradeScale
          windows={judgement.windows}
          grade={judgement.grade}
          allowanceMm={judgement.record.allowanceMm}
          steps={steps}
        />
      </section>
      <section className="view" aria-labelledby="view-kerf">
        <h2 id="view-kerf">Kerf</h2>
        <KerfSection kerf={judgement.kerf} />
      </section>
    </>
  );
}

function ignore(): void {}
