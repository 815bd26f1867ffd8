import type { RecordLookup } from '@inlaywright/formats';
import { type ReactElement, useEffect, useState } from 'react';
import { signedMm } from '../../drawing/gap-class.ts';
import type { DrawnTone } from '../../drawing/model.ts';
import { takeRecord } from '../../state/page.ts';
import { addressOf } from '../../state/place.ts';
import { usedRecord } from '../../state/used-record.ts';
import { workspace } from '../../workspace/client.ts';
import { today } from '../../workspace/trial-desk.ts';
import { useDocuments, useShelf } from '../../workspace/use-shelf.ts';
import { useNames } from './names.ts';

/** Picks a record of the fit book for a tone of the piece, or for all of its tones. */
export function RecordPicker(props: {
  readonly tones: readonly DrawnTone[];
  readonly onDone: () => void;
}): ReactElement {
  const { tones, onDone } = props;
  const records = useDocuments('records')?.filter(({ supersededBy }) => supersededBy == null) ?? null;
  const problem = useShelf((state) => state.problem);
  const names = useNames();
  const [tone, setTone] = useState('');
  const [id, setId] = useState('');
  const record = records?.find((one) => one.id === id) ?? records?.[0];
  const warnings = useAgeWarnings(record?.body);
  if (!records) {
    return <p className="hint">{problem ? `${problem.title}. ${problem.hint}` : 'Reading the fit book …'}</p>;
  }
  if (!record) {
    return (
      <p className="hint">
        The fit book has no record yet. <a href={addressOf('fit-book', ['new'])}>Start a trial</a>
      </p>
    );
  }
  const { body } = record;
  return (
    <div className="record-picker">
      <label className="field-column">
        <span>Record</span>
        <select value={record.id} onChange={(event) => setId(event.target.value)}>
          {records.map((one) => (
            <option key={one.id} value={one.id}>
              {names.all(one.body)}
            </option>
          ))}
        </select>
      </label>
      <label className="field-column">
        <span>For</span>
        <select value={tone} onChange={(event) => setTone(event.target.value)}>
          <option value="">all tones</option>
          {tones
            .filter(({ parts }) => parts > 0)
            .map(({ id: toneId, name }) => (
              <option key={toneId} value={toneId}>
                {name}
              </option>
            ))}
        </select>
      </label>
      <p className="hint">{`${signedMm(body.fit.allowanceMm)} mm a side, ${body.grade}`}</p>
      {warnings.map((warning) => (
        <p key={warning.code} className="caution">
          {warning.message} {warning.hint}
        </p>
      ))}
      <p className="picker-actions">
        <button
          type="button"
          className="primary"
          onClick={() => {
            takeRecord(tone === '' ? null : tone, usedRecord(record, names.all(body)));
            onDone();
          }}
        >
          Use it
        </button>
        <button type="button" onClick={onDone}>
          Leave it
        </button>
      </p>
    </div>
  );
}

/** What the server says against using the record today. */
function useAgeWarnings(
  of: { readonly machine: string; readonly stock: string; readonly setting: string } | undefined,
): RecordLookup['warnings'] {
  const [warnings, setWarnings] = useState<RecordLookup['warnings']>([]);
  const [machine, stock, setting] = [of?.machine, of?.stock, of?.setting];
  useEffect(() => {
    setWarnings([]);
    if (machine === undefined || stock === undefined || setting === undefined) return;
    let left = false;
    void workspace.recordInForce({ machine, stock, setting, on: today() }).then((answer) => {
      if (!left && answer.ok) setWarnings(answer.value.warnings);
    });
    return () => {
      left = true;
    };
  }, [machine, stock, setting]);
  return warnings;
}
