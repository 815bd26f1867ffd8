import { lazy, type ReactElement, Suspense, useState } from 'react';
import { signedMm } from '../drawing/gap-class.ts';
import type { DrawnTone } from '../drawing/model.ts';
import { takeRecord } from '../state/page.ts';
import { usePage } from '../state/use-page.ts';
import type { UsedRecord } from '../worker/messages.ts';

const RecordPicker = lazy(async () => ({
  default: (await import('../places/fit-book/record-picker.tsx')).RecordPicker,
}));

/** Where the fit comes from: records of the fit book, for all tones or tone by tone, or the numbers below. */
export function FitFromBook({ tones }: { readonly tones: readonly DrawnTone[] }): ReactElement {
  const records = usePage((state) => state.settings.records);
  const [picking, setPicking] = useState(false);
  const own = tones.filter(({ id }) => records.byTone[id]);
  return (
    <div className="fit-from-book">
      {records.all && <Used used={records.all} forWhat="All tones" onLeave={() => takeRecord(null, null)} />}
      {own.map(({ id, name }) => (
        <Used key={id} used={records.byTone[id]!} forWhat={name} onLeave={() => takeRecord(id, null)} />
      ))}
      {picking ? (
        <Suspense fallback={<p className="hint">Reading the fit book …</p>}>
          <RecordPicker tones={tones} onDone={() => setPicking(false)} />
        </Suspense>
      ) : (
        <button type="button" className="from-book" onClick={() => setPicking(true)}>
          {records.all || own.length > 0 ? 'Another record' : 'Take it from the fit book'}
        </button>
      )}
    </div>
  );
}

function Used(props: {
  readonly used: UsedRecord;
  readonly forWhat: string;
  readonly onLeave: () => void;
}): ReactElement {
  const { used, forWhat, onLeave } = props;
  const { kerfEntryMm, kerfExitMm, allowanceMm, scatterMm } = used.fit;
  return (
    <div className="used-record">
      <p>
        <strong>{forWhat}</strong>
        {`: ${used.name}, measured ${used.day}`}
      </p>
      <dl>
        <dt>Kerf entering</dt>
        <dd>{kerfText(kerfEntryMm)}</dd>
        <dt>Kerf leaving</dt>
        <dd>{kerfText(kerfExitMm)}</dd>
        <dt>Allowance</dt>
        <dd>{`${signedMm(allowanceMm)}, ${used.grade}`}</dd>
        {scatterMm !== undefined && (
          <>
            <dt>Scatter</dt>
            <dd>{scatterMm.toFixed(3)}</dd>
          </>
        )}
      </dl>
      <button type="button" onClick={onLeave}>
        Let it go
      </button>
    </div>
  );
}

function kerfText(kerf: UsedRecord['fit']['kerfEntryMm']): string {
  return typeof kerf === 'number' ? kerf.toFixed(3) : `${kerf.x.toFixed(3)} in x, ${kerf.y.toFixed(3)} in y`;
}
