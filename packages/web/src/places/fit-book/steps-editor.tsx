import type { WireJudgement } from '@inlaywright/formats';
import { FIRST_LADDER } from '@inlaywright/workshop';
import type { ReactElement } from 'react';
import { LengthField } from '../../controls/length-field.tsx';
import { signedMm } from '../../drawing/gap-class.ts';
import { type CouponChoices, inSteps, oneMore } from './coupon-plan.ts';

export interface StepsChange {
  readonly choices: Partial<CouponChoices>;
  /** The steps come from what the fit book proposes. */
  readonly proposed: boolean;
}

export interface StepsEditorProps {
  readonly allowancesMm: readonly number[];
  /** What the record in force was weighed from, where there is one. */
  readonly judgement: WireJudgement | null;
  readonly gauge: boolean;
  readonly slats: boolean;
  readonly onChange: (change: StepsChange) => void;
  readonly onPoint: (step: number | null) => void;
}

const MOST_STEPS = 60;

/** The steps of the ladder, each with its allowance, and what else is on the coupon. */
export function StepsEditor(props: StepsEditorProps): ReactElement {
  const { allowancesMm, judgement, gauge, slats, onChange, onPoint } = props;
  const set = (steps: readonly number[], proposed = false): void =>
    onChange({ choices: { allowancesMm: inSteps(steps) }, proposed });
  const small = judgement?.coupon.halves ? judgement.coupon : null;
  const best = judgement?.next[0];
  return (
    <>
      <div>
        <h2>Steps of the ladder</h2>
        <p className="hint">
          Allowance in mm a side; plus presses, minus is loose. Numbers as on the coupon.
        </p>
      </div>
      {judgement && (
        <div className="proposals">
          <p>{`The record knows the middle of its window to ${(judgement.coupon.widthNowMm * 1000).toFixed(0)} µm.`}</p>
          {small && (
            <button type="button" onClick={() => set(small.allowancesMm, true)}>
              {`The smallest coupon that would halve that: ${small.allowancesMm.length} steps`}
            </button>
          )}
          {best && best.bits > 0.01 && (
            <button type="button" onClick={() => set([...allowancesMm, best.allowanceMm], true)}>
              {`Add the step that would tell most: ${signedMm(best.allowanceMm)}`}
            </button>
          )}
        </div>
      )}
      <ol className="steps">
        {allowancesMm.map((mm, index) => (
          // biome-ignore lint/suspicious/noArrayIndexKey: a step is its number
          <li key={index} onPointerEnter={() => onPoint(index + 1)} onPointerLeave={() => onPoint(null)}>
            <span className="step-number" aria-hidden="true">
              {index + 1}
            </span>
            <LengthField
              label={`Step ${index + 1}`}
              quiet
              valueMm={mm}
              minMm={-1}
              maxMm={1}
              stepMm={0.005}
              digits={3}
              onChange={(next) => set(allowancesMm.map((old, i) => (i === index ? next : old)))}
            />
            <button
              type="button"
              aria-label={`Leave step ${index + 1} out`}
              disabled={allowancesMm.length <= 1}
              onClick={() => set(allowancesMm.filter((_, i) => i !== index))}
            >
              ×
            </button>
          </li>
        ))}
      </ol>
      <p className="steps-more">
        <button
          type="button"
          disabled={allowancesMm.length >= MOST_STEPS}
          onClick={() => set(oneMore(allowancesMm))}
        >
          One step more
        </button>
        <button type="button" onClick={() => set(FIRST_LADDER)}>
          First ladder
        </button>
      </p>
      <fieldset className="choice">
        <legend>Also on it</legend>
        <label className="choice-option">
          <input
            type="checkbox"
            checked={gauge}
            onChange={(event) => onChange({ choices: { gauge: event.target.checked }, proposed: false })}
          />
          <span>
            Two-face gauge
            <small>kerf where the beam enters and leaves, in x and y</small>
          </span>
        </label>
        <label className="choice-option">
          <input
            type="checkbox"
            checked={slats}
            onChange={(event) => onChange({ choices: { slats: event.target.checked }, proposed: false })}
          />
          <span>
            Slats
            <small>kerf as the loss of ten strips: finer than the gauge</small>
          </span>
        </label>
      </fieldset>
    </>
  );
}
