import { type ReactElement, useId } from 'react';

/** One of a list. */
export function PickField(props: {
  readonly label: string;
  readonly value: string;
  readonly options: readonly { readonly value: string; readonly label: string; readonly group?: string }[];
  readonly onChange: (value: string) => void;
}): ReactElement {
  const { label, value, options, onChange } = props;
  const id = useId();
  const groups = [...new Set(options.map(({ group }) => group ?? ''))];
  const lines = (group: string): ReactElement[] =>
    options
      .filter((option) => (option.group ?? '') === group)
      .map((option) => (
        <option key={option.value} value={option.value}>
          {option.label}
        </option>
      ));
  return (
    <div className="form-field is-wide">
      <label htmlFor={id}>{label}</label>
      <select id={id} value={value} onChange={(event) => onChange(event.target.value)}>
        {groups.map((group) =>
          group === '' ? (
            lines(group)
          ) : (
            <optgroup key={group} label={group}>
              {lines(group)}
            </optgroup>
          ),
        )}
      </select>
    </div>
  );
}
