import { type ReactElement, useId } from 'react';

/** A line or a few lines of text in a form. */
export function TextField(props: {
  readonly label: string;
  readonly value: string;
  readonly max?: number;
  readonly rows?: number;
  readonly hint?: string;
  readonly required?: boolean;
  readonly onChange: (text: string) => void;
}): ReactElement {
  const { label, value, max = 200, rows, hint, required = false } = props;
  const id = useId();
  const shared = {
    id,
    value,
    maxLength: max,
    required,
    'aria-describedby': hint === undefined ? undefined : `${id}-hint`,
    onChange: (event: { readonly target: { readonly value: string } }): void =>
      props.onChange(event.target.value),
  };
  return (
    <div className="form-field is-wide">
      <label htmlFor={id}>{label}</label>
      {rows === undefined ? <input type="text" {...shared} /> : <textarea rows={rows} {...shared} />}
      {hint !== undefined && (
        <p className="hint" id={`${id}-hint`}>
          {hint}
        </p>
      )}
    </div>
  );
}
