import type { ReactElement } from 'react';
import { useId } from 'react';
import { signedMm } from '../../../drawing/gap-class.ts';
import { scaleBetween } from './axis.ts';
import type { Windows } from './grade-scale.tsx';

const WIDTH = 260;
const HEIGHT = 40;
/** All strips share one scale, so that records are compared by eye. */
const FROM = -0.1;
const TO = 0.15;

/** The window of a record's grade on a scale that all records share: bar, intervals of its ends, chosen allowance. */
export function WindowStrip(props: {
  readonly window: Windows[number] | null;
  readonly allowanceMm: number;
}): ReactElement {
  const { window, allowanceMm } = props;
  const id = useId();
  const to = scaleBetween(FROM, TO, 4, WIDTH - 4);
  const x = (mm: number): number => Math.min(WIDTH - 2, Math.max(2, to(mm)));
  const ends = [window?.from, window?.to].filter((end) => end !== undefined);
  const words = window
    ? `“${window.grade}” from ${signedMm(window.from?.median ?? FROM)} to ${signedMm(window.to?.median ?? TO)} mm a side`
    : 'window not measured';
  return (
    <svg className="window-strip" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={words}>
      <defs>
        <pattern id={id} width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <path className="grade-hatch" d="M3 0v6" />
        </pattern>
      </defs>
      <path className="line-narrow" d={`M4 26H${WIDTH - 4}`} />
      {[-0.1, -0.05, 0, 0.05, 0.1, 0.15].map((mm) => (
        <g key={mm}>
          <line className="line-narrow" x1={x(mm)} x2={x(mm)} y1={26} y2={mm === 0 ? 31 : 29} />
          {(mm === 0 || Math.abs(mm) === 0.1) && (
            <text className="strip-text" x={x(mm)} y={39} textAnchor={mm === -0.1 ? 'start' : 'middle'}>
              {mm === 0 ? '0' : signedMm(mm, 1)}
            </text>
          )}
        </g>
      ))}
      {window?.from && window.to && (
        <rect
          className="grade-bar"
          x={x(window.from.median)}
          y={12}
          width={Math.max(2, x(window.to.median) - x(window.from.median))}
          height={14}
          fill={`url(#${id})`}
        />
      )}
      {ends.map((end) => (
        <path
          key={end.median}
          className="interval"
          d={`M${x(end.low)} 15v8M${x(end.high)} 15v8M${x(end.low)} 19H${x(end.high)}`}
        />
      ))}
      <path className="strip-chosen" d={`M${x(allowanceMm)} 26l-5 -12v-8h10v8z`} />
    </svg>
  );
}
