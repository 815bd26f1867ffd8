import type { Document, DraftOf, SheetBody } from '@inlaywright/formats';
import { type ReactElement, useState } from 'react';
import { Choice } from '../../controls/choice.tsx';
import { DocumentForm } from '../forms/document-form.tsx';
import { NumberField } from '../forms/number-field.tsx';
import { TextField } from '../forms/text-field.tsx';
import { boardSize, cornersText, isRectangle, outlineFromCorners, rectangleOutline } from '../outline.ts';

type Shape = 'rectangle' | 'corners' | 'kept';

/** One board or offcut: how large, how thick as measured, and where it lies. */
export function BoardForm(props: {
  readonly stock: Document<'stocks'>;
  readonly document: Document<'sheets'> | null;
  readonly onSaved: () => void;
  readonly onGone: () => void;
}): ReactElement {
  const { stock, document } = props;
  const body = document?.body;
  const first = body ? boardSize(body.outline) : undefined;
  const [shape, setShape] = useState<Shape>(
    !body || isRectangle(body.outline) ? 'rectangle' : cornersText(body.outline) ? 'corners' : 'kept',
  );
  const [width, setWidth] = useState<number | undefined>(first?.widthMm ?? stock.body.widthMm ?? 300);
  const [height, setHeight] = useState<number | undefined>(first?.heightMm ?? stock.body.heightMm ?? 200);
  const [corners, setCorners] = useState(body ? cornersText(body.outline) : '');
  const [readings, setReadings] = useState((body?.readingsMm ?? []).join(' '));
  const [draft, setDraft] = useState<Omit<DraftOf<'sheets'>, 'outline'>>(
    body ?? {
      name: `${stock.body.name}, board`,
      stock: stock.id,
      kind: 'sheet',
      thicknessMm: stock.body.thicknessMm,
      ...(stock.body.grain ? { grainDeg: 0 } : {}),
    },
  );
  const [refused, setRefused] = useState<Readonly<Record<string, boolean>>>({});
  const set = (part: Partial<SheetBody>): void => setDraft((before) => ({ ...before, ...part }));
  const refuse = (key: string) => (is: boolean) => setRefused((before) => ({ ...before, [key]: is }));
  const typed = outlineFromCorners(corners);
  const outline =
    shape === 'rectangle' && width !== undefined && height !== undefined
      ? rectangleOutline(width, height)
      : shape === 'corners' && typed.ok
        ? typed.outline
        : shape === 'kept'
          ? body?.outline
          : undefined;
  const read = readingsOf(readings);
  const complete = {
    ...draft,
    outline: outline ?? '',
    readingsMm: read ?? [],
    ...(read && read.length > 0
      ? { thicknessMm: Number((read.reduce((sum, mm) => sum + mm, 0) / read.length).toFixed(3)) }
      : {}),
  };
  return (
    <DocumentForm
      kind="sheets"
      document={document}
      draft={complete}
      blocked={outline === undefined || read === null || Object.values(refused).some(Boolean)}
      title={document ? `Change ${document.body.name}` : 'Another board'}
      onSaved={props.onSaved}
      {...(document ? { onGone: props.onGone } : {})}
    >
      <div className="form-grid">
        <TextField label="Name" value={draft.name} required onChange={(name) => set({ name })} />
        <TextField
          label="Place on the shelf"
          value={draft.place ?? ''}
          onChange={(place) => set({ place })}
        />
        <Choice
          label="It is"
          shape="row"
          value={draft.kind}
          options={[
            { value: 'sheet', label: 'a whole sheet' },
            { value: 'offcut', label: 'an offcut' },
          ]}
          onChange={(kind) => set({ kind })}
        />
        <Choice
          label="Outline"
          shape="row"
          value={shape}
          options={[
            { value: 'rectangle', label: 'width and height' },
            { value: 'corners', label: 'corners' },
            ...(body && !isRectangle(body.outline) ? [{ value: 'kept' as const, label: 'as it is' }] : []),
          ]}
          onChange={setShape}
        />
        {shape === 'rectangle' && (
          <>
            <NumberField
              label="Width"
              unit="mm"
              min={1}
              max={5000}
              value={width}
              onChange={setWidth}
              onRefused={refuse('width')}
            />
            <NumberField
              label="Height"
              unit="mm"
              min={1}
              max={5000}
              value={height}
              onChange={setHeight}
              onRefused={refuse('height')}
            />
          </>
        )}
        {shape === 'corners' && (
          <>
            <TextField
              label="Corners, x y in mm, one a line"
              value={corners}
              max={20_000}
              rows={6}
              hint="Going round the board, y up: 0 0, then 140 0, then 140 60 …"
              onChange={setCorners}
            />
            {!typed.ok && corners.trim() !== '' && (
              <p className="refused is-wide" role="alert">
                {typed.message}
              </p>
            )}
          </>
        )}
        {outline !== undefined && shape !== 'rectangle' && (
          <div className="is-wide board-preview">
            <OutlinePicture outline={outline} />
          </div>
        )}
        <TextField
          label="Thickness, measured in mm"
          value={readings}
          hint={
            read === null
              ? 'Type readings such as 3.04 3.05 3.06, a space between.'
              : read.length > 0
                ? `Mean of ${read.length}: ${complete.thicknessMm} mm`
                : document
                  ? `No single readings: ${draft.thicknessMm} mm`
                  : `Not measured: taken as sold, ${draft.thicknessMm} mm`
          }
          onChange={setReadings}
        />
        <NumberField
          label="Direction of the grain"
          unit="°"
          min={-360}
          max={360}
          optional
          value={draft.grainDeg}
          onChange={(grainDeg) => set({ grainDeg } as Partial<SheetBody>)}
          onRefused={refuse('grain')}
        />
        <label className="choice-option">
          <input
            type="checkbox"
            checked={draft.usedUp ?? false}
            onChange={(event) => set({ usedUp: event.target.checked })}
          />
          <span>Used up</span>
        </label>
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

/** The outline as it is understood. */
function OutlinePicture({ outline }: { readonly outline: string }): ReactElement | null {
  const size = boardSize(outline);
  if (!size) return null;
  const k = 200 / Math.max(size.widthMm, size.heightMm);
  return (
    <svg
      className="board-picture"
      viewBox={`-3 -3 ${size.widthMm * k + 6} ${size.heightMm * k + 6}`}
      width={size.widthMm * k + 6}
      height={size.heightMm * k + 6}
      role="img"
      aria-label={`Outline as understood, ${size.widthMm} by ${size.heightMm} mm`}
    >
      <path
        className="board-outline"
        fillRule="evenodd"
        transform={`translate(${-size.minX * k} ${(size.heightMm + size.minY) * k}) scale(${k} ${-k})`}
        d={outline}
      />
    </svg>
  );
}

/** Readings with spaces or semicolons between, both decimal marks; null where one cannot be read. */
function readingsOf(text: string): number[] | null {
  const numbers: number[] = [];
  for (const word of text.trim().split(/[\s;]+/)) {
    if (word === '') continue;
    if (!/^(?:\d+(?:[.,]\d*)?|[.,]\d+)$/.test(word)) return null;
    const mm = Number(word.replace(',', '.'));
    if (mm <= 0 || mm > 50) return null;
    numbers.push(mm);
  }
  return numbers;
}
