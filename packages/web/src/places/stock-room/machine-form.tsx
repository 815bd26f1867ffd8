import type { Document, DraftOf, MachineBody } from '@inlaywright/formats';
import { TYPICAL_MOTION } from '@inlaywright/workshop';
import { type ReactElement, useState } from 'react';
import { DocumentForm } from '../forms/document-form.tsx';
import { NumberField } from '../forms/number-field.tsx';
import { TextField } from '../forms/text-field.tsx';

type Motion = NonNullable<MachineBody['motion']>;

const TYPICAL: Motion = {
  travelMmPerS: TYPICAL_MOTION.travelMmPerS,
  accelerationMmPerS2: TYPICAL_MOTION.accelerationMmPerS2,
  cornerDeviationMm: TYPICAL_MOTION.cornerDeviationMm,
  pierceS: TYPICAL_MOTION.pierceS,
};

/** A laser cutter: its bed, its axes, and how it moves. */
export function MachineForm(props: {
  readonly document: Document<'machines'> | null;
  readonly onSaved: (document: Document<'machines'>) => void;
  readonly onGone?: () => void;
}): ReactElement {
  const { document } = props;
  const [draft, setDraft] = useState<DraftOf<'machines'>>(
    document?.body ?? { name: '', bedWidthMm: 600, bedHeightMm: 400 },
  );
  const [knows, setKnows] = useState(draft.motion !== undefined);
  const [motion, setMotion] = useState<Motion>(draft.motion ?? TYPICAL);
  const [refused, setRefused] = useState<Readonly<Record<string, boolean>>>({});
  const set = (part: Partial<MachineBody>): void => setDraft((before) => ({ ...before, ...part }));
  const refuse = (key: string) => (is: boolean) => setRefused((before) => ({ ...before, [key]: is }));
  const { motion: _, ...rest } = draft;
  const moving = (key: keyof Motion) => ({
    value: motion[key],
    onChange: (value: number | undefined) => setMotion((before) => ({ ...before, [key]: value! })),
    onRefused: refuse(key),
  });
  return (
    <DocumentForm
      kind="machines"
      document={document}
      draft={{ ...rest, ...(knows ? { motion } : {}) }}
      blocked={Object.values(refused).some(Boolean)}
      title={document ? `Change ${document.body.name}` : 'New machine'}
      onSaved={props.onSaved}
      {...(props.onGone ? { onGone: props.onGone } : {})}
    >
      <div className="form-grid">
        <TextField label="Name" value={draft.name} required onChange={(name) => set({ name })} />
        <TextField
          label="Source of the beam"
          value={draft.source ?? ''}
          hint="In your words, such as CO2, 60 W"
          onChange={(source) => set({ source })}
        />
        <NumberField
          label="Bed, width"
          unit="mm"
          min={1}
          max={5000}
          value={draft.bedWidthMm}
          onChange={(value) => set({ bedWidthMm: value! })}
          onRefused={refuse('width')}
        />
        <NumberField
          label="Bed, height"
          unit="mm"
          min={1}
          max={5000}
          value={draft.bedHeightMm}
          onChange={(value) => set({ bedHeightMm: value! })}
          onRefused={refuse('height')}
        />
        <TextField
          label="Axes"
          value={draft.axisNotes ?? ''}
          max={10_000}
          hint="Which way x and y lie, so that readings are told apart"
          onChange={(axisNotes) => set({ axisNotes })}
        />
        <label className="choice-option is-wide">
          <input type="checkbox" checked={knows} onChange={(event) => setKnows(event.target.checked)} />
          <span>I know how it moves</span>
        </label>
        {knows && (
          <>
            <NumberField
              label="Speed between cuts"
              unit="mm/s"
              min={1}
              max={5000}
              {...moving('travelMmPerS')}
            />
            <NumberField
              label="Acceleration"
              unit="mm/s²"
              min={1}
              max={100_000}
              {...moving('accelerationMmPerS2')}
            />
            <NumberField
              label="Corners cut short by"
              unit="mm"
              min={0.001}
              max={1}
              {...moving('cornerDeviationMm')}
            />
            <NumberField label="Wait before each cut" unit="s" min={0} max={60} {...moving('pierceS')} />
          </>
        )}
        <TextField
          label="Notes"
          value={draft.notes ?? ''}
          max={10_000}
          rows={2}
          onChange={(notes) => set({ notes })}
        />
      </div>
    </DocumentForm>
  );
}
