import { GRADES, type Grade, letteringStrokes, letteringWidth, stepShape } from '@inlaywright/workshop';
import type { ReactElement } from 'react';
import { signedMm } from '../../../drawing/gap-class.ts';
import { GRADE_TEST } from '../views/grade-patterns.tsx';
import type { Station } from './stations.ts';

export interface StepPadProps {
  readonly station: Extract<Station, { kind: 'step' }>;
  readonly turned: boolean;
  readonly onGrade: (grade: Grade | undefined) => void;
}

/** One step of the ladder: which plug to take, and the five grades to tap. */
export function StepPad({ station, turned, onGrade }: StepPadProps): ReactElement {
  const { step, allowanceMm, grade } = station;
  return (
    <div className="step-pad">
      <div className="step-head">
        <PlugPicture step={step} />
        <div>
          <h2>{`Step ${step}`}</h2>
          <p className="hint">
            {`Plug ${step}${turned ? ', turned over,' : ''} into socket ${step}. Drawn with ${signedMm(allowanceMm)} mm a side.`}
          </p>
        </div>
      </div>
      <fieldset className="grades">
        <legend className="unseen">{`Grade of step ${step}`}</legend>
        {GRADES.map((name) => (
          <button
            key={name}
            type="button"
            className="grade"
            aria-pressed={grade === name}
            onClick={() => onGrade(name)}
          >
            <span className="grade-tick" aria-hidden="true">
              {grade === name ? '\u2713' : ''}
            </span>
            <span>
              {name}
              <small>{GRADE_TEST[name]}</small>
            </span>
          </button>
        ))}
        {grade !== undefined && (
          <button type="button" className="grade-none" onClick={() => onGrade(undefined)}>
            Take the grade back: not tried
          </button>
        )}
      </fieldset>
    </div>
  );
}

/** The plug as it lies on the bench: its shape, and its number in the lettering that is cut into it. */
function PlugPicture({ step }: { readonly step: number }): ReactElement {
  const text = String(step);
  const height = 5;
  const width = letteringWidth(text, height);
  const strokes = letteringStrokes(text, { at: { x: 10 - width / 2, y: 10 - height / 2 }, heightMm: height });
  const shape = stepShape(step);
  return (
    <svg
      className="plug-picture"
      viewBox="0 0 20 20"
      role="img"
      aria-label={`A ${shape} with the number ${step}`}
    >
      {shape === 'disc' ? (
        <circle className="plug-outline" cx="10" cy="10" r="8.6" />
      ) : (
        <rect className="plug-outline" x="1.4" y="1.4" width="17.2" height="17.2" rx="3.4" />
      )}
      {strokes.map((stroke, i) => (
        <polyline
          // biome-ignore lint/suspicious/noArrayIndexKey: the strokes of a figure never change their order
          key={i}
          className="plug-mark"
          points={stroke.points.map(({ x, y }) => `${x},${20 - y}`).join(' ')}
        />
      ))}
    </svg>
  );
}
