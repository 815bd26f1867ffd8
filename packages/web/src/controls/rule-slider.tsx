import type { ReactElement } from 'react';
import { signedMm } from '../drawing/gap-class.ts';
import { LengthField } from './length-field.tsx';

export interface RuleSliderProps {
  readonly label: string;
  readonly valueMm: number;
  /** Ends of the rule. */
  readonly fromMm: number;
  readonly toMm: number;
  /** What may be typed, beyond the rule's ends. */
  readonly minMm: number;
  readonly maxMm: number;
  readonly stepMm: number;
  /** Distance of the numbered marks, mm. */
  readonly markMm: number;
  readonly signed?: boolean;
  readonly onChange: (mm: number) => void;
}

/** A length on a graduated rule, with a field for typing it. */
export function RuleSlider(props: RuleSliderProps): ReactElement {
  const { label, valueMm, fromMm, toMm, stepMm, markMm } = props;
  const marks: number[] = [];
  for (let i = 0; fromMm + i * markMm <= toMm + 1e-9; i++)
    marks.push(Number((fromMm + i * markMm).toFixed(6)));
  const share = (mm: number): number => (mm - fromMm) / (toMm - fromMm);
  const words = props.signed ? signedMm(valueMm) : valueMm.toFixed(3);
  return (
    <div className="rule-slider">
      <div className="rule-slider-head">
        <LengthField
          label={label}
          valueMm={valueMm}
          minMm={props.minMm}
          maxMm={props.maxMm}
          stepMm={stepMm}
          digits={3}
          onChange={props.onChange}
        />
      </div>
      <div className="rule">
        <svg className="rule-marks" aria-hidden="true" width="100%" height="26">
          {ticks(fromMm, toMm, markMm / 5).map((mm) => (
            <line
              key={mm}
              x1={`${100 * share(mm)}%`}
              x2={`${100 * share(mm)}%`}
              y1={0}
              y2={onMark(mm, fromMm, markMm) ? 10 : 5}
            />
          ))}
          {marks.map((mm, index) => (
            <text
              key={mm}
              x={`${100 * share(mm)}%`}
              y={24}
              textAnchor={index === 0 ? 'start' : index === marks.length - 1 ? 'end' : 'middle'}
            >
              {props.signed ? signedMm(mm, 2) : mm === 0 ? '0' : mm.toFixed(2)}
            </text>
          ))}
        </svg>
        <input
          type="range"
          aria-label={label}
          aria-valuetext={`${words} mm`}
          min={fromMm}
          max={toMm}
          step={stepMm}
          value={Math.min(toMm, Math.max(fromMm, valueMm))}
          onChange={(event) => props.onChange(Number(event.target.value))}
        />
      </div>
    </div>
  );
}

function ticks(fromMm: number, toMm: number, everyMm: number): number[] {
  const count = Math.round((toMm - fromMm) / everyMm);
  return Array.from({ length: count + 1 }, (_, i) => Number((fromMm + i * everyMm).toFixed(6)));
}

function onMark(mm: number, fromMm: number, markMm: number): boolean {
  const steps = (mm - fromMm) / markMm;
  return Math.abs(steps - Math.round(steps)) < 1e-6;
}
