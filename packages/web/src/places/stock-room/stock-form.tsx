import type { Document, DraftOf, StockBody } from '@inlaywright/formats';
import { type ReactElement, useState } from 'react';
import { useMaterials } from '../../workspace/use-shelf.ts';
import { DocumentForm } from '../forms/document-form.tsx';
import { NumberField } from '../forms/number-field.tsx';
import { PickField } from '../forms/pick-field.tsx';
import { TextField } from '../forms/text-field.tsx';
import { Cautions } from './cautions.tsx';
import { TYPE_WORDS } from './figures.ts';

/** A stock: a material in a thickness from a supplier. */
export function StockForm(props: {
  readonly document: Document<'stocks'> | null;
  readonly material?: string | undefined;
  readonly onSaved: (document: Document<'stocks'>) => void;
  readonly onGone?: () => void;
}): ReactElement {
  const { document } = props;
  const materials = useMaterials();
  const [draft, setDraft] = useState<DraftOf<'stocks'>>(
    document?.body ?? { name: '', material: props.material ?? '', thicknessMm: 3 },
  );
  const [price, setPrice] = useState({
    amount: draft.price?.amount,
    currency: draft.price?.currency ?? 'EUR',
  });
  const [refused, setRefused] = useState<Readonly<Record<string, boolean>>>({});
  const set = (part: Partial<StockBody>): void => setDraft((before) => ({ ...before, ...part }));
  const refuse = (key: string) => (is: boolean) => setRefused((before) => ({ ...before, [key]: is }));
  const chosen = materials?.find(({ id }) => id === draft.material);
  const { price: _, ...rest } = draft;
  const complete: DraftOf<'stocks'> = {
    ...rest,
    ...(price.amount === undefined
      ? {}
      : { price: { amount: price.amount, currency: price.currency.toUpperCase() } }),
  };
  return (
    <DocumentForm
      kind="stocks"
      document={document}
      draft={complete}
      blocked={draft.material === '' || Object.values(refused).some(Boolean)}
      title={document ? `Change ${document.body.name}` : 'New stock'}
      onSaved={props.onSaved}
      {...(props.onGone ? { onGone: props.onGone } : {})}
    >
      <div className="form-grid">
        <PickField
          label="Material"
          value={draft.material}
          options={[
            { value: '', label: 'choose …' },
            ...(materials ?? []).map(({ id, name, type, cautions }) => ({
              value: id,
              label: cautions[0]?.verdict === 'refused' ? `${name} (never under the laser)` : name,
              group: TYPE_WORDS[type] ?? type,
            })),
          ]}
          onChange={(material) => {
            const name = materials?.find(({ id }) => id === material)?.name ?? '';
            set({ material, ...(draft.name === '' ? { name: `${name}, ${draft.thicknessMm} mm` } : {}) });
          }}
        />
        <TextField label="Name" value={draft.name} required onChange={(name) => set({ name })} />
        <NumberField
          label="Thickness as sold"
          unit="mm"
          min={0.01}
          max={50}
          value={draft.thicknessMm}
          onChange={(value) => set({ thicknessMm: value! })}
          onRefused={refuse('thickness')}
        />
        <TextField label="Supplier" value={draft.supplier ?? ''} onChange={(supplier) => set({ supplier })} />
        <NumberField
          label="Sheet as sold, width"
          unit="mm"
          min={1}
          max={5000}
          optional
          value={draft.widthMm}
          onChange={(widthMm) => set({ widthMm } as Partial<StockBody>)}
          onRefused={refuse('width')}
        />
        <NumberField
          label="Sheet as sold, height"
          unit="mm"
          min={1}
          max={5000}
          optional
          value={draft.heightMm}
          onChange={(heightMm) => set({ heightMm } as Partial<StockBody>)}
          onRefused={refuse('height')}
        />
        <NumberField
          label="Price of a sheet"
          unit={price.currency}
          min={0}
          max={1_000_000}
          optional
          value={price.amount}
          onChange={(amount) => setPrice((before) => ({ ...before, amount }))}
          onRefused={refuse('price')}
        />
        <TextField
          label="Currency"
          value={price.currency}
          max={3}
          onChange={(currency) => setPrice((before) => ({ ...before, currency }))}
        />
        <label className="choice-option">
          <input
            type="checkbox"
            checked={draft.grain ?? true}
            onChange={(event) => set({ grain: event.target.checked })}
          />
          <span>Has a grain that parts follow</span>
        </label>
        <TextField
          label="Notes"
          value={draft.notes ?? ''}
          max={10_000}
          rows={2}
          onChange={(notes) => set({ notes })}
        />
      </div>
      {chosen && <Cautions cautions={chosen.cautions} />}
    </DocumentForm>
  );
}
