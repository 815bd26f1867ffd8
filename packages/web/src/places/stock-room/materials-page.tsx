import type { MaterialEntry } from '@inlaywright/formats';
import { type ReactElement, useEffect, useRef, useState } from 'react';
import { addressOf, goTo } from '../../state/place.ts';
import { useDocuments, useMaterials } from '../../workspace/use-shelf.ts';
import { TYPE_WORDS } from './figures.ts';
import { MaterialForm } from './material-form.tsx';
import { MaterialSheet } from './material-sheet.tsx';

/** Every material: the woods of the collection, plywoods and others, and the maker's own. */
export function MaterialsPage({ id }: { readonly id: string | undefined }): ReactElement {
  const materials = useMaterials();
  const own = useDocuments('materials');
  const [text, setText] = useState('');
  const [type, setType] = useState('');
  const words = text.toLowerCase().split(/\s+/).filter(Boolean);
  const shown = (materials ?? []).filter(
    (one) =>
      (type === '' || one.type === type) &&
      words.every((word) => `${one.name} ${one.botanicalName} ${one.id}`.toLowerCase().includes(word)),
  );
  const types = [...new Set((materials ?? []).map((one) => one.type))];
  const isNew = id === 'new';
  const open = isNew ? undefined : (materials?.find((one) => one.id === id) ?? shown[0]);
  return (
    <main className="sheet room-sheet">
      <section className="room-list" aria-labelledby="materials-title">
        <div className="room-list-head">
          <h1 id="materials-title">Materials</h1>
          <a className="button" href={addressOf('stock-room', ['materials', 'new'])}>
            Your own
          </a>
        </div>
        <div className="room-search">
          <input
            type="search"
            aria-label="Search materials"
            placeholder="cherry, quercus, ply …"
            value={text}
            onChange={(event) => setText(event.target.value)}
          />
          <select
            aria-label="Kind of material"
            value={type}
            onChange={(event) => setType(event.target.value)}
          >
            <option value="">all kinds</option>
            {types.map((one) => (
              <option key={one} value={one}>
                {TYPE_WORDS[one]}
              </option>
            ))}
          </select>
        </div>
        {materials === null ? (
          <p className="hint" role="status">
            Reading the materials …
          </p>
        ) : (
          <>
            <p className="unseen" role="status">{`${shown.length} materials`}</p>
            {shown.length === 0 && (
              <p className="hint">None of that name. Enter it as your own, with what you know of it.</p>
            )}
            <ul className="room-lines">
              {shown.map((one) => (
                <MaterialLine key={one.id} material={one} open={one.id === open?.id} />
              ))}
            </ul>
          </>
        )}
      </section>
      <div className="room-detail">
        {isNew ? (
          <MaterialForm
            key="new"
            document={null}
            onSaved={(saved) => goTo(addressOf('stock-room', ['materials', saved.id]))}
          />
        ) : open ? (
          <MaterialSheet
            key={open.id}
            material={open}
            all={materials ?? []}
            document={own?.find((one) => one.id === open.id) ?? null}
          />
        ) : null}
      </div>
    </main>
  );
}

function MaterialLine({
  material,
  open,
}: {
  readonly material: MaterialEntry;
  readonly open: boolean;
}): ReactElement {
  const { id, name, botanicalName, figures, cautions, hazard, origin } = material;
  const density = figures.densityKgM3;
  const refused = cautions[0]?.verdict === 'refused';
  const flags = [
    origin === 'own' ? 'own' : '',
    refused ? 'never under the laser' : '',
    hazard ? 'hazard' : '',
  ].filter(Boolean);
  const line = useRef<HTMLAnchorElement>(null);
  useEffect(() => {
    if (open) line.current?.scrollIntoView({ block: 'nearest' });
  }, [open]);
  return (
    <li>
      <a
        ref={line}
        className="room-line"
        href={addressOf('stock-room', ['materials', id])}
        aria-current={open ? 'true' : undefined}
      >
        <span>
          <strong>{name}</strong>
          {botanicalName !== '' && <em>{botanicalName}</em>}
        </span>
        <span className="room-line-more">
          {density && <span className="figures">{`${Math.round(density.value)} kg/m³`}</span>}
          {flags.length > 0 && <small className={refused ? 'is-refused' : ''}>{flags.join(', ')}</small>}
        </span>
      </a>
    </li>
  );
}
