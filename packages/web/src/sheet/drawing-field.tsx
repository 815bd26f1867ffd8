import {
  type KeyboardEvent,
  type PointerEvent,
  type ReactElement,
  useEffect,
  useId,
  useMemo,
  useRef,
  useState,
} from 'react';
import { LengthField } from '../controls/length-field.tsx';
import type { PieceDrawing } from '../drawing/model.ts';
import { changeArtwork, point, select } from '../state/page.ts';
import { artworkOf, type Mark, sameMark } from '../state/page-state.ts';
import { usePage } from '../state/use-page.ts';
import { placeBalloons } from './balloon-places.ts';
import { Callout } from './callout.tsx';
import { DIMENSION_AWAY, Dimensions } from './dimension-lines.tsx';
import { PartNumbers } from './part-numbers.tsx';
import { PieceView, partWords } from './piece-view.tsx';
import {
  barLength,
  boxToPx,
  type Closeness,
  fitSheet,
  type SheetScale,
  type Size,
  toPx,
  WHOLE,
} from './sheet-scale.ts';
import { useSize } from './use-size.ts';

const CLOSER = 1.5;
const MOST = 40;
const BALLOON_R = 12;

export interface DrawingFieldProps {
  readonly drawing: PieceDrawing;
  readonly onScale: (stated: string) => void;
  /** Tells where notes' places lie, in shares of the field, for the zones of the frame. */
  readonly onPlaces: (places: ReadonlyMap<number, { x: number; y: number }>) => void;
}

/** The field of the sheet on which the piece is drawn, with its sizes, balloons and the numbers of what is selected. */
export function DrawingField({ drawing, onScale, onPlaces }: DrawingFieldProps): ReactElement {
  const view = usePage((state) => state.view);
  const face = usePage((state) => state.face);
  const pointed = usePage((state) => state.pointed);
  const selected = usePage((state) => state.selected);
  const artwork = usePage(artworkOf);
  const artworkWidthMm = usePage((state) => state.artwork?.widthMm ?? null);
  const [ref, size] = useSize<HTMLDivElement>();
  const [closeness, setCloseness] = useState<Closeness>(WHOLE);
  const prefix = useId();
  const idOf = (mark: Mark): string => `${prefix}${mark.kind}-${mark.id}`;
  const narrow = (size?.width ?? 1000) < 520;
  const box = view === 'apart' ? drawing.apartBox : drawing.box;
  const scale = useMemo(() => {
    if (!size) return null;
    const side = view === 'apart' ? 40 : narrow ? 52 : 88;
    return fitSheet(
      box,
      size,
      {
        left: side,
        right: view === 'apart' ? 40 : narrow ? 44 : 88,
        top: view === 'apart' ? 40 : narrow ? 48 : 64,
        bottom: view === 'apart' ? 48 : 72,
      },
      closeness,
    );
  }, [size, box, view, narrow, closeness]);
  const stated = scale?.stated;
  useEffect(() => {
    if (stated) onScale(stated);
  }, [stated, onScale]);
  // Another piece or another view starts whole again.
  const shown = `${drawing.name} ${view}`;
  const lastShown = useRef(shown);
  if (lastShown.current !== shown) {
    lastShown.current = shown;
    if (closeness !== WHOLE) setCloseness(WHOLE);
  }

  const come = (factor: number, about?: { x: number; y: number }): void => {
    if (!size) return;
    setCloseness((old) => {
      const next = Math.min(MOST, Math.max(1, old.factor * factor));
      if (next === 1) return WHOLE;
      const by = next / old.factor;
      const cx = (about?.x ?? size.width / 2) - size.width / 2;
      const cy = (about?.y ?? size.height / 2) - size.height / 2;
      return { factor: next, dx: cx + (old.dx - cx) * by, dy: cy + (old.dy - cy) * by };
    });
  };
  const move = (dx: number, dy: number): void => {
    setCloseness((old) => (old.factor === 1 ? old : { ...old, dx: old.dx + dx, dy: old.dy + dy }));
  };

  // Pinching and Ctrl with the wheel come closer; the plain wheel keeps scrolling the page.
  useEffect(() => {
    const element = ref.current;
    if (!element) return;
    const onWheel = (event: WheelEvent): void => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      const rect = element.getBoundingClientRect();
      comeRef.current(event.deltaY < 0 ? 1.15 : 1 / 1.15, {
        x: event.clientX - rect.left,
        y: event.clientY - rect.top,
      });
    };
    element.addEventListener('wheel', onWheel, { passive: false });
    return () => element.removeEventListener('wheel', onWheel);
  }, [ref]);
  const comeRef = useRef(come);
  comeRef.current = come;

  const marks: readonly Mark[] =
    view === 'seams'
      ? drawing.seams.map(({ id }) => ({ kind: 'seam', id }))
      : drawing.parts.map(({ id }) => ({ kind: 'part', id }));
  const current =
    marks.find((mark) => sameMark(mark, pointed)) ?? marks.find((mark) => sameMark(mark, selected)) ?? null;
  const onKeyDown = (event: KeyboardEvent): void => {
    const index = marks.findIndex((mark) => sameMark(mark, current));
    const go = (to: number): void => point(marks[(to + marks.length) % marks.length] ?? null);
    if (event.key === 'ArrowRight' || event.key === 'ArrowDown') go(index + 1);
    else if (event.key === 'ArrowLeft' || event.key === 'ArrowUp')
      go(index < 0 ? marks.length - 1 : index - 1);
    else if (event.key === 'Home') go(0);
    else if (event.key === 'End') go(marks.length - 1);
    else if (event.key === 'Enter' || event.key === ' ')
      select(current && !sameMark(current, selected) ? current : null);
    else if (event.key === 'Escape') {
      point(null);
      select(null);
    } else if (event.key === '+') come(CLOSER);
    else if (event.key === '-') come(1 / CLOSER);
    else if (event.key === '0') setCloseness(WHOLE);
    else return;
    event.preventDefault();
  };

  const dragged = useRef<{ x: number; y: number } | null>(null);
  const onPointerDown = (event: PointerEvent): void => {
    if (closeness.factor > 1 && event.button === 0) dragged.current = { x: event.clientX, y: event.clientY };
  };
  const onPointerMove = (event: PointerEvent): void => {
    const from = dragged.current;
    if (!from) return;
    move(event.clientX - from.x, event.clientY - from.y);
    dragged.current = { x: event.clientX, y: event.clientY };
  };
  const drop = (): void => {
    dragged.current = null;
  };

  const widthMm = drawing.box.maxX - drawing.box.minX;
  const heightMm = drawing.box.maxY - drawing.box.minY;
  const pxBox = scale ? boxToPx(scale, box) : null;
  const called = pointed && pointed.kind !== 'note' ? pointed : selected;

  return (
    <div className="field">
      <div
        className={`field-paper${closeness.factor > 1 ? ' is-close' : ''}`}
        ref={ref}
        onPointerDown={onPointerDown}
        onPointerMove={onPointerMove}
        onPointerUp={drop}
        onPointerLeave={drop}
      >
        {size && scale && pxBox && (
          <svg
            width={size.width}
            height={size.height}
            viewBox={`0 0 ${size.width} ${size.height}`}
            role="group"
            aria-label={`${drawing.name}, drawn at ${scale.stated}`}
          >
            <g
              className={`piece view-${view}`}
              role="listbox"
              tabIndex={0}
              aria-label={view === 'seams' ? `Seams of ${drawing.name}` : `Parts of ${drawing.name}`}
              aria-activedescendant={current ? idOf(current) : undefined}
              onKeyDown={onKeyDown}
              onBlur={() => point(null)}
              transform={`translate(${scale.originX} ${scale.originY}) scale(${scale.k})`}
            >
              <PieceView
                drawing={drawing}
                view={view}
                face={face}
                pointed={pointed}
                selected={selected}
                onPoint={point}
                onSelect={select}
                idOf={idOf}
              />
            </g>
            {view !== 'tones' && <PartNumbers drawing={drawing} scale={scale} apart={view === 'apart'} />}
            {view !== 'apart' && closeness.factor === 1 && (
              <Dimensions box={pxBox} widthMm={widthMm} heightMm={heightMm} typedWidth={artwork !== null} />
            )}
            {view !== 'apart' && <Balloons drawing={drawing} scale={scale} size={size} onPlaces={onPlaces} />}
            <ScaleBar scale={scale} size={size} />
            {called && (
              <Callout
                drawing={drawing}
                mark={called}
                apart={view === 'apart'}
                scale={scale}
                box={pxBox}
                size={size}
              />
            )}
          </svg>
        )}
        {artwork && artworkWidthMm !== null && pxBox && view !== 'apart' && closeness.factor === 1 && (
          <div
            className="typed-size"
            style={{ left: (pxBox.minX + pxBox.maxX) / 2, top: pxBox.maxY + DIMENSION_AWAY }}
          >
            <LengthField
              label="Width of the piece"
              quiet
              valueMm={widthMm}
              minMm={1}
              maxMm={2000}
              stepMm={0.5}
              digits={2}
              onChange={(mm) => changeArtwork({ widthMm: (artworkWidthMm * mm) / widthMm })}
            />
          </div>
        )}
      </div>
      <div className="closeness" role="group" aria-label="Closeness of view">
        <button type="button" onClick={() => come(CLOSER)} disabled={closeness.factor >= MOST}>
          Closer
        </button>
        <button type="button" onClick={() => come(1 / CLOSER)} disabled={closeness.factor === 1}>
          Farther
        </button>
        <button type="button" onClick={() => setCloseness(WHOLE)} disabled={closeness.factor === 1}>
          Whole
        </button>
      </div>
      <p className="unseen" aria-live="polite">
        {current?.kind === 'part' && partWordsOf(drawing, current.id)}
      </p>
    </div>
  );
}

function partWordsOf(drawing: PieceDrawing, id: string): string {
  const part = drawing.parts.find((one) => one.id === id);
  return part ? partWords(part) : '';
}

/** Numbered balloons with leader lines to the places of the notes. */
function Balloons({
  drawing,
  scale,
  size,
  onPlaces,
}: {
  readonly drawing: PieceDrawing;
  readonly scale: SheetScale;
  readonly size: Size;
  readonly onPlaces: DrawingFieldProps['onPlaces'];
}): ReactElement {
  const pointed = usePage((state) => state.pointed);
  const selected = usePage((state) => state.selected);
  const placed = useMemo(() => {
    const wanted = drawing.notes.flatMap((note) => {
      const first = note.places[0];
      return first ? [{ number: note.number, at: toPx(scale, first) }] : [];
    });
    return placeBalloons(wanted, boxToPx(scale, drawing.box), 36, 2 * BALLOON_R + 6);
  }, [drawing, scale]);
  useEffect(() => {
    onPlaces(
      new Map(placed.map(({ number, at }) => [number, { x: at.x / size.width, y: at.y / size.height }])),
    );
  }, [placed, size, onPlaces]);
  return (
    <g className="balloons" aria-hidden="true">
      {placed.map(({ number, at, centre }) => {
        const mark: Mark = { kind: 'note', id: String(number) };
        const lit = sameMark(pointed, mark) || sameMark(selected, mark);
        const far = Math.hypot(at.x - centre.x, at.y - centre.y) || 1;
        const others = drawing.notes[number - 1]?.places.slice(1) ?? [];
        return (
          // biome-ignore lint/a11y/noStaticElementInteractions: a second way; the note's own button is the one for everybody
          <g
            key={number}
            className={`balloon${lit ? ' is-lit' : ''}`}
            onPointerEnter={() => point(mark)}
            onPointerLeave={() => point(null)}
            onClick={() => select(sameMark(selected, mark) ? null : mark)}
          >
            {others.map((place) => {
              const p = toPx(scale, place);
              return (
                <circle
                  key={`${place.x} ${place.y}`}
                  className="leader-dot other"
                  cx={p.x}
                  cy={p.y}
                  r={2.5}
                />
              );
            })}
            <path
              className="leader"
              d={`M${at.x} ${at.y}L${centre.x + ((at.x - centre.x) / far) * BALLOON_R} ${centre.y + ((at.y - centre.y) / far) * BALLOON_R}`}
            />
            <circle className="leader-dot" cx={at.x} cy={at.y} r={3} />
            <circle className="balloon-round" cx={centre.x} cy={centre.y} r={BALLOON_R} />
            <text x={centre.x} y={centre.y + 4.5} textAnchor="middle">
              {number}
            </text>
          </g>
        );
      })}
    </g>
  );
}

/** A bar of round length: true at any closeness and on any screen. */
function ScaleBar({ scale, size }: { readonly scale: SheetScale; readonly size: Size }): ReactElement {
  const mm = barLength(scale, 120);
  const px = mm * scale.k;
  const x = 12;
  const y = size.height - 12;
  return (
    <g className="scale-bar" aria-hidden="true">
      <path className="line-narrow" d={`M${x} ${y - 5}v10M${x} ${y}h${px}M${x + px} ${y - 5}v10`} />
      <text x={x + px + 8} y={y + 4}>
        {`${mm} mm`}
      </text>
    </g>
  );
}
