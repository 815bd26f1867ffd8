import type { FitRecordBody } from '@inlaywright/formats';
import { type ReactElement, useId } from 'react';

type Kerf = NonNullable<FitRecordBody['intervals']>['kerf'];
type Estimate = Kerf['entryX'];

const WIDTH = 210;
const HEIGHT = 220;
const TOP = 72;
const BOTTOM = 150;
/** The widest kerf of the drawing takes this many px. */
const SLOT_PX = 74;

export interface KerfSectionProps {
  readonly kerf: Kerf;
  /** Typed in, not measured: there are no intervals to show. */
  readonly plain?: boolean;
}

/** Sections across a cut that runs along y, and one along x: how wide the beam leaves it where it enters and where it leaves. */
export function KerfSection({ kerf, plain = false }: KerfSectionProps): ReactElement {
  const widest = Math.max(
    ...[kerf.entryX, kerf.entryY, kerf.exitX, kerf.exitY].map(({ high }) => high),
    0.01,
  );
  const k = SLOT_PX / widest;
  return (
    <div className="kerf-sections">
      <Section axis="x" entry={kerf.entryX} exit={kerf.exitX} k={k} plain={plain} />
      <Section axis="y" entry={kerf.entryY} exit={kerf.exitY} k={k} plain={plain} />
    </div>
  );
}

function Section(props: {
  readonly axis: 'x' | 'y';
  readonly entry: Estimate;
  readonly exit: Estimate;
  readonly k: number;
  readonly plain: boolean;
}): ReactElement {
  const { axis, entry, exit, k, plain } = props;
  const hatch = useId();
  const middle = WIDTH / 2;
  const at = (estimate: Estimate, which: keyof Estimate): number => (k * estimate[which]) / 2;
  const [top, bottom] = [at(entry, 'median'), at(exit, 'median')];
  const words =
    `Section across the cut in ${axis}: ${kerfWords(entry, plain)} mm wide where the beam enters, ` +
    `${kerfWords(exit, plain)} mm where it leaves.`;
  return (
    <svg className="kerf-section" viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={words}>
      <defs>
        <pattern id={hatch} width="7" height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <path className="hatch" d="M0 0V7" />
        </pattern>
      </defs>
      {[-1, 1].map((side) => (
        <path
          key={side}
          className="section-body"
          fill={`url(#${hatch})`}
          d={`M${middle + side * 96} ${TOP}H${middle + side * top}L${middle + side * bottom} ${BOTTOM}H${middle + side * 96}`}
        />
      ))}
      {!plain &&
        [-1, 1].map((side) => (
          <path
            key={side}
            className="kerf-bounds"
            d={
              `M${middle + side * at(entry, 'low')} ${TOP}L${middle + side * at(exit, 'low')} ${BOTTOM}` +
              `M${middle + side * at(entry, 'high')} ${TOP}L${middle + side * at(exit, 'high')} ${BOTTOM}`
            }
          />
        ))}
      <path className="line-axis" d={`M${middle} ${TOP - 12}V${BOTTOM + 12}`} />
      <Width middle={middle} half={top} y={TOP - 20} edge={TOP} estimate={entry} plain={plain} />
      <Width
        middle={middle}
        half={bottom}
        y={BOTTOM + 22}
        edge={BOTTOM}
        estimate={exit}
        plain={plain}
        below
      />
      <text className="scale-text" x={2} y={TOP - 6}>
        enters
      </text>
      <text className="scale-text" x={2} y={BOTTOM + 15}>
        leaves
      </text>
      <text className="section-part" x={WIDTH - 18} y={(TOP + BOTTOM) / 2 + 7} textAnchor="middle">
        {axis}
      </text>
    </svg>
  );
}

/** A width with its extension lines and arrows from outside, the number over it, the interval beside. */
function Width(props: {
  readonly middle: number;
  readonly half: number;
  readonly y: number;
  readonly edge: number;
  readonly estimate: Estimate;
  readonly plain: boolean;
  readonly below?: boolean;
}): ReactElement {
  const { middle, half, y, edge, estimate, plain, below } = props;
  const away = below ? 3 : -3;
  const [left, right] = [middle - half, middle + half];
  return (
    <g>
      <path
        className="line-narrow"
        d={
          `M${left} ${edge + away}V${y + away}M${right} ${edge + away}V${y + away}` +
          `M${left - 22} ${y}H${right + 22}`
        }
      />
      <path className="arrowheads" d={`M${left} ${y}l-9 -2.2v4.4zM${right} ${y}l9 -2.2v4.4z`} />
      <text className="dimension-text" x={middle} y={below ? y + 22 : y - 26} textAnchor="middle">
        {estimate.median.toFixed(3)}
      </text>
      {!plain && (
        <text className="scale-text" x={middle} y={below ? y + 39 : y - 10} textAnchor="middle">
          {`${estimate.low.toFixed(3)} to ${estimate.high.toFixed(3)}`}
        </text>
      )}
    </g>
  );
}

function kerfWords(estimate: Estimate, plain: boolean): string {
  const range = plain ? '' : ` (${estimate.low.toFixed(3)} to ${estimate.high.toFixed(3)})`;
  return `${estimate.median.toFixed(3)}${range}`;
}
