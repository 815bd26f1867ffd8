import type { ReactElement } from 'react';
import { Choice } from '../controls/choice.tsx';
import { GAP_CLASSES, type GapClass, limitsOf } from '../drawing/gap-class.ts';
import type { Face } from '../drawing/model.ts';
import { setFace } from '../state/page.ts';
import type { View } from '../state/page-state.ts';
import { usePage } from '../state/use-page.ts';

/** What the lines of the view mean. */
export function Legend({ view }: { readonly view: View }): ReactElement {
  return (
    <div className="legend">{view === 'seams' ? <GapLegend /> : <LineLegend apart={view === 'apart'} />}</div>
  );
}

function LineLegend({ apart }: { readonly apart: boolean }): ReactElement {
  const turned = usePage((state) => state.drawing?.parts.some((part) => part.turned) ?? false);
  const grain = usePage((state) => state.drawing?.parts.some((part) => part.grain !== null) ?? false);
  return (
    <ul aria-label="Line types">
      {apart ? (
        <>
          <Key line="line-rim">part, show face up</Key>
          {turned && <Key line="line-turned">turned part: cut from the back, turned over</Key>}
          <Key line="line-axis">way home</Key>
        </>
      ) : (
        <>
          <Key line="line-rim">rim</Key>
          <Key line="line-seam">seam</Key>
          {turned && <Key line="line-hidden">dashed inside: turned part</Key>}
        </>
      )}
      {grain && <Key line="line-grain">grain</Key>}
    </ul>
  );
}

function Key({ line, children }: { readonly line: string; readonly children: string }): ReactElement {
  return (
    <li>
      <svg width="44" height="10" aria-hidden="true">
        <path className={line} d="M1 5H43" />
      </svg>
      {children}
    </li>
  );
}

const FACES: readonly { readonly value: Face; readonly label: string }[] = [
  { value: 'show', label: 'show face' },
  { value: 'middle', label: 'half-way' },
  { value: 'back', label: 'back' },
];

function GapLegend(): ReactElement {
  const face = usePage((state) => state.face);
  return (
    <>
      <Choice label="Gap at the" value={face} options={FACES} onChange={setFace} shape="row" />
      <ul aria-label="Gap in mm: minus presses, plus is air">
        {GAP_CLASSES.map((one) => (
          <li key={one.id}>
            <GapSwatch gapClass={one} />
            <span className="figures">{limitsOf(one)}</span> {one.name}
          </li>
        ))}
      </ul>
    </>
  );
}

/** A short piece of the line that a class of gap is drawn with. */
export function GapSwatch({ gapClass: one }: { readonly gapClass: GapClass }): ReactElement {
  return (
    <svg width="30" height="10" aria-hidden="true" className="gap-swatch">
      <path
        className={`seam-run gap-${one.id}`}
        d="M3 5H28"
        strokeWidth={one.widthPx}
        strokeDasharray={one.dash || undefined}
        strokeLinecap={one.round ? 'round' : 'butt'}
      />
    </svg>
  );
}
