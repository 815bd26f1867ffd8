import { type ReactElement, type ReactNode, useEffect, useMemo } from 'react';
import { useSize } from './use-size.ts';
import { type Zones, zoneLetter, zonesFor } from './zones.ts';

/** Length of one zone along the frame, px. */
const ZONE_PX = 150;
/** Below this width the frame carries no zones. */
const NARROW_PX = 760;

/** The frame of the sheet with its zone marks (ISO 5457); on narrow screens a plain sheet. */
export function SheetFrame(props: {
  readonly children: ReactNode;
  readonly onZones: (zones: Zones | null) => void;
}): ReactElement {
  const { onZones } = props;
  const [ref, size] = useSize<HTMLDivElement>();
  const columns = size && size.width >= NARROW_PX ? zonesFor(size.width, size.height, ZONE_PX).columns : 0;
  const rows = size && size.width >= NARROW_PX ? zonesFor(size.width, size.height, ZONE_PX).rows : 0;
  const zones = useMemo(() => (columns > 0 ? { columns, rows } : null), [columns, rows]);
  useEffect(() => onZones(zones), [zones, onZones]);
  const figures = Array.from({ length: columns }, (_, i) => i + 1);
  const letters = Array.from({ length: rows }, (_, i) => zoneLetter(i));
  return (
    <div className={`frame${zones ? '' : ' frame-plain'}`}>
      {zones && (
        <div className="frame-zones" aria-hidden="true">
          {(['top', 'bottom'] as const).map((side) => (
            <ol key={side} className={`zones-${side}`}>
              {figures.map((figure) => (
                <li key={figure}>{figure}</li>
              ))}
            </ol>
          ))}
          {(['left', 'right'] as const).map((side) => (
            <ol key={side} className={`zones-${side}`}>
              {letters.map((letter) => (
                <li key={letter}>{letter}</li>
              ))}
            </ol>
          ))}
        </div>
      )}
      <div className="frame-inner" ref={ref}>
        {props.children}
      </div>
    </div>
  );
}
