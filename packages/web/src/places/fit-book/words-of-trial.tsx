import type { TrialBody } from '@inlaywright/formats';
import type { ReactElement } from 'react';
import { signedMm } from '../../drawing/gap-class.ts';
import { addressOf } from '../../state/place.ts';
import { belongingQuery } from './names.ts';
import type { Judged } from './use-judgement.ts';

/** The result in plain words, what looks odd, and what to measure next. */
export function WordsOfTrial(props: {
  readonly judged: Judged;
  readonly body: TrialBody;
}): ReactElement | null {
  const { body } = props;
  const { judgement } = props.judged;
  if (!judgement) return null;
  const { words, findings, next, coupon } = judgement;
  const [best] = next;
  const couponOf = (allowancesMm: readonly number[]): string =>
    addressOf('fit-book', ['new'], {
      ...belongingQuery(body),
      steps: allowancesMm.join(' '),
      kerf: String(body.trial.drawnKerfMm),
    });
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
      {best && (
        <section aria-labelledby="next-title">
          <h2 id="next-title">What to measure next</h2>
          <div className="next">
            {best.bits > 0.01 ? (
              <p>
                {`One step at ${signedMm(best.allowanceMm)} mm, drawn for the same kerf as this coupon, would tell most: ${best.bits.toFixed(1)} bit. One bit halves what is open. `}
                <a href={couponOf([best.allowanceMm])}>Draw it</a>
              </p>
            ) : (
              <p>Another step would tell little. Cut a batch, and tell how it went together.</p>
            )}
            {coupon.halves && (
              <p>
                {`${coupon.allowancesMm.length} ${coupon.allowancesMm.length === 1 ? 'step' : 'steps'} would halve the interval. `}
                <a href={couponOf(coupon.allowancesMm)}>Draw them</a>
              </p>
            )}
          </div>
        </section>
      )}
    </>
  );
}
