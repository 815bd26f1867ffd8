import { type CouponSheet, couponSheet, FormatError } from '@inlaywright/formats';
import { TYPICAL_MOTION } from '@inlaywright/workshop';
import type { Command } from 'commander';
import { EXIT, InputError } from '../fail.ts';
import { lengthOption } from '../options.ts';
import { writeFiles } from '../write-files.ts';

interface CouponCommandOptions {
  readonly out: string;
  readonly stock: string;
  readonly thickness: string;
  readonly kerf: string;
  readonly steps?: string;
  readonly space: string;
  readonly speed?: string;
  readonly gauge: boolean;
  readonly slats: boolean;
  readonly json?: boolean;
}

export function addCoupon(program: Command, done: (code: number) => void): void {
  program
    .command('coupon')
    .description('draw a coupon that measures kerf and fit, and the trial file for its results')
    .requiredOption('--out <dir>', 'folder for the files; made if it is not there')
    .requiredOption('--stock <name>', 'the stock that is measured')
    .requiredOption('--thickness <length>', 'its measured thickness')
    .option('--kerf <length>', 'the kerf that the paths are drawn for: the best guess there is', '0.16')
    .option('--steps <lengths>', 'allowances of the ladder, with semicolons; eight of 0.02 mm otherwise')
    .option('--space <width x height>', 'what may be used of the bed or the sheet, mm', '200x150')
    .option('--speed <mm per second>', 'cutting speed, for the time shown')
    .option('--no-gauge', 'leave the two-face gauge out')
    .option('--no-slats', 'leave the slats out')
    .option('--json', 'print one JSON object')
    .action((options: CouponCommandOptions) => done(couponCommand(options)));
}

function couponCommand(options: CouponCommandOptions): number {
  const [widthMm, heightMm] = spaceOption(options.space);
  const speed = options.speed === undefined ? TYPICAL_MOTION.cutMmPerS : Number(options.speed);
  if (!(speed > 0))
    throw new InputError(
      `${options.speed} is not a speed.`,
      '--speed',
      'Give mm per second, for example 12.',
    );
  const made = draw({
    stock: options.stock,
    thicknessMm: within('--thickness', lengthOption('--thickness', options.thickness), 0.01, 50),
    drawnKerfMm: within('--kerf', lengthOption('--kerf', options.kerf), 0, 5),
    ...(options.steps === undefined ? {} : { allowancesMm: stepsOption(options.steps) }),
    widthMm,
    heightMm,
    gauge: options.gauge,
    slats: options.slats,
    motion: { cutMmPerS: speed },
  });
  const files = writeFiles(options.out, made.files);
  const result = {
    stock: options.stock,
    widthMm: round(made.coupon.sheet.widthMm),
    heightMm: round(made.coupon.sheet.heightMm),
    steps: made.coupon.steps,
    cutSeconds: round(made.time.totalS),
    files,
  };
  console.log(options.json ? JSON.stringify(result, null, 2) : words(result, speed));
  return EXIT.made;
}

function draw(options: Parameters<typeof couponSheet>[0]): CouponSheet {
  try {
    return couponSheet(options);
  } catch (error) {
    if (error instanceof FormatError && error.code === 'coupon-space')
      throw new InputError(error.message, 'coupon', 'Change --space, --steps or --no-slats.');
    throw error;
  }
}

function stepsOption(text: string): number[] {
  const steps = text.split(';').map((part) => within('--steps', lengthOption('--steps', part), -1, 1));
  if (steps.length > 60)
    throw new InputError(`${steps.length} steps are too many.`, '--steps', 'Give up to 60.');
  return steps;
}

/** The limits of a trial file: a coupon whose results could not be read is not drawn. */
function within(option: string, valueMm: number, least: number, most: number): number {
  if (valueMm >= least && valueMm <= most) return valueMm;
  throw new InputError(`${valueMm} mm is out of range.`, option, `Give ${least} to ${most} mm.`);
}

function spaceOption(text: string): [number, number] {
  const sides = text.toLowerCase().split('x');
  if (sides.length !== 2)
    throw new InputError(`${text} is not a size.`, '--space', 'For example --space 200x150.');
  return [lengthOption('--space', sides[0]!), lengthOption('--space', sides[1]!)];
}

function words(
  result: {
    widthMm: number;
    heightMm: number;
    steps: CouponSheet['coupon']['steps'];
    cutSeconds: number;
    files: string[];
  },
  speed: number,
): string {
  const minutes = Math.floor(result.cutSeconds / 60);
  const seconds = Math.round(result.cutSeconds - 60 * minutes);
  return [
    `Coupon of ${result.widthMm} x ${result.heightMm} mm, about ${minutes} min ${seconds} s at ${speed} mm/s, one pass (an estimate).`,
    ...result.steps.map(
      (step) => `  step ${step.step}: ${step.allowanceMm.toFixed(3)} mm a side, ${step.shape}`,
    ),
    'Turn each plug over before you try it, press square and by hand; write grades and readings into the trial file.',
    "Laser light, smoke and fire harm: follow the machine's manual and local rules, and never leave a cut alone.",
    'Written:',
    ...result.files.map((file) => `  ${file}`),
  ].join('\n');
}

function round(value: number): number {
  return Math.round(value * 100) / 100;
}
