import {
  COMMON_CALIPER,
  type Coupon,
  type CutTime,
  cutTime,
  drawCoupon,
  FIRST_LADDER,
  laserVerdicts,
  type Motion,
  TYPICAL_MOTION,
} from '@inlaywright/workshop';
import { fileStem, type NamedText } from '../cut-file/cut-files.ts';
import { writeCutDxf } from '../cut-file/write-dxf.ts';
import { writeCutSvg } from '../cut-file/write-svg.ts';
import { FormatError } from '../errors.ts';
import { type TrialFile, writeTrial } from './trial-file.ts';

export interface CouponSheetOptions {
  readonly stock: string;
  readonly machine?: string;
  readonly setting?: string;
  readonly thicknessMm: number;
  readonly drawnKerfMm: number;
  /** Allowances of the ladder, mm a side; FIRST_LADDER where absent. */
  readonly allowancesMm?: readonly number[] | undefined;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly gauge: boolean;
  readonly slats: boolean;
  /** What is known of the machine's motion; typical values stand in for the rest. */
  readonly motion?: Partial<Motion> | undefined;
  readonly passes?: number;
}

export interface CouponSheet {
  readonly coupon: Coupon;
  /** An estimate from the motion, s. */
  readonly time: CutTime;
  /** Steps as cut, no results yet. */
  readonly trial: TrialFile;
  /** SVG, DXF and the trial file, named after the stock. */
  readonly files: readonly NamedText[];
}

/**
 * Draws a coupon and writes what goes to the machine and what takes the results.
 * @throws FormatError coupon-space, where the coupon does not fit the space, with both sizes; laser-refused, where the
 *   stock's name is of a material that must not go under a laser, with the reason
 */
export function couponSheet(options: CouponSheetOptions): CouponSheet {
  refuseUnsafe(options.stock);
  const coupon = draw(options);
  const time = cutTime(
    coupon.sheet.parts.flatMap((part) => [...part.marks, ...part.contours.map((contour) => contour.curve)]),
    { ...TYPICAL_MOTION, ...options.motion },
    options.passes ?? 1,
  );
  const trial: TrialFile = {
    format: 'inlaywright-fit-trial',
    version: 1,
    machine: options.machine ?? '',
    stock: options.stock,
    setting: options.setting ?? '',
    thicknessMm: options.thicknessMm,
    drawnKerfMm: coupon.drawnKerfMm,
    turned: true,
    steps: coupon.steps.map(({ step, allowanceMm }) => ({ step, allowanceMm })),
    readings: [],
    caliper: { ...COMMON_CALIPER },
  };
  const stem = `coupon-${fileStem(options.stock)}`;
  const files = [
    { name: `${stem}.svg`, text: writeCutSvg(coupon.sheet) },
    { name: `${stem}.dxf`, text: writeCutDxf(coupon.sheet) },
    { name: `${stem}.trial.json`, text: writeTrial(trial) },
  ];
  return { coupon, time, trial, files };
}

function refuseUnsafe(stock: string): void {
  const refused = laserVerdicts(stock).find(({ verdict }) => verdict === 'refused');
  if (!refused) return;
  throw new FormatError(
    'laser-refused',
    `No coupon is drawn for ${stock}: ${refused.material}: ${refused.reason}.`,
    {
      where: 'stock',
      hint: "Never cut it with a laser. If it is something else, name it so; the machine's manual, the material's data sheet and local rules come first.",
    },
  );
}

function draw(options: CouponSheetOptions): Coupon {
  const { stock, thicknessMm, drawnKerfMm, widthMm, heightMm, gauge, slats } = options;
  const allowancesMm = [...(options.allowancesMm ?? FIRST_LADDER)].sort((a, b) => a - b);
  try {
    return drawCoupon({
      stock,
      thicknessMm,
      drawnKerfMm,
      allowancesMm,
      widthMm,
      heightMm,
      gauge,
      slats,
    });
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new FormatError('coupon-space', error.message, {
      where: 'coupon',
      hint: 'Give more space, fewer steps, or leave the slats out.',
    });
  }
}
