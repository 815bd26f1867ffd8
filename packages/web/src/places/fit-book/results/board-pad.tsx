import type { TrialBody } from '@inlaywright/formats';
import type { ReactElement } from 'react';
import { LengthField } from '../../../controls/length-field.tsx';
import type { TrialDesk } from '../../../workspace/trial-desk.ts';

/** What belongs to the whole trial: the day, the board's measured thickness, how plugs were tried, the caliper, notes. */
export function BoardPad(props: {
  readonly body: TrialBody;
  readonly desk: TrialDesk;
  /** Notes that are being typed. */
  readonly text: string | undefined;
}): ReactElement {
  const { body, desk, text } = props;
  const { trial } = body;
  return (
    <div className="board-pad">
      <h2>Board and notes</h2>
      <label className="field-row">
        <span>Day of the cut</span>
        <input
          type="date"
          value={trial.date ?? ''}
          onChange={(event) => desk.set('field:date', event.target.value || undefined)}
        />
      </label>
      <LengthField
        label="Thickness, measured"
        valueMm={trial.thicknessMm ?? 0}
        minMm={0.1}
        maxMm={50}
        stepMm={0.05}
        digits={2}
        onChange={(mm) => desk.set('field:thicknessMm', mm)}
      />
      <label className="choice-option">
        <input
          type="checkbox"
          checked={trial.turned}
          onChange={(event) => desk.set('field:turned', event.target.checked)}
        />
        <span>Plugs were turned over before they were tried, as inlays are</span>
      </label>
      <LengthField
        label="Caliper: one step of its display"
        valueMm={trial.caliper.resolutionMm}
        minMm={0.001}
        maxMm={1}
        stepMm={0.01}
        digits={3}
        onChange={(resolutionMm) => desk.set('field:caliper', { ...trial.caliper, resolutionMm })}
      />
      <LengthField
        label="Caliper: largest error by its maker"
        valueMm={trial.caliper.largestErrorMm}
        minMm={0}
        maxMm={1}
        stepMm={0.01}
        digits={3}
        onChange={(largestErrorMm) => desk.set('field:caliper', { ...trial.caliper, largestErrorMm })}
      />
      <label className="field-column">
        <span>Notes</span>
        <textarea
          rows={4}
          maxLength={10_000}
          value={text ?? body.notes}
          onChange={(event) => desk.setText('notes', event.target.value)}
          onBlur={(event) => {
            if (event.target.value !== body.notes) desk.set('notes', event.target.value);
            desk.setText('notes', null);
          }}
        />
      </label>
    </div>
  );
}
