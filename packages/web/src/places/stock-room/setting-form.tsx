import type { Document, DraftOf, SettingBody } from '@inlaywright/formats';
import { type ReactElement, useState } from 'react';
import { DocumentForm } from '../forms/document-form.tsx';
import { NumberField } from '../forms/number-field.tsx';
import { TextField } from '../forms/text-field.tsx';

/** What is dialled in on a machine. */
export function SettingForm(props: {
  readonly machine: string;
  readonly document: Document<'settings'> | null;
  readonly onSaved: () => void;
  readonly onGone: () => void;
}): ReactElement {
  const { document } = props;
  const [draft, setDraft] = useState<DraftOf<'settings'>>(
    document?.body ?? { name: '', machine: props.machine, powerPercent: 70, speedMmPerS: 12, passes: 1 },
  );
  const [refused, setRefused] = useState<Readonly<Record<string, boolean>>>({});
  const set = (part: Partial<SettingBody>): void => setDraft((before) => ({ ...before, ...part }));
  const refuse = (key: string) => (is: boolean) => setRefused((before) => ({ ...before, [key]: is }));
  return (
    <DocumentForm
      kind="settings"
      document={document}
      draft={draft}
      blocked={Object.values(refused).some(Boolean)}
      title={document ? `Change ${document.body.name}` : 'New setting'}
      onSaved={props.onSaved}
      {...(document ? { onGone: props.onGone } : {})}
    >
      <div className="form-grid">
        <TextField label="Name" value={draft.name} required onChange={(name) => set({ name })} />
        <NumberField
          label="Power"
          unit="%"
          min={0}
          max={100}
          value={draft.powerPercent}
          onChange={(value) => set({ powerPercent: value! })}
          onRefused={refuse('power')}
        />
        <NumberField
          label="Speed"
          unit="mm/s"
          min={0.01}
          max={5000}
          value={draft.speedMmPerS}
          onChange={(value) => set({ speedMmPerS: value! })}
          onRefused={refuse('speed')}
        />
        <NumberField
          label="Passes"
          unit=""
          min={1}
          max={100}
          whole
          value={draft.passes ?? 1}
          onChange={(value) => set({ passes: value! })}
          onRefused={refuse('passes')}
        />
        <TextField label="Lens" value={draft.lens ?? ''} onChange={(lens) => set({ lens })} />
        <TextField label="Air at the nozzle" value={draft.air ?? ''} onChange={(air) => set({ air })} />
        <TextField
          label="Notes"
          value={draft.notes ?? ''}
          max={10_000}
          rows={2}
          onChange={(notes) => set({ notes })}
        />
      </div>
      <p className="hint">
        Start from your machine’s manual. A changed setting is another cut: enter it as a new one, and cut a
        coupon.
      </p>
    </DocumentForm>
  );
}
