import { type ReactElement, useId } from 'react';
import { useSize } from '../../../sheet/use-size.ts';
import { digitsOf, roundMarks, scaleBetween } from './axis.ts';

interface Estimate {
  readonly median: number;
  readonly low: number;
  readonly high: number;
}

/** Mean kerf of both axes at each face, as one record knew it. */
export interface DriftPoint {
  readonly id: string;
  /** Day of the record, `YYYY-MM-DD`. */
  readonly day: string;
  readonly entry: Estimate;
  readonly exit: Estimate;
  readonly allowanceMm: number;
}

export interface DriftChartProps {
  /** Oldest first. */
  readonly points: readonly DriftPoint[];
  /** A record older than this is old. */
  readonly limitDays: number;
  /** Day to reckon from, `YYYY-MM-DD`. */
  readonly today: string;
}

const HEIGHT = 220;
const LEFT = 46;
const TOP = 16;
const BOTTOM = HEIGHT - 34;
const DAY_MS = 86_400_000;
/** Entry and exit of one day stand this far apart, px. */
const APART = 4;

/** Kerf against date, with 90 % intervals: filled rounds where the beam enters, open squares where it leaves. The same as a table below. */
export function DriftChart({ points, limitDays, today }: DriftChartProps): ReactElement {
  const clip = useId();
  const [ref, size] = useSize<HTMLDivElement>();
  const width = Math.max(280, size?.width ?? 420);
  const right = width - 12;
  const days = points.map(({ day }) => Date.parse(day) / DAY_MS);
  const now = Date.parse(today) / DAY_MS;
  const last = days.at(-1) ?? now;
  const old = last + limitDays;
  const firstDay = Math.min(...days, now);
  const lastDay = Math.max(now, last);
  const pad = Math.max(4, 0.06 * (lastDay - firstDay));
  const x = scaleBetween(firstDay - pad, lastDay + pad, LEFT, right);
  const values = points.flatMap(({ entry, exit }) => [entry.low, entry.high, exit.low, exit.high]);
  const margin = 0.1 * (Math.max(...values) - Math.min(...values)) || 0.01;
  const [low, high] = [Math.max(0, Math.min(...values) - margin), Math.max(...values) + margin];
  const y = scaleBetween(low, high, BOTTOM, TOP);
  const marks = roundMarks(low, high, 4);
  const digits = Math.max(2, digitsOf(marks));
  const line = (face: 'entry' | 'exit', offset: number): string =>
    points.map((point, i) => `${x(days[i]!) + offset} ${y(point[face].median)}`).join('L');
  const dates = dateMarks(firstDay, lastDay, width < 420 ? 3 : 5);
  return (
    <div ref={ref} className="drift">
      <svg width={width} height={HEIGHT} role="img" aria-label={inWords(points)}>
        <clipPath id={clip}>
          <rect x={LEFT} y={0} width={right - LEFT} height={HEIGHT} />
        </clipPath>
        {marks.map((mm) => (
          <g key={mm}>
            <line className="scale-grid" x1={LEFT} x2={right} y1={y(mm)} y2={y(mm)} />
            <text className="scale-text" x={LEFT - 6} y={y(mm) + 4} textAnchor="end">
              {mm.toFixed(digits)}
            </text>
          </g>
        ))}
        <path className="line-narrow" d={`M${LEFT} ${TOP - 6}V${BOTTOM}H${right}`} />
        {dates.map((day) => (
          <g key={day}>
            <line className="line-narrow" x1={x(day)} x2={x(day)} y1={BOTTOM} y2={BOTTOM + 5} />
            <text
              className="scale-text"
              x={x(day)}
              y={BOTTOM + 20}
              textAnchor={x(day) + 34 > width ? 'end' : x(day) - 34 < 0 ? 'start' : 'middle'}
            >
              {new Date(day * DAY_MS).toISOString().slice(0, 10)}
            </text>
          </g>
        ))}
        {old <= lastDay + pad && (
          <g clipPath={`url(#${clip})`}>
            <line className="line-axis" x1={x(old)} x2={x(old)} y1={TOP - 6} y2={BOTTOM} />
            <text className="scale-text" x={x(old) - 5} y={TOP + 4} textAnchor="end">
              {`old from here (${limitDays} days)`}
            </text>
          </g>
        )}
        <path className="drift-entry" d={`M${line('entry', -APART)}`} />
        <path className="drift-exit" d={`M${line('exit', APART)}`} />
        {points.map((point, i) => {
          const at = x(days[i]!);
          return (
            <g key={point.id}>
              <Bar x={at - APART} y={y} estimate={point.entry} />
              <Bar x={at + APART} y={y} estimate={point.exit} />
              <circle className="drift-mark" cx={at - APART} cy={y(point.entry.median)} r={4} />
              <rect
                className="drift-mark is-exit"
                x={at + APART - 3.5}
                y={y(point.exit.median) - 3.5}
                width={7}
                height={7}
              />
            </g>
          );
        })}
      </svg>
      <p className="drift-key">
        <svg width="30" height="12" aria-hidden="true">
          <path className="drift-entry" d="M0 6H30" />
          <circle className="drift-mark" cx="15" cy="6" r="4" />
        </svg>
        where the beam enters
        <svg width="30" height="12" aria-hidden="true">
          <path className="drift-exit" d="M0 6H30" />
          <rect className="drift-mark is-exit" x="11.5" y="2.5" width="7" height="7" />
        </svg>
        where it leaves
      </p>
      <details>
        <summary>The same as a table</summary>
        <div className="scroll-x">
          <table className="plain-table">
            <thead>
              <tr>
                <th scope="col">Day</th>
                <th scope="col">Kerf entering, mm</th>
                <th scope="col">Kerf leaving, mm</th>
                <th scope="col">Allowance, mm</th>
              </tr>
            </thead>
            <tbody>
              {points.map((point) => (
                <tr key={point.id}>
                  <th scope="row">{point.day}</th>
                  <td>{figure(point.entry)}</td>
                  <td>{figure(point.exit)}</td>
                  <td>{point.allowanceMm.toFixed(3)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      </details>
    </div>
  );
}

function Bar(props: {
  readonly x: number;
  readonly y: (mm: number) => number;
  readonly estimate: Estimate;
}): ReactElement {
  const { x, y, estimate } = props;
  return (
    <path
      className="interval"
      d={`M${x - 4} ${y(estimate.low)}h8M${x - 4} ${y(estimate.high)}h8M${x} ${y(estimate.low)}V${y(estimate.high)}`}
    />
  );
}

/** Whole days at round distances. */
function dateMarks(first: number, last: number, wanted: number): readonly number[] {
  const span = last - first;
  const step =
    [1, 2, 7, 14, 30, 60, 90, 180, 365, 730].find((days) => span / days <= wanted) ??
    Math.ceil(span / wanted);
  return Array.from({ length: Math.floor(span / step) + 1 }, (_, i) => Math.round(last - i * step));
}

function figure({ median, low, high }: Estimate): string {
  return `${median.toFixed(3)} (${low.toFixed(3)} to ${high.toFixed(3)})`;
}

function inWords(points: readonly DriftPoint[]): string {
  const last = points.at(-1);
  if (!last) return 'Kerf against date: no record yet.';
  const first = points[0]!;
  const change = last.entry.median - first.entry.median;
  const moved =
    points.length < 2
      ? ''
      : ` Since ${first.day} it ${change >= 0 ? 'grew' : 'shrank'} by ${Math.abs(change).toFixed(3)} mm where the beam enters.`;
  return (
    `Kerf against date, ${points.length} ${points.length === 1 ? 'record' : 'records'}, 90 % intervals. ` +
    `Newest, ${last.day}: ${figure(last.entry)} mm where the beam enters, ${figure(last.exit)} mm where it leaves.${moved}`
  );
}
