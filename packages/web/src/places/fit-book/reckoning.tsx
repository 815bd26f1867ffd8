import { AIMED_GRADES, type Document, type PreferencesBody } from '@inlaywright/formats';
import { type ReactElement, useState } from 'react';
import { useDocuments } from '../../workspace/use-shelf.ts';
import { DocumentForm } from '../forms/document-form.tsx';
import { NumberField } from '../forms/number-field.tsx';
import { PickField } from '../forms/pick-field.tsx';

/** How the fit book reckons in this workshop: when a record is old, how fast evidence fades, what is aimed at. */
export function Reckoning(): ReactElement | null {
  const preferences = useDocuments('preferences')?.[0];
  if (!preferences) return null;
  const { recordLimitDays, grade } = preferences.body;
  return (
    <details className="reckoning">
      <summary>{`A record is old after ${recordLimitDays} days; seams are aimed at “${grade}”. Change that`}</summary>
      <ReckoningForm key={preferences.version} preferences={preferences} />
    </details>
  );
}

function ReckoningForm({ preferences }: { readonly preferences: Document<'preferences'> }): ReactElement {
  const [draft, setDraft] = useState(preferences.body);
  const [refused, setRefused] = useState<Readonly<Record<string, boolean>>>({});
  const set = (part: Partial<PreferencesBody>): void => setDraft((before) => ({ ...before, ...part }));
  const refuse = (key: string) => (is: boolean) => setRefused((before) => ({ ...before, [key]: is }));
  return (
    <DocumentForm
      kind="preferences"
      document={preferences}
      draft={draft}
      blocked={Object.values(refused).some(Boolean)}
      title="How the fit book reckons"
      onSaved={() => undefined}
    >
      <div className="form-grid">
        <NumberField
          label="A record is old after"
          unit="days"
          min={1}
          max={3650}
          whole
          value={draft.recordLimitDays}
          onChange={(value) => set({ recordLimitDays: value! })}
          onRefused={refuse('limit')}
        />
        <NumberField
          label="Evidence counts half after"
          unit="days"
          min={1}
          max={3650}
          value={draft.halfLifeDays}
          onChange={(value) => set({ halfLifeDays: value! })}
          onRefused={refuse('half')}
        />
        <PickField
          label="Seams are aimed at"
          value={draft.grade}
          options={AIMED_GRADES.map((grade) => ({ value: grade, label: grade }))}
          onChange={(grade) => set({ grade: grade as PreferencesBody['grade'] })}
        />
      </div>
      <p className="hint">
        Lasers, lenses and boards drift: what was seen long ago says less of today. Both times are guesses
        until your own drift chart shows better ones.
      </p>
    </DocumentForm>
  );
}
