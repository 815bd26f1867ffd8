import { type ReactElement, useMemo } from 'react';
import { Dimensions } from '../../sheet/dimension-lines.tsx';
import { barLength, boxToPx, fitSheet, WHOLE } from '../../sheet/sheet-scale.ts';
import { useSize } from '../../sheet/use-size.ts';

const INSETS = { left: 64, right: 28, top: 24, bottom: 78 };

const ORDER = ['cut outside', 'cut inside', 'mark'];

interface CouponLine {
  readonly role: string;
  readonly part: string;
  readonly d: string;
}

interface CouponLines {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly lines: readonly CouponLine[];
}

/** The lines of a cut file, by role. What is drawn is read from the very file that goes to the machine. */
function readCoupon(svgText: string): CouponLines | null {
  const root = new DOMParser().parseFromString(svgText, 'image/svg+xml').documentElement;
  const box = root.getAttribute('viewBox')?.split(/\s+/).map(Number);
  if (root.localName !== 'svg' || box?.length !== 4) return null;
  const lines = [...root.querySelectorAll('g[data-role]')].flatMap((group) =>
    [...group.querySelectorAll('path, circle')].map((element) => ({
      role: group.getAttribute('data-role') ?? '',
      part: element.getAttribute('data-part') ?? '',
      d: element.localName === 'circle' ? circlePath(element) : (element.getAttribute('d') ?? ''),
    })),
  );
  // Marks lie on top, so that a part that is pointed out keeps its number.
  const over = (line: CouponLine): number => ORDER.indexOf(line.role);
  return { widthMm: box[2]!, heightMm: box[3]!, lines: lines.sort((a, b) => over(a) - over(b)) };
}

function circlePath(circle: Element): string {
  const [cx, cy, r] = ['cx', 'cy', 'r'].map((name) => Number(circle.getAttribute(name)));
  return `M${cx! - r!} ${cy}a${r} ${r} 0 1 0 ${2 * r!} 0a${r} ${r} 0 1 0 ${-2 * r!} 0Z`;
}

export interface CouponDrawingProps {
  /** The coupon's SVG file; null while the first is on its way. */
  readonly svgText: string | null;
  /** Part of the coupon to point out, such as `plug-3`, `gauge`, `slats-x`. */
  readonly lit?: string | null;
  readonly words: string;
}

/** A coupon as a workshop drawing: outlines wide, openings narrow, marks as they are cut, overall sizes, a scale bar. */
export function CouponDrawing({ svgText, lit = null, words }: CouponDrawingProps): ReactElement {
  const [ref, size] = useSize<HTMLDivElement>();
  const coupon = useMemo(() => (svgText === null ? null : readCoupon(svgText)), [svgText]);
  const scale =
    coupon && size
      ? fitSheet(
          { minX: 0, minY: 0, maxX: coupon.widthMm, maxY: coupon.heightMm },
          size,
          size.width < 500 ? { ...INSETS, right: 12, left: 52 } : INSETS,
          WHOLE,
        )
      : null;
  const bar = scale ? barLength(scale, 90) : 0;
  return (
    <div className="coupon-field" ref={ref}>
      {coupon && size && scale && (
        <svg width={size.width} height={size.height} role="img" aria-label={words}>
          <g transform={`translate(${scale.originX} ${scale.originY}) scale(${scale.k})`}>
            {coupon.lines.map(({ role, part, d }, index) => (
              <path
                // biome-ignore lint/suspicious/noArrayIndexKey: the lines of one file never change their order
                key={index}
                className={`coupon-${role.replace(' ', '-')}${lit !== null && part === lit ? ' is-lit' : ''}`}
                d={d}
              />
            ))}
          </g>
          <Dimensions
            box={boxToPx(scale, { minX: 0, minY: 0, maxX: coupon.widthMm, maxY: coupon.heightMm })}
            widthMm={coupon.widthMm}
            heightMm={coupon.heightMm}
            typedWidth={false}
          />
          <g className="scale-bar">
            <path className="line-narrow" d={`M12 ${size.height - 18}v8m0 -4h${bar * scale.k}m0 -4v8`} />
            <text x={18 + bar * scale.k} y={size.height - 9}>{`${bar} mm, scale ${scale.stated}`}</text>
          </g>
        </svg>
      )}
    </div>
  );
}
