import type { Caution } from '@inlaywright/formats';
import type { ReactElement } from 'react';
import { VERDICT_WORDS } from './figures.ts';

/** What shops and universities say of a material under a laser, strictest first. */
export function Cautions({ cautions }: { readonly cautions: readonly Caution[] }): ReactElement | null {
  if (cautions.length === 0) return null;
  return (
    <ul className="caution-list">
      {cautions.map(({ material, verdict, reason, source }) => (
        <li key={`${material} ${verdict}`} className={`verdict verdict-${verdict}`}>
          <strong>{`${VERDICT_WORDS[verdict]}: `}</strong>
          {`${material}. ${reason[0]?.toUpperCase() ?? ''}${reason.slice(1)}.`}
          <small>{`Source: ${source}`}</small>
        </li>
      ))}
    </ul>
  );
}
