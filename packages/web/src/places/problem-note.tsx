import type { Problem } from '@inlaywright/formats';
import type { ReactElement } from 'react';

/** A refusal of the server: what, why, where, and what to do. */
export function ProblemNote(props: {
  readonly problem: Problem;
  readonly onAgain?: () => void;
}): ReactElement {
  const { problem, onAgain } = props;
  return (
    <div className="trouble" role="alert">
      <h2>{problem.title}</h2>
      <p>{problem.detail}</p>
      {problem.issues && problem.issues.length > 0 && (
        <ul>
          {problem.issues.map(({ where, message }) => (
            <li key={`${where} ${message}`}>{`${where}: ${message}`}</li>
          ))}
        </ul>
      )}
      <p>{problem.hint}</p>
      {onAgain && (
        <button type="button" onClick={onAgain}>
          Try again
        </button>
      )}
    </div>
  );
}
