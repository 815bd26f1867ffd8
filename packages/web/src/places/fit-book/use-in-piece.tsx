import type { Document } from '@inlaywright/formats';
import { type ReactElement, useState } from 'react';
import { takeRecord } from '../../state/page.ts';
import { addressOf, goTo } from '../../state/place.ts';
import { usePage } from '../../state/use-page.ts';
import { usedRecord } from '../../state/used-record.ts';

const ALL = '';

/** Takes a record to the piece that lies on the sheet: for one of its tones, or for all. */
export function UseInPiece(props: {
  readonly record: Document<'records'>;
  readonly name: string;
}): ReactElement {
  const { record, name } = props;
  const open = usePage((state) => state.open);
  const tones = usePage((state) => state.drawing?.tones ?? null);
  const [tone, setTone] = useState(ALL);
  return (
    <section aria-labelledby="use-title">
      <h2 id="use-title">Use it in a piece</h2>
      <div className="use-in-piece">
        {open && tones && (
          <label className="field-column">
            <span>{`For which tone of ${open.name}`}</span>
            <select value={tone} onChange={(event) => setTone(event.target.value)}>
              <option value={ALL}>all of them</option>
              {tones
                .filter(({ parts }) => parts > 0)
                .map(({ id, name: toneName }) => (
                  <option key={id} value={id}>
                    {toneName}
                  </option>
                ))}
            </select>
          </label>
        )}
        <button
          type="button"
          className="primary"
          onClick={() => {
            takeRecord(tone === ALL ? null : tone, usedRecord(record, name));
            goTo(addressOf('pieces', open?.entry ? [open.entry.id] : []));
          }}
        >
          {open ? `Use in ${open.name}` : 'Use in the next piece'}
        </button>
      </div>
    </section>
  );
}
