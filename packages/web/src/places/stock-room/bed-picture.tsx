import type { ReactElement } from 'react';
import { Dimensions } from '../../sheet/dimension-lines.tsx';

const LONGEST_PX = 300;

/** The bed from above, with its axes and sizes. */
export function BedPicture({
  widthMm,
  heightMm,
}: {
  readonly widthMm: number;
  readonly heightMm: number;
}): ReactElement {
  const k = LONGEST_PX / Math.max(widthMm, heightMm);
  const [width, height] = [widthMm * k, heightMm * k];
  const box = { minX: 60, minY: 12, maxX: 60 + width, maxY: 12 + height };
  return (
    <svg
      className="bed-picture"
      viewBox={`0 0 ${width + 80} ${height + 68}`}
      role="img"
      aria-label={`Bed of ${widthMm} by ${heightMm} mm, x to the right, y away from you`}
    >
      <rect className="line-rim" x={box.minX} y={box.minY} width={width} height={height} />
      <path
        className="line-narrow"
        d={`M${box.minX + 16} ${box.maxY - 56}V${box.maxY - 16}H${box.minX + 56}`}
      />
      <path
        className="arrowheads"
        d={`M${box.minX + 16} ${box.maxY - 60}l-2.4 9h4.8zM${box.minX + 60} ${box.maxY - 16}l-9 -2.4v4.8z`}
      />
      <text className="section-part" x={box.minX + 68} y={box.maxY - 10}>
        x
      </text>
      <text className="section-part" x={box.minX + 11} y={box.maxY - 68}>
        y
      </text>
      <Dimensions box={box} widthMm={widthMm} heightMm={heightMm} typedWidth={false} />
    </svg>
  );
}
