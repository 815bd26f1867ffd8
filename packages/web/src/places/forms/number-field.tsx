import { parseLength } from '@inlaywright/formats';
import { type ReactElement, useId, useState } from 'react';

export interface NumberFieldProps {
  readonly label: string;
  /** `mm` is read as a length with any unit; other units are plain numbers and only shown. */
  readonly unit: string;
  readonly value: number | undefined;
  readonly min: number;
  readonly max: number;
  /** May be left empty. */
  readonly optional?: boolean;
  readonly whole?: boolean;
  readonly onChange: (value: number | undefined) => void;
  /** Told while what stands in the field cannot be taken. */
  readonly onRefused?: (refused: boolean) => void;
}

/** A number of a form: taken while it is typed, both decimal marks, never guessed. */
export function NumberField(props: NumberFieldProps): ReactElement {
  const { label, unit, value, onChange, onRefused } = props;
  const [draft, setDraft] = useState<string | null>(null);
  const [refused, setRefused] = useState('');
  const id = useId();
  const take = (text: string): void => {
    setDraft(text);
    const answer = read(text, props);
    setRefused(answer.ok ? '' : answer.message);
    onRefused?.(!answer.ok);
    if (answer.ok) onChange(answer.value);
  };
  return (
    <div className="form-field">
      <label htmlFor={id}>{label}</label>
      <span className="form-box">
        <input
          id={id}
          type="text"
          inputMode="decimal"
          autoComplete="off"
          value={draft ?? (value === undefined ? '' : String(value))}
          aria-invalid={refused !== ''}
          aria-describedby={refused === '' ? undefined : `${id}-refused`}
          onChange={(event) => take(event.target.value)}
          onBlur={() => {
            if (refused === '') setDraft(null);
          }}
        />
        <span aria-hidden="true">{unit}</span>
      </span>
      {refused !== '' && (
        <p className="refused" id={`${id}-refused`} role="alert">
          {refused}
        </p>
      )}
    </div>
  );
}

type Read =
  | { readonly ok: true; readonly value: number | undefined }
  | { readonly ok: false; readonly message: string };

function read(text: string, { label, unit, min, max, optional, whole }: NumberFieldProps): Read {
  if (text.trim() === '') {
    return optional ? { ok: true, value: undefined } : { ok: false, message: `${label} is missing.` };
  }
  let value: number;
  if (unit === 'mm') {
    const length = parseLength(text);
    if (!length.ok) return length;
    value = Number(length.mm.toFixed(6));
  } else {
    if (!/^[+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+)$/.test(text.trim())) {
      return { ok: false, message: `${text}: not a number.` };
    }
    value = Number(text.trim().replace(',', '.'));
  }
  if (whole && !Number.isInteger(value)) return { ok: false, message: `${label} is a whole number.` };
  if (value < min || value > max)
    return { ok: false, message: `${label} goes from ${min} to ${max} ${unit}.` };
  return { ok: true, value };
}
