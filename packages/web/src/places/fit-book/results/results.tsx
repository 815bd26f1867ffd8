import type { Grade } from '@inlaywright/workshop';
import { GRADES } from '@inlaywright/workshop';
import { type KeyboardEvent, type ReactElement, useEffect, useRef, useState } from 'react';
import { signedMm } from '../../../drawing/gap-class.ts';
import { addressOf } from '../../../state/place.ts';
import { progressOf } from '../../../workspace/trial-entries.ts';
import { useTrialDesk } from '../../../workspace/use-trial-desk.ts';
import { ProblemNote } from '../../problem-note.tsx';
import { CouponDrawing } from '../coupon-drawing.tsx';
import { couponFile, useCouponOf } from '../use-coupon.ts';
import { SHORT_GRADE } from '../views/grade-patterns.tsx';
import { BoardPad } from './board-pad.tsx';
import { SavingState } from './saving-state.tsx';
import { SizePad } from './size-pad.tsx';
import { faceWords, firstOpen, isFilled, type Station, sizeName, stationsOf } from './stations.ts';
import { StepPad } from './step-pad.tsx';
import { TwoVersions } from './two-versions.tsx';
import { useLengthUnit } from './unit.ts';
import { useMedia } from './use-media.ts';

/** The form that stands beside the laser: one station at a time, every tap kept at once. */
export function Results({ id, at }: { readonly id: string; readonly at?: string | undefined }): ReactElement {
  const { desk, state } = useTrialDesk(id);
  const { mine, base, texts, conflict } = state;
  const [unit, setUnit] = useLengthUnit();
  const [index, setIndex] = useState<number | null>(null);
  const [said, setSaid] = useState('');
  const roomy = useMedia('(min-width: 1200px)');
  const coupon = useCouponOf(mine, roomy);
  const back = <a href={addressOf('fit-book', ['trials', id])}>‹ Trial</a>;

  if (!desk || !mine) {
    return (
      <main className="sheet results">
        <header className="results-head">{back}</header>
        {state.refused ? (
          <ProblemNote problem={state.refused} />
        ) : (
          <p className="hint" role="status">
            {state.away ? `${state.away.title}. Trying again …` : 'Reading the trial …'}
          </p>
        )}
      </main>
    );
  }
  const stations = stationsOf(mine);
  const wanted = stations.findIndex(({ key }) => key === at);
  const here = Math.min(index ?? (wanted >= 0 ? wanted : firstOpen(stations)), stations.length - 1);
  const station = stations[here]!;
  const progress = progressOf(mine.trial);
  const go = (next: number): void => setIndex(Math.max(0, Math.min(stations.length - 1, next)));
  const grade = (step: Extract<Station, { kind: 'step' }>, value: Grade | undefined): void => {
    desk.set(step.key, value);
    setSaid(`Step ${step.step}: ${value ?? 'not tried'}.`);
    if (value !== undefined && step.grade === undefined) go(here + 1);
    else setIndex(here);
  };
  const onKeyDown = (event: KeyboardEvent): void => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.target instanceof HTMLInputElement) return;
    const digit = Number(event.key);
    if (station.kind === 'step' && digit >= 1 && digit <= 5) {
      event.preventDefault();
      grade(station, GRADES[digit - 1]!);
    }
  };
  return (
    <main className="sheet results" onKeyDown={onKeyDown}>
      <header className="results-head">
        {back}
        <h1>{mine.name}</h1>
        <p className="figures">
          {`${progress.graded} of ${progress.steps} steps`}
          {progress.sizes > 0 && `, ${progress.sizesRead} of ${progress.sizes} sizes`}
        </p>
        <progress
          aria-label="Filled in"
          max={progress.steps + progress.sizes}
          value={progress.graded + progress.sizesRead}
        />
      </header>
      <SavingState state={state} desk={desk} />
      {conflict && base && <TwoVersions desk={desk} conflict={conflict} base={base.body} mine={mine} />}
      <Strip stations={stations} here={here} texts={texts} onGo={go} />
      <div className="pad">
        {station.kind === 'step' && (
          <StepPad
            key={station.key}
            station={station}
            turned={mine.trial.turned}
            onGrade={(value) => grade(station, value)}
          />
        )}
        {station.kind === 'size' && (
          <SizePad
            key={station.key}
            station={station}
            trial={mine.trial}
            unit={unit}
            onUnit={setUnit}
            text={texts[station.key] ?? ''}
            onText={(text) => desk.setText(station.key, text)}
            onValues={(values) => {
              desk.set(station.key, values.length === 0 ? undefined : values);
              setIndex(here);
            }}
          />
        )}
        {station.kind === 'board' && <BoardPad body={mine} desk={desk} text={texts.notes} />}
      </div>
      {roomy && (
        <CouponDrawing
          svgText={couponFile(coupon.answer, '.svg')?.text ?? null}
          lit={couponPart(station)}
          words="The coupon"
        />
      )}
      <p className="unseen" role="status">
        {said}
      </p>
      <nav className="results-foot" aria-label="Stations">
        <button type="button" disabled={here === 0} onClick={() => go(here - 1)}>
          Back
        </button>
        {here < stations.length - 1 ? (
          <button type="button" className={isFilled(station) ? 'primary' : ''} onClick={() => go(here + 1)}>
            {isFilled(station) ? 'Next' : 'Skip'}
          </button>
        ) : (
          <a className="button primary" href={addressOf('fit-book', ['trials', id])}>
            See the result
          </a>
        )}
      </nav>
    </main>
  );
}

/** Every station in a row on a phone, in a list at a desk, with what it holds. */
function Strip(props: {
  readonly stations: readonly Station[];
  readonly here: number;
  readonly texts: Readonly<Record<string, string>>;
  readonly onGo: (index: number) => void;
}): ReactElement {
  const { stations, here, texts, onGo } = props;
  const current = useRef<HTMLButtonElement>(null);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the row follows the station, which the ref then holds
  useEffect(() => {
    current.current?.scrollIntoView({ block: 'nearest', inline: 'center' });
  }, [here]);
  return (
    <ol className="strip">
      {stations.map((station, index) => (
        <li key={station.key}>
          <button
            type="button"
            ref={index === here ? current : undefined}
            className={isFilled(station) ? 'station is-filled' : 'station'}
            aria-current={index === here ? 'step' : undefined}
            onClick={() => onGo(index)}
          >
            <span className="unseen">{spoken(station)}</span>
            <span className="station-face" aria-hidden="true">
              <StationFace station={station} typed={texts[station.key]} />
            </span>
          </button>
        </li>
      ))}
    </ol>
  );
}

function StationFace({
  station,
  typed,
}: {
  readonly station: Station;
  readonly typed: string | undefined;
}): ReactElement {
  if (station.kind === 'board') return <span className="station-mark">Board</span>;
  if (station.kind === 'step') {
    return (
      <>
        <span className="station-mark">{station.step}</span>
        <span className="station-more figures">{signedMm(station.allowanceMm)}</span>
        <span className="station-held">{station.grade ? SHORT_GRADE[station.grade] : '\u2013'}</span>
      </>
    );
  }
  const { values, reading, part } = station;
  return (
    <>
      <span className="station-mark">{station.mark}</span>
      <span className="station-more is-size">{`${part}, ${reading.face === 'entry' ? 'enters' : 'leaves'}`}</span>
      <span className="station-held figures">
        {values.length > 0 ? values.at(-1)!.toFixed(2) : typed ? `${typed} …` : '\u2013'}
      </span>
    </>
  );
}

/** The part of the coupon that a station is about. */
function couponPart(station: Station): string | null {
  if (station.kind === 'step') return `plug-${station.step}`;
  if (station.kind === 'size') return station.part === 'slats' ? `slats-${station.reading.axis}` : 'gauge';
  return null;
}

function spoken(station: Station): string {
  if (station.kind === 'board') return 'Board and notes';
  if (station.kind === 'step') return `Step ${station.step}: ${station.grade ?? 'not tried yet'}`;
  const { reading, part, values } = station;
  const read = values.length === 0 ? 'not read yet' : `${values.length} readings`;
  return `${sizeName(reading, part)} across ${reading.axis}, ${faceWords(reading.face)}: ${read}`;
}
