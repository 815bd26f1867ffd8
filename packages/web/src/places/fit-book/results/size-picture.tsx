import type { ReactElement } from 'react';
import type { Reading, SizePart } from '../../../workspace/trial-entries.ts';

const SLATS_AT = [16, 24, 32, 40, 48, 56, 64, 72];

/** Where the jaws go: the gauge's hole, its plug, or the slats pushed together, along one axis. */
export function SizePicture(props: { readonly reading: Reading; readonly part: SizePart }): ReactElement {
  const { reading, part } = props;
  const what =
    part === 'hole' ? 'inside the square hole' : part === 'plug' ? 'over the square' : 'over the slats';
  return (
    <svg
      className="size-picture"
      viewBox="0 0 96 96"
      role="img"
      aria-label={`Jaws ${what}, along ${reading.axis}`}
    >
      <g transform={reading.axis === 'y' ? 'rotate(-90 48 48)' : undefined}>
        {part === 'slats' ? (
          SLATS_AT.map((x) => <rect key={x} className="picture-part" x={x} y={28} width={8} height={40} />)
        ) : part === 'hole' ? (
          <path
            className="picture-part"
            fillRule="evenodd"
            d="M6 10h84v76H6zM30 24a6 6 0 0 0 -6 6v36a6 6 0 0 0 6 6h36a6 6 0 0 0 6 -6v-36a6 6 0 0 0 -6 -6z"
          />
        ) : (
          <rect className="picture-part" x={20} y={20} width={56} height={56} rx={6} />
        )}
        <Jaws part={part} />
      </g>
    </svg>
  );
}

function Jaws({ part }: { readonly part: SizePart }): ReactElement {
  const [left, right, outward] =
    part === 'hole' ? [24, 72, 1] : part === 'slats' ? [16, 80, -1] : [20, 76, -1];
  return (
    <>
      <path
        className="picture-jaw"
        d={`M${left} 40v16l${outward * 9} 0v-16zM${right} 40v16l${-outward * 9} 0v-16z`}
      />
      <path className="line-narrow" d={`M${left} 48H${right}`} />
      <path className="arrowheads" d={`M${left} 48l9 -2.4v4.8zM${right} 48l-9 -2.4v4.8z`} />
    </>
  );
}
