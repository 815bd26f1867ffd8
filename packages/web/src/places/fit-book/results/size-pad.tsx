import { parseLength, type TrialFile } from '@inlaywright/formats';
import { expanded, sizeFromReadings } from '@inlaywright/workshop';
import { type FormEvent, type ReactElement, useId, useRef, useState } from 'react';
import { SizePicture } from './size-picture.tsx';
import { faceWords, type Station, sizeName } from './stations.ts';
import type { LengthUnit } from './unit.ts';

export interface SizePadProps {
  readonly station: Extract<Station, { kind: 'size' }>;
  readonly trial: TrialFile;
  readonly unit: LengthUnit;
  readonly onUnit: (unit: LengthUnit) => void;
  /** What stands in the field and was not taken yet. */
  readonly text: string;
  readonly onText: (text: string | null) => void;
  readonly onValues: (values: readonly number[]) => void;
}

/** After this many repeat readings more tell little. */
const ENOUGH = 3;
/** Repeat readings further apart than this are likely a slip, mm. */
const APART_MM = 0.3;
const LARGEST_MM = 1000;

/** One size at one face: where to put the jaws, the readings so far, and a field for the next. */
export function SizePad(props: SizePadProps): ReactElement {
  const { station, trial, unit, text } = props;
  const { reading, part, values } = station;
  const [refused, setRefused] = useState('');
  const field = useRef<HTMLInputElement>(null);
  const id = useId();

  const take = (typed: string): boolean => {
    const answer = parseLength(typed, unit);
    const problem = !answer.ok
      ? answer.message
      : answer.mm <= 0 || answer.mm > LARGEST_MM
        ? `A size lies between 0 and ${LARGEST_MM} mm; ${typed.trim()} is ${Number(answer.mm.toFixed(3))} mm.`
        : '';
    setRefused(problem);
    if (problem !== '' || !answer.ok) return false;
    props.onValues([...values, Number(answer.mm.toFixed(4))]);
    props.onText(null);
    return true;
  };
  const onSubmit = (event: FormEvent): void => {
    event.preventDefault();
    take(text);
    field.current?.focus();
  };
  const size = values.length > 0 ? sizeFromReadings(values, trial.caliper) : null;
  const doubt = doubtAbout(station);
  return (
    <form className="size-pad" onSubmit={onSubmit}>
      <div className="size-head">
        <SizePicture reading={reading} part={part} />
        <div>
          <h2>{sizeName(reading, part)}</h2>
          <p className="hint">
            {`Across ${reading.axis}, at the face ${faceWords(reading.face)}. `}
            {part === 'slats'
              ? `Push the ${reading.kind === 'slats' ? reading.cuts : ''} slats together and measure them as one.`
              : part === 'hole'
                ? 'Inside jaws, between the flats of the square hole.'
                : 'Outside jaws, over the flats of the square that fell out.'}
          </p>
        </div>
      </div>
      <ul className="readings" aria-label="Readings so far">
        {values.map((mm, index) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: the same reading may be there twice; its place tells it
          <li key={index}>
            <span className="figures">{shown(mm, unit)}</span>
            <button
              type="button"
              aria-label={`Take back reading ${index + 1}, ${shown(mm, unit)}`}
              onClick={() => props.onValues(values.filter((_, other) => other !== index))}
            >
              ×
            </button>
          </li>
        ))}
      </ul>
      <div className="size-field">
        <label htmlFor={id}>{values.length === 0 ? 'Reading' : `Reading ${values.length + 1}`}</label>
        <input
          id={id}
          ref={field}
          type="text"
          inputMode="decimal"
          autoComplete="off"
          spellCheck={false}
          enterKeyHint="next"
          value={text}
          aria-invalid={refused !== ''}
          aria-describedby={refused === '' ? undefined : `${id}-refused`}
          onChange={(event) => {
            setRefused('');
            props.onText(event.target.value);
          }}
          onBlur={() => {
            // A phone that falls asleep also takes the focus away: what is half typed then is not a reading.
            if (document.hasFocus() && text.trim() !== '') take(text);
          }}
        />
        <fieldset className="unit">
          <legend className="unseen">Unit</legend>
          {(['mm', 'in'] as const).map((one) => (
            <label key={one}>
              <input
                type="radio"
                name={`${id}-unit`}
                checked={unit === one}
                onChange={() => props.onUnit(one)}
              />
              <span>{one}</span>
            </label>
          ))}
        </fieldset>
        <button type="submit" className="primary" disabled={text.trim() === ''}>
          Add
        </button>
      </div>
      {refused !== '' && (
        <p className="refused" id={`${id}-refused`} role="alert">
          {refused}
        </p>
      )}
      {doubt !== '' && <p className="caution">{doubt}</p>}
      <p className="hint" aria-live="polite">
        {size
          ? `Mean ${size.meanMm.toFixed(3)} mm, within ± ${expanded(size).toFixed(3)} (about 95 %). ${
              values.length < ENOUGH
                ? 'Read it again at another place: repeats show the spread.'
                : 'Enough readings: go on.'
            }`
          : 'Not read yet.'}
      </p>
    </form>
  );
}

function shown(mm: number, unit: LengthUnit): string {
  return unit === 'mm' ? `${mm.toFixed(2)} mm` : `${(mm / 25.4).toFixed(4)} in`;
}

/** What looks like a slip: repeats far apart, a plug larger than its hole, slats that lost nothing. */
function doubtAbout({ reading, part, values }: SizePadProps['station']): string {
  if (values.length === 0) return '';
  const spread = Math.max(...values) - Math.min(...values);
  if (spread > APART_MM)
    return `The readings differ by ${spread.toFixed(2)} mm. Look for a slip in one of them.`;
  const mean = (list: readonly number[]): number => list.reduce((sum, mm) => sum + mm, 0) / list.length;
  if (reading.kind === 'slats') {
    const lost = reading.drawnMm - mean(values);
    return lost > 0 && lost < reading.cuts * 2
      ? ''
      : `Drawn ${reading.drawnMm} mm, read ${mean(values).toFixed(2)}: ${reading.cuts} slats lose one kerf each. Look again.`;
  }
  const other = part === 'hole' ? reading.plugMm : reading.holeMm;
  if (other.length === 0) return '';
  const lost = mean(reading.holeMm) - mean(reading.plugMm);
  return lost > 0 && lost < 4
    ? ''
    : `Hole less plug is ${lost.toFixed(2)} mm; it should be twice the kerf. Look again.`;
}
