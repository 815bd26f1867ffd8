import { parseLength } from '@inlaywright/formats';
import { type KeyboardEvent, type ReactElement, useId, useState } from 'react';

export interface LengthFieldProps {
  readonly label: string;
  /** Hides the label from the eye where the place says it; it stays the field's name. */
  readonly quiet?: boolean;
  readonly valueMm: number;
  readonly minMm: number;
  readonly maxMm: number;
  /** Step of the arrow keys, mm. */
  readonly stepMm: number;
  readonly digits: number;
  readonly onChange: (mm: number) => void;
}

/**
 * A field for a length. What is typed is taken with Enter or on leaving, read by the strict reader (both decimal
 * marks, mm, cm, in, thou, fractions), and shown again in mm so that the maker sees how it was understood. What
 * cannot be read is kept for mending, with the reason under it; Escape brings the last good value back.
 */
export function LengthField(props: LengthFieldProps): ReactElement {
  const { label, valueMm, minMm, maxMm, stepMm, digits } = props;
  const [draft, setDraft] = useState<string | null>(null);
  const [refused, setRefused] = useState('');
  const id = useId();
  const shown = draft ?? valueMm.toFixed(digits).replace('-', '\u2212');

  const take = (text: string): void => {
    const reading = parseLength(text);
    const problem = !reading.ok
      ? reading.message
      : reading.mm < minMm || reading.mm > maxMm
        ? `${label} goes from ${minMm} to ${maxMm} mm; ${text.trim()} is ${Number(reading.mm.toFixed(4))} mm.`
        : '';
    setRefused(problem);
    if (problem !== '' || !reading.ok) return;
    setDraft(null);
    if (reading.mm !== valueMm) props.onChange(reading.mm);
  };
  const restore = (): void => {
    setDraft(null);
    setRefused('');
  };
  const step = (direction: 1 | -1, times: number): void => {
    restore();
    const next = (Math.round(valueMm / stepMm) + direction * times) * stepMm;
    props.onChange(Number(Math.min(maxMm, Math.max(minMm, next)).toFixed(6)));
  };
  const onKeyDown = (event: KeyboardEvent<HTMLInputElement>): void => {
    if (event.key === 'Enter') take(event.currentTarget.value);
    else if (event.key === 'Escape') restore();
    else if (event.key === 'ArrowUp') step(1, event.shiftKey ? 10 : 1);
    else if (event.key === 'ArrowDown') step(-1, event.shiftKey ? 10 : 1);
    else return;
    event.preventDefault();
  };

  return (
    <div className="length-field">
      <label htmlFor={id} className={props.quiet ? 'unseen' : ''}>
        {label}
      </label>
      <span className="length-field-box">
        <input
          id={id}
          type="text"
          inputMode="decimal"
          autoComplete="off"
          spellCheck={false}
          value={shown}
          aria-invalid={refused !== ''}
          aria-describedby={refused === '' ? undefined : `${id}-refused`}
          onChange={(event) => setDraft(event.target.value)}
          onKeyDown={onKeyDown}
          onBlur={() => draft !== null && take(draft)}
        />
        <span aria-hidden="true">mm</span>
      </span>
      {refused !== '' && (
        <p className="refused" id={`${id}-refused`} role="alert">
          {refused}
        </p>
      )}
    </div>
  );
}
