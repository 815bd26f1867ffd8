import { type Document, type DraftOf, MATERIAL_TYPES, type MaterialBody } from '@inlaywright/formats';
import { type ReactElement, useState } from 'react';
import { DocumentForm } from '../forms/document-form.tsx';
import { NumberField } from '../forms/number-field.tsx';
import { PickField } from '../forms/pick-field.tsx';
import { TextField } from '../forms/text-field.tsx';
import { TYPE_WORDS } from './figures.ts';

/** A material of the maker's own. */
export function MaterialForm(props: {
  readonly document: Document<'materials'> | null;
  readonly onSaved: (document: Document<'materials'>) => void;
  readonly onGone?: () => void;
}): ReactElement {
  const { document } = props;
  const [draft, setDraft] = useState<DraftOf<'materials'>>(document?.body ?? { name: '', type: 'wood' });
  const [refused, setRefused] = useState<Readonly<Record<string, boolean>>>({});
  const set = (part: Partial<MaterialBody>): void => setDraft((before) => ({ ...before, ...part }));
  const number = (key: 'densityKgM3' | 'changeRadialPerPct' | 'changeTangentialPerPct') => ({
    value: draft[key],
    optional: true,
    onChange: (value: number | undefined) => set({ [key]: value } as Partial<MaterialBody>),
    onRefused: (is: boolean) => setRefused((before) => ({ ...before, [key]: is })),
  });
  return (
    <DocumentForm
      kind="materials"
      document={document}
      draft={draft}
      blocked={Object.values(refused).some(Boolean)}
      title={document ? `Change ${document.body.name}` : 'A material of your own'}
      onSaved={props.onSaved}
      {...(props.onGone ? { onGone: props.onGone } : {})}
    >
      <div className="form-grid">
        <TextField label="Name" value={draft.name} required onChange={(name) => set({ name })} />
        <PickField
          label="Kind"
          value={draft.type}
          options={MATERIAL_TYPES.map((type) => ({ value: type, label: TYPE_WORDS[type] ?? type }))}
          onChange={(type) => set({ type: type as MaterialBody['type'] })}
        />
        <TextField
          label="Botanical name"
          value={draft.botanicalName ?? ''}
          onChange={(botanicalName) => set({ botanicalName })}
        />
        <NumberField label="Density" unit="kg/m³" min={1} max={25_000} {...number('densityKgM3')} />
        <NumberField
          label="Change per % of moisture, radial"
          unit="1/%"
          min={0}
          max={0.02}
          {...number('changeRadialPerPct')}
        />
        <NumberField
          label="Change per % of moisture, tangential"
          unit="1/%"
          min={0}
          max={0.02}
          {...number('changeTangentialPerPct')}
        />
        <TextField
          label="Where the figures come from"
          value={draft.source ?? ''}
          max={10_000}
          rows={2}
          onChange={(source) => set({ source })}
        />
        <TextField
          label="Notes"
          value={draft.notes ?? ''}
          max={10_000}
          rows={2}
          onChange={(notes) => set({ notes })}
        />
      </div>
      <p className="hint">
        A name that stands on the list of what must not go under a laser is shown as such, and cannot become a
        stock. What is not on the list is not thereby safe: ask for the safety data sheet.
      </p>
    </DocumentForm>
  );
}
