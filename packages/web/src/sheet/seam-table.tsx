import { type ReactElement, useState } from 'react';
import { gapClass, signedMm } from '../drawing/gap-class.ts';
import type { DrawnSeam, Face } from '../drawing/model.ts';
import { point, select } from '../state/page.ts';
import { type Mark, sameMark } from '../state/page-state.ts';
import { usePage } from '../state/use-page.ts';
import { GapSwatch } from './legend.tsx';
import { seamName } from './piece-view.tsx';

type Order = 'seam' | 'mean' | 'worst' | 'press';

const FACE_WORDS: Readonly<Record<Face, string>> = {
  show: 'at the show face',
  middle: 'half-way down',
  back: 'at the back',
};

/** All seams with their gaps. Pointing at a row shows the seam on the drawing, and the other way round. */
export function SeamTable({ seams }: { readonly seams: readonly DrawnSeam[] }): ReactElement {
  const face = usePage((state) => state.face);
  const pointed = usePage((state) => state.pointed);
  const selected = usePage((state) => state.selected);
  const [order, setOrder] = useState<Order>('seam');
  const rows = sorted(seams, order, face);
  const heading = (key: Order, text: string): ReactElement => (
    <th
      scope="col"
      aria-sort={order !== key ? 'none' : key === 'seam' || key === 'press' ? 'ascending' : 'descending'}
    >
      <button type="button" onClick={() => setOrder(key)}>
        {text}
      </button>
    </th>
  );
  return (
    <section className="seams" aria-labelledby="seams-title">
      <h2 id="seams-title">Seams</h2>
      <p className="hint">
        Gap {FACE_WORDS[face]} in mm. Minus presses, plus is air. From the cut files, read back.
      </p>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard */}
      <div className="scroll" tabIndex={0} role="region" aria-labelledby="seams-title">
        <table>
          <thead>
            <tr>
              {heading('seam', 'Seam')}
              {heading('mean', 'Mean')}
              <th scope="col">95 %</th>
              {heading('worst', 'Widest')}
              {heading('press', 'Presses')}
            </tr>
          </thead>
          <tbody>
            {rows.map((seam) => {
              const mark: Mark = { kind: 'seam', id: seam.id };
              const gap = seam.gaps[face];
              const lit = sameMark(pointed, mark) || touches(pointed, seam);
              return (
                <tr
                  key={seam.id}
                  className={`${lit ? 'is-pointed' : ''}${sameMark(selected, mark) ? ' is-selected' : ''}`}
                  onPointerEnter={() => point(mark)}
                  onPointerLeave={() => point(null)}
                >
                  <th scope="row">
                    <button
                      type="button"
                      aria-pressed={sameMark(selected, mark)}
                      onFocus={() => point(mark)}
                      onBlur={() => point(null)}
                      onClick={() => select(sameMark(selected, mark) ? null : mark)}
                    >
                      <GapSwatch gapClass={gapClass(gap.mean)} />
                      <span className="unseen">Seam </span>
                      {seamName(seam)}
                    </button>
                  </th>
                  <td>{signedMm(gap.mean)}</td>
                  <td>{signedMm(gap.p95)}</td>
                  <td>{signedMm(gap.worst)}</td>
                  <td>{`${Math.round(100 * seam.pressShare)} %`}</td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </div>
    </section>
  );
}

/** A part that is pointed at lights all its seams. */
function touches(mark: Mark | null, seam: DrawnSeam): boolean {
  return mark?.kind === 'part' && (seam.a === mark.id || seam.b === mark.id);
}

function sorted(seams: readonly DrawnSeam[], order: Order, face: Face): readonly DrawnSeam[] {
  const rows = [...seams];
  if (order === 'mean') rows.sort((p, q) => q.gaps[face].mean - p.gaps[face].mean);
  if (order === 'worst') rows.sort((p, q) => q.gaps[face].worst - p.gaps[face].worst);
  if (order === 'press') rows.sort((p, q) => p.pressShare - q.pressShare);
  return rows;
}
