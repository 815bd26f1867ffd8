import type { ReactElement } from 'react';
import { canTryAgain, tryAgain } from '../state/page.ts';
import { usePage } from '../state/use-page.ts';
import type { Trouble } from '../worker/messages.ts';

/** Something that did not work: what, where, and what to do. */
export function TroubleNote({ trouble }: { readonly trouble: Trouble }): ReactElement {
  const again = usePage(canTryAgain);
  return (
    <div className="trouble" role="alert">
      <h2>{trouble.title}</h2>
      <p>{trouble.detail}</p>
      {trouble.where !== '' && <p className="trouble-where">Where: {trouble.where}</p>}
      {trouble.list && (
        <ul>
          {trouble.list.map((line) => (
            <li key={line}>{line}</li>
          ))}
        </ul>
      )}
      <p>{trouble.hint}</p>
      <button type="button" onClick={tryAgain}>
        {again ? 'Try again' : 'Put this aside'}
      </button>
    </div>
  );
}
