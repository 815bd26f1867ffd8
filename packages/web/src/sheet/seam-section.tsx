import type { ReactElement } from 'react';
import { signedMm } from '../drawing/gap-class.ts';
import type { DrawnSeam, PieceDrawing } from '../drawing/model.ts';
import type { FitNumbers } from '../worker/messages.ts';
import { partNumber, seamName } from './piece-view.tsx';

const WIDTH = 288;
const HEIGHT = 164;
const TOP = 26;
const BOTTOM = 136;
const MIDDLE = WIDTH / 2 - 22;
/** The larger of gap and lean fills this many px. */
const FILL_PX = 44;

/** Shares of depth at which the walls are drawn: show face, half-way, back. */
const DEPTHS = [0, 0.5, 1] as const;

/**
 * A section across one seam: both walls from the show face to the back, with the mean gap at each depth as the
 * dry fit computed it, drawn many times wider than true. How far each wall leans follows from its taper; a turned
 * part leans the other way on its own and so along with its neighbour. Where the parts overlap both hatchings
 * cross: that is what presses.
 */
export function SeamSection(props: {
  readonly drawing: PieceDrawing;
  readonly seam: DrawnSeam;
  /** The fit of a tone. */
  readonly fit: (tone: string) => FitNumbers;
}): ReactElement {
  const { drawing, seam, fit } = props;
  const partA = drawing.parts.find(({ id }) => id === seam.a);
  const partB = drawing.parts.find(({ id }) => id === seam.b);
  const turnedA = partA?.turned ?? false;
  const turnedB = partB?.turned ?? false;
  const gaps = [seam.gaps.show.mean, seam.gaps.middle.mean, seam.gaps.back.mean] as const;
  // A wall stands back from its mid-depth place by half of what the kerf there exceeds the mid-depth kerf.
  const { kerfEntryMm, kerfExitMm } = fit(partA?.tone ?? '');
  const back = (depth: number): number =>
    ((kerfEntryMm - kerfExitMm) / 2) * (turnedA ? depth - 0.5 : 0.5 - depth);
  const wallA = DEPTHS.map((depth) => -back(depth));
  const wallB = DEPTHS.map((_, i) => wallA[i]! + gaps[i]!);
  const reach = Math.max(...wallA.map(Math.abs), ...wallB.map(Math.abs), 0.01);
  const k = stepBelow(FILL_PX / reach);
  const y = (depth: number): number => TOP + depth * (BOTTOM - TOP);
  const line = (wall: readonly number[]): string =>
    wall.map((x, i) => `${(MIDDLE + k * x).toFixed(1)} ${y(DEPTHS[i]!)}`).join('L');
  const barMm = Number((FILL_PX / k / 1.1).toPrecision(1));
  const words =
    `Section across seam ${seamName(seam)}: gap ${signedMm(gaps[0])} mm at the show face, ` +
    `${signedMm(gaps[1])} half-way, ${signedMm(gaps[2])} at the back.`;
  return (
    <figure className="section">
      <figcaption>{`Section across seam ${seamName(seam)}`}</figcaption>
      <svg viewBox={`0 0 ${WIDTH} ${HEIGHT}`} role="img" aria-label={words}>
        <defs>
          <pattern
            id="hatch-a"
            width="7"
            height="7"
            patternUnits="userSpaceOnUse"
            patternTransform="rotate(45)"
          >
            <path className="hatch" d="M0 0V7" />
          </pattern>
          <pattern
            id="hatch-b"
            width="7"
            height="7"
            patternUnits="userSpaceOnUse"
            patternTransform="rotate(-45)"
          >
            <path className="hatch" d="M0 0V7" />
          </pattern>
        </defs>
        <path className="section-overlap" d={overlapPath(wallA, wallB, k, y)} />
        <path className="section-body" fill="url(#hatch-a)" d={`M8 ${TOP}L${line(wallA)}L8 ${BOTTOM}`} />
        <path
          className="section-body"
          fill="url(#hatch-b)"
          d={`M${WIDTH - 70} ${TOP}L${line(wallB)}L${WIDTH - 70} ${BOTTOM}`}
        />
        <text className="section-face" x={8} y={TOP - 10}>
          show face
        </text>
        <text className="section-face" x={8} y={BOTTOM + 18}>
          back
        </text>
        <PartName x={40} number={partNumber(seam.a)} turned={turnedA} />
        <PartName x={WIDTH - 108} number={partNumber(seam.b)} turned={turnedB} />
        {DEPTHS.map((depth, i) => (
          <g key={depth}>
            <path
              className="line-narrow"
              d={`M${(MIDDLE + k * Math.max(wallA[i]!, wallB[i]!)).toFixed(1)} ${y(depth)}H${WIDTH - 62}`}
              opacity={0.55}
            />
            <text className="section-gap" x={WIDTH - 4} y={y(depth) + 5} textAnchor="end">
              {signedMm(gaps[i]!)}
            </text>
          </g>
        ))}
        <path className="line-narrow" d={`M${WIDTH - 136} ${HEIGHT - 12}v8m0 -4h${k * barMm}m0 -4v8`} />
        <text className="section-face" x={WIDTH - 130 + k * barMm} y={HEIGHT - 4}>
          {`${barMm} mm across`}
        </text>
      </svg>
    </figure>
  );
}

function PartName({
  x,
  number,
  turned,
}: {
  readonly x: number;
  readonly number: string;
  readonly turned: boolean;
}): ReactElement {
  return (
    <g>
      <rect
        className="section-label"
        x={x - 18}
        y={(TOP + BOTTOM) / 2 - 18}
        width={turned ? 58 : 36}
        height={turned ? 38 : 26}
      />
      <text className="section-part" x={x + (turned ? 11 : 0)} y={(TOP + BOTTOM) / 2 + 2} textAnchor="middle">
        {number}
      </text>
      {turned && (
        <text className="section-face" x={x + 11} y={(TOP + BOTTOM) / 2 + 16} textAnchor="middle">
          turned
        </text>
      )}
    </g>
  );
}

/** Rounds a scale down to 1, 2 or 5 times a power of ten, so that the drawing does not breathe at every change. */
function stepBelow(k: number): number {
  const power = 10 ** Math.floor(Math.log10(k));
  return (k >= 5 * power ? 5 : k >= 2 * power ? 2 : 1) * power;
}

/** The areas where wall B lies left of wall A: between depths the walls are straight, so a crossing is exact. */
function overlapPath(
  wallA: readonly number[],
  wallB: readonly number[],
  k: number,
  y: (depth: number) => number,
): string {
  let path = '';
  for (let i = 0; i + 1 < DEPTHS.length; i++) {
    const g0 = wallB[i]! - wallA[i]!;
    const g1 = wallB[i + 1]! - wallA[i + 1]!;
    if (g0 >= 0 && g1 >= 0) continue;
    const cross = g0 < 0 === g1 < 0 ? null : g0 / (g0 - g1);
    const from = g0 < 0 ? 0 : cross!;
    const to = g1 < 0 ? 1 : cross!;
    const at = (wall: readonly number[], t: number): string => {
      const x = wall[i]! + t * (wall[i + 1]! - wall[i]!);
      return `${MIDDLE + k * x} ${y(DEPTHS[i]! + t * (DEPTHS[i + 1]! - DEPTHS[i]!))}`;
    };
    path += `M${at(wallA, from)}L${at(wallA, to)}L${at(wallB, to)}L${at(wallB, from)}Z`;
  }
  return path;
}
