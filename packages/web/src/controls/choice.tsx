import { type ReactElement, useId } from 'react';

export interface ChoiceProps<T extends string> {
  readonly label: string;
  readonly quiet?: boolean;
  readonly value: T;
  readonly options: readonly { readonly value: T; readonly label: string; readonly hint?: string }[];
  readonly onChange: (value: T) => void;
  /** `row` stands in a line, `list` one under the other with its hints. */
  readonly shape: 'row' | 'list';
}

/** One of a few, all in sight: native radio buttons, so that arrow keys and screen readers know what to do. */
export function Choice<T extends string>(props: ChoiceProps<T>): ReactElement {
  const name = useId();
  return (
    <fieldset className={`choice choice-${props.shape}`}>
      <legend className={props.quiet ? 'unseen' : ''}>{props.label}</legend>
      {props.options.map((option) => (
        <label key={option.value} className="choice-option">
          <input
            type="radio"
            name={name}
            value={option.value}
            checked={props.value === option.value}
            onChange={() => props.onChange(option.value)}
          />
          <span>
            {option.label}
            {option.hint !== undefined && <small>{option.hint}</small>}
          </span>
        </label>
      ))}
    </fieldset>
  );
}
