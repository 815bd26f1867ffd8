import { type ReactElement, useId } from 'react';

const SIDE = 110;
const RINGS_AT = [0, 14, 28, 42, 56, 70, 84, 98, 112];
/** Shrinkage is drawn this many times larger than true: a few percent would hardly show. */
const TIMES = 3;

/** The end of a board, green and oven-dry: more across the rings' run than through them, nothing along the grain. */
export function MovementPicture(props: {
  readonly radialPct: number;
  readonly tangentialPct: number;
}): ReactElement {
  const { radialPct, tangentialPct } = props;
  const clip = useId();
  const dryWidth = SIDE * (1 - (TIMES * tangentialPct) / 100);
  const dryHeight = SIDE * (1 - (TIMES * radialPct) / 100);
  const [x0, y0] = [52, 14];
  return (
    <figure className="movement">
      <svg
        viewBox="0 0 220 170"
        width="220"
        height="170"
        role="img"
        aria-label={`From green to oven-dry this wood shrinks ${tangentialPct} % along the growth rings and ${radialPct} % across them.`}
      >
        <clipPath id={clip}>
          <rect x={x0} y={y0} width={SIDE} height={SIDE} />
        </clipPath>
        <g clipPath={`url(#${clip})`}>
          {RINGS_AT.map((at) => (
            <path
              key={at}
              className="ring"
              d={`M${x0 - 10} ${y0 + 22 + at}Q${x0 + SIDE / 2} ${y0 - 6 + at} ${x0 + SIDE + 10} ${y0 + 22 + at}`}
            />
          ))}
        </g>
        <rect className="line-rim" x={x0} y={y0} width={SIDE} height={SIDE} />
        <rect
          className="line-hidden"
          x={x0 + (SIDE - dryWidth) / 2}
          y={y0 + SIDE - dryHeight}
          width={dryWidth}
          height={dryHeight}
        />
        <path
          className="line-narrow"
          d={`M${x0} ${y0 + SIDE + 4}v16M${x0 + SIDE} ${y0 + SIDE + 4}v16M${x0} ${y0 + SIDE + 14}h${SIDE}`}
        />
        <path
          className="arrowheads"
          d={`M${x0} ${y0 + SIDE + 14}l9 -2.2v4.4zM${x0 + SIDE} ${y0 + SIDE + 14}l-9 -2.2v4.4z`}
        />
        <text className="scale-text" x={x0 + SIDE / 2} y={y0 + SIDE + 32} textAnchor="middle">
          {`along the rings −${tangentialPct} %`}
        </text>
        <path
          className="line-narrow"
          d={`M${x0 - 4} ${y0}h-14M${x0 - 4} ${y0 + SIDE}h-14M${x0 - 12} ${y0}v${SIDE}`}
        />
        <path
          className="arrowheads"
          d={`M${x0 - 12} ${y0}l-2.2 9h4.4zM${x0 - 12} ${y0 + SIDE}l-2.2 -9h4.4z`}
        />
        <text
          className="scale-text"
          transform={`translate(${x0 - 20} ${y0 + SIDE / 2}) rotate(-90)`}
          textAnchor="middle"
        >
          {`across −${radialPct} %`}
        </text>
      </svg>
      <figcaption className="hint">{`Green (full line) and oven-dry (dashed), shrinkage drawn ${TIMES} times.`}</figcaption>
    </figure>
  );
}

const PLY_WIDTH = 150;
const PLY_HEIGHT = 96;

/** A composite from face to face: plies whose grain runs along the face are drawn with lines, across it with dots. */
export function PliesPicture(props: {
  readonly layers: readonly { readonly name: string; readonly share: number; readonly crossGrain: boolean }[];
}): ReactElement {
  const id = useId();
  let y = 10;
  const plies = props.layers.map((layer) => {
    const height = layer.share * PLY_HEIGHT;
    const ply = { ...layer, y, height };
    y += height;
    return ply;
  });
  return (
    <figure className="plies">
      <svg
        viewBox={`0 0 320 ${PLY_HEIGHT + 20}`}
        width="320"
        height={PLY_HEIGHT + 20}
        role="img"
        aria-label={`From face to face: ${plies.map(({ name, crossGrain }) => `${name}${crossGrain ? ', cross grain' : ''}`).join('; ')}`}
      >
        <defs>
          <pattern id={`${id}-along`} width="24" height="5" patternUnits="userSpaceOnUse">
            <path className="grade-hatch" d="M0 2.5h18" />
          </pattern>
          <pattern id={`${id}-across`} width="6" height="6" patternUnits="userSpaceOnUse">
            <circle className="end-grain" cx="3" cy="3" r="0.9" />
          </pattern>
        </defs>
        {plies.map(({ name, crossGrain, share, y: top, height }) => (
          <g key={top}>
            <rect
              className="ply"
              x={6}
              y={top}
              width={PLY_WIDTH}
              height={height}
              fill={`url(#${id}-${crossGrain ? 'across' : 'along'})`}
            />
            {height > 12 && (
              <text className="scale-text" x={PLY_WIDTH + 16} y={top + height / 2 + 4}>
                {`${name.split(',')[0]}, ${Math.round(share * 100)} %${crossGrain ? ', across' : ''}`}
              </text>
            )}
          </g>
        ))}
      </svg>
      <figcaption className="hint">
        Section from face to face: lines along the face’s grain, dots across it.
      </figcaption>
    </figure>
  );
}
