import type { TrialBody } from '@inlaywright/formats';
import type { ReactElement } from 'react';
import { signedMm } from '../../drawing/gap-class.ts';
import { addressOf } from '../../state/place.ts';
import { isFilled, type Station, sizeName, stationsOf } from './results/stations.ts';

/** What was typed in so far, each line leading to where it is typed. */
export function TrialEntries({ id, body }: { readonly id: string; readonly body: TrialBody }): ReactElement {
  const stations = stationsOf(body).filter(({ kind }) => kind !== 'board');
  return (
    <section aria-labelledby="entries-title">
      <h2 id="entries-title">Typed in</h2>
      <ul className="entries">
        {stations.map((station) => (
          <li key={station.key} className={isFilled(station) ? '' : 'is-empty'}>
            <a href={addressOf('fit-book', ['trials', id, 'results'], { at: station.key })}>
              <span>{nameOf(station)}</span>
              <span className="figures">{heldBy(station)}</span>
            </a>
          </li>
        ))}
      </ul>
      {body.notes !== '' && <p className="hint">{body.notes}</p>}
    </section>
  );
}

function nameOf(station: Station): string {
  if (station.kind === 'step') return `${station.step}  (${signedMm(station.allowanceMm)})`;
  if (station.kind === 'size') {
    const { reading, part } = station;
    return `${sizeName(reading, part)} ${part === 'slats' ? '' : `${reading.axis} `}${reading.face === 'entry' ? 'enters' : 'leaves'}`;
  }
  return '';
}

function heldBy(station: Station): string {
  if (station.kind === 'step') return station.grade ?? '–';
  if (station.kind === 'size' && station.values.length > 0) {
    const mean = station.values.reduce((sum, mm) => sum + mm, 0) / station.values.length;
    return `${mean.toFixed(2)}${station.values.length > 1 ? ` ×${station.values.length}` : ''}`;
  }
  return '–';
}
