import type { ReactElement } from 'react';

export interface PlaceTab {
  readonly name: string;
  /** A word on what is there. */
  readonly more: string;
  readonly address: string;
  readonly open: boolean;
}

/** The pages of a place, as tabs of its sheets; the open one is joined to the sheet below. */
export function PlaceTabs(props: {
  readonly label: string;
  readonly tabs: readonly PlaceTab[];
}): ReactElement {
  return (
    <nav className="register place-tabs" aria-label={props.label}>
      <ul>
        {props.tabs.map(({ name, more, address, open }) => (
          <li key={name}>
            <a
              className={`register-entry${open ? ' is-open' : ''}`}
              href={address}
              aria-current={open ? 'page' : undefined}
            >
              <span>
                <span className="register-name">{name}</span>
                <small>{more || '\u00a0'}</small>
              </span>
            </a>
          </li>
        ))}
      </ul>
    </nav>
  );
}
