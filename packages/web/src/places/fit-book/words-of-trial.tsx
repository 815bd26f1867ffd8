import type { TrialFile } from '@inlaywright/formats';
import type { ReactElement } from 'react';
import { signedMm } from '../../drawing/gap-class.ts';
import type { Judged } from './use-judgement.ts';

/** The result in plain words, what looks odd, and what to measure next. */
export function WordsOfTrial(props: {
  readonly judged: Judged;
  readonly trial: TrialFile;
}): ReactElement | null {
  const { judgement } = props.judged;
  if (!judgement) return null;
  const { words, findings, next, coupon } = judgement;
  return (
    <>
      <section aria-labelledby="words-title">
        <h2 id="words-title">In words</h2>
        <div className="words">
          {words.map((sentence) => (
            <p key={sentence}>{sentence}</p>
          ))}
        </div>
      </section>
      {findings.length > 0 && (
        <section aria-labelledby="findings-title">
          <h2 id="findings-title">Look at this</h2>
          <ul className="finding-list">
            {findings.map((finding) => (
              <li key={finding.message}>
                <strong>{finding.severity === 'note' ? 'Note.' : 'Warning.'}</strong> {finding.message}{' '}
                <span className="note-hint">{finding.hint}</span>
              </li>
            ))}
          </ul>
        </section>
      )}
      {next.length > 0 && (
        <section aria-labelledby="next-title">
          <h2 id="next-title">What to measure next</h2>
          <p className="hint">
            Steps that would tell most, drawn for the same kerf as this coupon, and the information expected
            of each.
          </p>
          <ol className="next-list">
            {next.map(({ allowanceMm, bits }) => (
              <li key={allowanceMm}>
                <span className="figures">{signedMm(allowanceMm)} mm</span>
                <span className="next-bar" aria-hidden="true">
                  <svg viewBox="0 0 100 8" preserveAspectRatio="none">
                    <rect width={Math.min(100, (100 * bits) / Math.max(0.5, next[0]!.bits))} height="8" />
                  </svg>
                </span>
                <span className="figures">{`${bits.toFixed(2)} bit`}</span>
              </li>
            ))}
          </ol>
          {coupon.halves && (
            <p className="hint">
              {`${coupon.allowancesMm.length} steps would halve the interval: ${coupon.allowancesMm.map((mm) => signedMm(mm)).join(', ')}.`}
            </p>
          )}
        </section>
      )}
    </>
  );
}
