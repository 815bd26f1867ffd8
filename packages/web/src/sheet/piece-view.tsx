import { memo, type ReactElement } from 'react';
import { GAP_CLASSES } from '../drawing/gap-class.ts';
import type { DrawnPart, Face, PieceDrawing } from '../drawing/model.ts';
import { type Mark, sameMark, type View } from '../state/page-state.ts';
import { isDark, WoodPatterns, woodFill } from './wood-patterns.tsx';

export interface PieceViewProps {
  readonly drawing: PieceDrawing;
  readonly view: View;
  readonly face: Face;
  readonly pointed: Mark | null;
  readonly selected: Mark | null;
  readonly onPoint: (mark: Mark | null) => void;
  readonly onSelect: (mark: Mark | null) => void;
  /** Id of the element that a mark is drawn as, for the focus of the keyboard. */
  readonly idOf: (mark: Mark) => string;
}

/** The piece itself, in mm; the caller scales it. Parts, or in the view of seams the seams, can be pointed at. */
export const PieceView = memo(function PieceView(props: PieceViewProps): ReactElement {
  const { drawing, view } = props;
  const darkTones = new Set(drawing.tones.filter(({ colour }) => isDark(colour)).map(({ id }) => id));
  return (
    <>
      <WoodPatterns tones={drawing.tones} />
      {view === 'apart' && drawing.parts.length <= MOST_WAYS && <AssemblyLines parts={drawing.parts} />}
      <g>
        {drawing.parts.map((part) => (
          <PartShape key={part.id} part={part} dark={darkTones.has(part.tone)} {...props} />
        ))}
      </g>
      {view === 'tones' && (
        <g className="unpointed">
          <path className="seam-casing" d={drawing.seamLines} />
          <path className="line-seam" d={drawing.seamLines} />
          {drawing.parts.map((part) => (
            <PartLines key={part.id} part={part} dark={darkTones.has(part.tone)} />
          ))}
          <path className="line-rim" d={drawing.rims} />
        </g>
      )}
      {view === 'seams' && (
        <>
          <path className="line-rim unpointed" d={drawing.rims} />
          <SeamLines {...props} />
        </>
      )}
    </>
  );
});

function PartShape({
  part,
  dark,
  view,
  pointed,
  selected,
  onPoint,
  onSelect,
  idOf,
}: PieceViewProps & { readonly part: DrawnPart; readonly dark: boolean }): ReactElement {
  const mark: Mark = { kind: 'part', id: part.id };
  const state = `${sameMark(selected, mark) ? ' is-selected' : ''}${sameMark(pointed, mark) ? ' is-pointed' : ''}`;
  const pointable = view !== 'seams';
  return (
    <g
      id={pointable ? idOf(mark) : undefined}
      className={`part${pointable ? ' pointable' : ''}${state}`}
      transform={view === 'apart' ? `translate(${part.apart.x} ${part.apart.y})` : undefined}
      {...(pointable
        ? {
            role: 'option',
            'aria-selected': sameMark(selected, mark),
            'aria-label': partWords(part),
            onPointerEnter: () => onPoint(mark),
            onPointerLeave: () => onPoint(null),
            onClick: () => onSelect(sameMark(selected, mark) ? null : mark),
          }
        : {})}
    >
      <path
        className="part-fill"
        d={part.path}
        fillRule="evenodd"
        fill={view === 'seams' ? undefined : woodFill(part.tone)}
      />
      {view === 'apart' && (
        <>
          <path className={part.turned ? 'line-turned' : 'line-rim'} d={part.path} />
          <PartLines part={{ ...part, hidden: null }} dark={dark} />
        </>
      )}
      {pointable && <path className="part-halo" d={part.path} />}
    </g>
  );
}

export function partWords(part: DrawnPart): string {
  return `Part ${part.number}, ${part.tone}, ${part.areaMm2.toFixed(1)} square millimetres${part.turned ? ', turned' : ''}`;
}

/** Above this many parts the ways home would hide the parts. */
const MOST_WAYS = 60;

/** The way a part goes home, as an axis (long-dash-dot). */
function AssemblyLines({ parts }: { readonly parts: readonly DrawnPart[] }): ReactElement {
  const d = parts
    .filter((part) => Math.hypot(part.apart.x, part.apart.y) > 1e-6)
    .map(
      (part) =>
        `M${part.inside.x} ${part.inside.y}L${part.inside.x + part.apart.x} ${part.inside.y + part.apart.y}`,
    )
    .join('');
  return <path className="line-axis unpointed" d={d} />;
}

/** Lines over the wood of one part: the grain, and the hidden edge of a turned part. Light over dark wood. */
function PartLines({ part, dark }: { readonly part: DrawnPart; readonly dark: boolean }): ReactElement {
  const { grain, hidden } = part;
  return (
    <g className={dark ? 'over-dark' : 'over-light'}>
      {hidden !== null && <path className="line-hidden" d={hidden} />}
      {grain && (
        <path className="line-grain" d={`M${grain.from.x} ${grain.from.y}L${grain.to.x} ${grain.to.y}`} />
      )}
    </g>
  );
}

function SeamLines({
  drawing,
  face,
  pointed,
  selected,
  onPoint,
  onSelect,
  idOf,
}: PieceViewProps): ReactElement {
  return (
    <g>
      {drawing.seams.map((seam) => {
        const mark: Mark = { kind: 'seam', id: seam.id };
        const state = `${sameMark(selected, mark) ? ' is-selected' : ''}${sameMark(pointed, mark) ? ' is-pointed' : ''}`;
        return (
          <g
            key={seam.id}
            id={idOf(mark)}
            className={`seam pointable${state}`}
            role="option"
            aria-selected={sameMark(selected, mark)}
            aria-label={seamWords(seam, face)}
            onPointerEnter={() => onPoint(mark)}
            onPointerLeave={() => onPoint(null)}
            onClick={() => onSelect(sameMark(selected, mark) ? null : mark)}
          >
            <path className="seam-halo" d={seam.path} />
            {seam.runs[face].map((run) => {
              const one = GAP_CLASSES.find(({ id }) => id === run.gapClass)!;
              return (
                <path
                  key={run.gapClass}
                  className={`seam-run gap-${one.id}`}
                  d={run.path}
                  strokeWidth={one.widthPx}
                  strokeDasharray={one.dash || undefined}
                  strokeLinecap={one.round ? 'round' : 'butt'}
                />
              );
            })}
            <path className="seam-reach" d={seam.path} />
          </g>
        );
      })}
    </g>
  );
}

export function seamWords(seam: PieceDrawing['seams'][number], face: Face): string {
  const gap = seam.gaps[face];
  const words = (mm: number): string => `${mm < 0 ? 'minus ' : ''}${Math.abs(mm).toFixed(3)}`;
  return `Seam ${partNumber(seam.a)} to ${partNumber(seam.b)}, gap ${words(gap.mean)} mm on average, ${words(gap.worst)} at its widest`;
}

export function partNumber(id: string): string {
  return id.replace(/^p(?=\d+$)/, '');
}

export function seamName(seam: { readonly a: string; readonly b: string }): string {
  return `${partNumber(seam.a)}\u2013${partNumber(seam.b)}`;
}
