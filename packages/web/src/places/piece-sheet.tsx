import { type ReactElement, useCallback, useMemo, useState } from 'react';
import { Choice } from '../controls/choice.tsx';
import type { DrawnNote } from '../drawing/model.ts';
import { DrawingField } from '../sheet/drawing-field.tsx';
import { FitControls } from '../sheet/fit-controls.tsx';
import { Legend } from '../sheet/legend.tsx';
import { NotesList } from '../sheet/notes-list.tsx';
import { SeamTable } from '../sheet/seam-table.tsx';
import { SheetFrame } from '../sheet/sheet-frame.tsx';
import { TitleBlock } from '../sheet/title-block.tsx';
import { type Zones, zoneAt } from '../sheet/zones.ts';
import { setView } from '../state/page.ts';
import { artworkOf, type View } from '../state/page-state.ts';
import { usePage } from '../state/use-page.ts';
import { ArtworkTones } from './artwork-tones.tsx';
import { TroubleNote } from './trouble-note.tsx';

const VIEWS: readonly { readonly value: View; readonly label: string }[] = [
  { value: 'tones', label: 'Tones' },
  { value: 'apart', label: 'Parts apart' },
  { value: 'seams', label: 'Seams' },
];

/** The sheet of one piece: the drawing, its fit, notes, seams and title block. */
export function PieceSheet(): ReactElement {
  const drawing = usePage((state) => state.drawing);
  const drawingState = usePage((state) => state.drawingState);
  const trouble = usePage((state) => state.trouble);
  const register = usePage((state) => state.register.state);
  const open = usePage((state) => state.open);
  const view = usePage((state) => state.view);
  const artwork = usePage(artworkOf);
  const [scale, setScale] = useState('');
  const [places, setPlaces] = useState<ReadonlyMap<number, { x: number; y: number }>>(new Map());
  const [zones, setZones] = useState<Zones | null>(null);
  const onPlaces = useCallback((next: ReadonlyMap<number, { x: number; y: number }>) => setPlaces(next), []);
  const zoneOf = useMemo(
    () =>
      (note: DrawnNote): string | null => {
        const place = places.get(note.number);
        return place && zones ? zoneAt(zones, place.x, place.y) : null;
      },
    [places, zones],
  );

  if (!drawing) {
    return (
      <main className="sheet sheet-empty">
        {trouble ? (
          <TroubleNote trouble={trouble} />
        ) : register === 'ready' && !open ? (
          <div className="empty">
            <h1>Nothing on the sheet yet</h1>
            <p>Drop an SVG drawing or a piece file here, or choose one with “Open a file”.</p>
          </div>
        ) : (
          <p className="hint" role="status">
            Drawing the piece …
          </p>
        )}
      </main>
    );
  }
  return (
    <main className="sheet" aria-busy={drawingState === 'working'}>
      <SheetFrame onZones={setZones}>
        <h1 className="unseen">{drawing.name}</h1>
        {trouble && <TroubleNote trouble={trouble} />}
        <div className="sheet-drawing">
          <div className="field-head">
            <Choice label="View" quiet value={view} options={VIEWS} onChange={setView} shape="row" />
            <p className="working" role="status">
              {drawingState === 'working' ? 'Computing …' : ''}
            </p>
          </div>
          <DrawingField drawing={drawing} onScale={setScale} onPlaces={onPlaces} />
          <Legend view={view} />
        </div>
        <div className="sheet-fit">
          {artwork && <ArtworkTones source={artwork} />}
          <FitControls drawing={drawing} />
        </div>
        <div className="sheet-margin">
          <NotesList notes={drawing.notes} zoneOf={zoneOf} />
          {drawing.seams.length > 0 && <SeamTable seams={drawing.seams} />}
        </div>
        <TitleBlock drawing={drawing} scale={scale} />
        <p className="cautions">
          A laser burns and its smoke harms: follow your machine’s manual and local rules, cut only material
          known to be safe, and never leave a running cut alone.
        </p>
      </SheetFrame>
    </main>
  );
}
