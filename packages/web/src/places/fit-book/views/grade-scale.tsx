import type { FitRecordBody } from '@inlaywright/formats';
import { GRADES, type Grade } from '@inlaywright/workshop';
import { type ReactElement, useId } from 'react';
import { signedMm } from '../../../drawing/gap-class.ts';
import { useSize } from '../../../sheet/use-size.ts';
import { digitsOf, roundMarks, scaleBetween } from './axis.ts';
import { GradePatterns } from './grade-patterns.tsx';

export type Windows = NonNullable<FitRecordBody['intervals']>['windows'];

/** A step that was tried, at the allowance that it would have in a design made with the record. */
export interface TriedStep {
  readonly step: number;
  readonly allowanceMm: number;
  readonly grade: Grade;
}

export interface GradeScaleProps {
  readonly windows: Windows;
  /** The grade that seams are aimed at, and the allowance chosen for it. */
  readonly grade: Grade;
  readonly allowanceMm: number;
  readonly steps: readonly TriedStep[];
}

const BAR = 18;
const TOP = 32;
const FOOT = 62;
const BALLOON = 9;
/** Below this width the grades' names stand beside their bars, on the side with more room. */
const NARROW_PX = 620;

/**
 * The grades as a staircase over the allowance: a bar from where a grade begins to where the next one does, between
 * two bars the 90 % interval of their boundary, and on the bars the steps that were tried, by their numbers.
 */
export function GradeScale(props: GradeScaleProps): ReactElement {
  const { windows, grade, allowanceMm, steps } = props;
  const id = useId();
  const [ref, size] = useSize<HTMLDivElement>();
  const width = Math.max(280, size?.width ?? 640);
  const narrow = width < NARROW_PX;
  const pitch = narrow ? 46 : 44;
  const left = narrow ? 10 : 132;
  const right = width - 16;
  const height = TOP + pitch * GRADES.length + FOOT - (pitch - BAR) / 2;

  const boundaries = windows.slice(0, 4).map((window) => window.to!);
  const values = [
    allowanceMm,
    ...boundaries.flatMap(({ low, high }) => [low, high]),
    ...steps.map((step) => step.allowanceMm),
  ];
  const pad = Math.max(0.012, 0.07 * (Math.max(...values) - Math.min(...values)));
  const from = Math.min(...values) - pad;
  const to = Math.max(...values) + pad;
  const x = scaleBetween(from, to, left, right);
  // Tight stands at the top: allowance and force rise together.
  const rowY = (index: number): number => TOP + pitch * (GRADES.length - 1 - index) + pitch / 2;
  const marks = roundMarks(from, to, narrow ? 5 : 9);
  const digits = Math.max(2, digitsOf(marks));
  const axisY = rowY(0) + pitch / 2 + 2;

  return (
    <div ref={ref} className="grade-scale">
      <svg width={width} height={height} role="img" aria-label={inWords(props)}>
        <GradePatterns id={id} />
        {marks.map((mm) => (
          <g key={mm}>
            <line className="scale-grid" x1={x(mm)} x2={x(mm)} y1={TOP - 8} y2={axisY + 6} />
            <text className="scale-text" x={x(mm)} y={axisY + 22} textAnchor="middle">
              {signedMm(mm, digits)}
            </text>
          </g>
        ))}
        <line className="line-narrow" x1={left} x2={right} y1={axisY} y2={axisY} />
        <text className="scale-text" x={right} y={axisY + 40} textAnchor="end">
          allowance, mm a side
        </text>
        <g className="chosen">
          <line className="line-axis" x1={x(allowanceMm)} x2={x(allowanceMm)} y1={TOP - 10} y2={axisY + 6} />
          <text
            x={Math.min(Math.max(x(allowanceMm), left + 60), right - 60)}
            y={TOP - 16}
            textAnchor="middle"
          >
            {`allowance ${signedMm(allowanceMm)}`}
          </text>
        </g>
        {GRADES.map((name, index) => {
          const start = index === 0 ? left : x(boundaries[index - 1]!.median);
          const end = index === 4 ? right : x(boundaries[index]!.median);
          const y = rowY(index);
          const aimed = name === grade;
          return (
            <g key={name} className={aimed ? 'grade-row is-aimed' : 'grade-row'}>
              <rect
                className="grade-bar"
                x={start}
                y={y - BAR / 2}
                width={Math.max(1, end - start)}
                height={BAR}
                fill={`url(#${id}-${index})`}
              />
              <OpenEnd at={index === 0 ? left : index === 4 ? right : null} y={y} />
              <text
                className="grade-name"
                x={!narrow ? left - 12 : start - left > right - end ? start - 8 : end + 8}
                y={y + 5}
                textAnchor={!narrow || start - left > right - end ? 'end' : 'start'}
              >
                {name}
              </text>
            </g>
          );
        })}
        {boundaries.map((boundary, index) => (
          <Boundary
            key={GRADES[index]}
            x={x}
            y={(rowY(index) + rowY(index + 1)) / 2}
            reach={pitch / 2}
            boundary={boundary}
            right={right}
            plain={narrow}
          />
        ))}
        {placed(steps, x, rowY).map(({ step, cx, cy }) => (
          <g key={step} className="tried">
            <circle cx={cx} cy={cy} r={BALLOON} />
            <text x={cx} y={cy + 4.5} textAnchor="middle">
              {step}
            </text>
          </g>
        ))}
      </svg>
    </div>
  );
}

/** A bar without an end is cut off by a break line (ISO 128-3). */
function OpenEnd({ at, y }: { readonly at: number | null; readonly y: number }): ReactElement | null {
  if (at === null) return null;
  const half = BAR / 2 + 3;
  return (
    <path className="break-line" d={`M${at} ${y - half}l-2 ${half * 0.7}l4 ${half * 0.6}l-2 ${half * 0.7}`} />
  );
}

/** The interval of a boundary between two grades: a bar with ends, its middle joined to both rows. */
function Boundary(props: {
  readonly x: (mm: number) => number;
  readonly y: number;
  readonly reach: number;
  readonly boundary: { readonly median: number; readonly low: number; readonly high: number };
  readonly right: number;
  readonly plain: boolean;
}): ReactElement {
  const { x, y, reach, boundary, right } = props;
  const [low, middle, high] = [x(boundary.low), x(boundary.median), x(boundary.high)];
  const text = `${signedMm(boundary.median)} (${signedMm(boundary.low)} to ${signedMm(boundary.high)})`;
  const room = text.length * 6.6;
  const after = high + 8 + room < right;
  return (
    <g className="boundary">
      <line className="line-narrow" x1={middle} x2={middle} y1={y - reach} y2={y + reach} />
      <path className="interval" d={`M${low} ${y - 5}v10M${high} ${y - 5}v10M${low} ${y}H${high}`} />
      {!props.plain && (
        <text
          className="scale-text"
          x={after ? high + 8 : low - 8}
          y={y + 4}
          textAnchor={after ? 'start' : 'end'}
        >
          {text}
        </text>
      )}
    </g>
  );
}

/** Balloons on their rows; one that would hide another moves up or down by half of its size. */
function placed(
  steps: readonly TriedStep[],
  x: (mm: number) => number,
  rowY: (index: number) => number,
): { step: number; cx: number; cy: number }[] {
  const ordered = [...steps].sort((a, b) => a.allowanceMm - b.allowanceMm);
  const lastOfRow = new Map<Grade, { cx: number; level: number }>();
  return ordered.map((step) => {
    const cx = x(step.allowanceMm);
    const before = lastOfRow.get(step.grade);
    const level = before && cx - before.cx < 2 * BALLOON ? (before.level + 1) % 3 : 0;
    lastOfRow.set(step.grade, { cx, level });
    return { step: step.step, cx, cy: rowY(GRADES.indexOf(step.grade)) + [0, -BALLOON, BALLOON][level]! };
  });
}

function inWords({ windows, grade, allowanceMm, steps }: GradeScaleProps): string {
  const limits = windows
    .map(({ grade: name, from, to }) =>
      [name, from && `from ${signedMm(from.median)}`, to && `to ${signedMm(to.median)}`]
        .filter(Boolean)
        .join(' '),
    )
    .join(', ');
  const tried = steps.map(
    (step) => `step ${step.step} at ${signedMm(step.allowanceMm)} was graded ${step.grade}`,
  );
  return (
    `Windows of the grades over the allowance in mm a side: ${limits}. ` +
    `Allowance for “${grade}”: ${signedMm(allowanceMm)}.${tried.length > 0 ? ` Tried: ${tried.join(', ')}.` : ''}`
  );
}
