import type { CouponAnswer } from '@inlaywright/formats';
import type { ReactElement } from 'react';
import { offerFile } from '../../state/offer-file.ts';
import { couponFile } from './use-coupon.ts';

const KINDS = [
  { ending: '.svg', label: 'SVG', type: 'image/svg+xml' },
  { ending: '.dxf', label: 'DXF', type: 'image/vnd.dxf' },
] as const;

/** Hands the coupon's files to the maker's disk. */
export function CouponFiles({ answer }: { readonly answer: CouponAnswer | null }): ReactElement {
  return (
    <span className="coupon-files">
      {KINDS.map(({ ending, label, type }) => {
        const file = couponFile(answer, ending);
        return (
          <button
            key={ending}
            type="button"
            disabled={!file}
            onClick={() => file && offerFile(file.name, new Blob([file.text], { type }))}
          >
            {label}
          </button>
        );
      })}
    </span>
  );
}

/** A time in minutes and seconds. */
export function timeText(seconds: number): string {
  const whole = Math.round(seconds);
  return whole < 60 ? `${whole} s` : `${Math.floor(whole / 60)} min ${whole % 60} s`;
}
