import { parseLength, readFit } from '@inlaywright/formats';
import { type FitByTone, plainFit } from '@inlaywright/workshop';
import { InputError } from './fail.ts';
import { readText } from './read-input.ts';

/** A length option in mm. */
export function lengthOption(name: string, text: string): number {
  const reading = parseLength(text);
  if (!reading.ok) throw new InputError(reading.message, name, `For example ${name} 0.16 or ${name} 0.16mm.`);
  return reading.mm;
}

/** `KEY=VALUE` options such as `--stock accent=holly-3mm`, several of them. */
export function pairsOption(name: string, texts: readonly string[]): Record<string, string> {
  const pairs: Record<string, string> = {};
  for (const text of texts) {
    const cut = text.indexOf('=');
    if (cut <= 0 || cut === text.length - 1) {
      throw new InputError(
        `${text} is not of the form KEY=VALUE.`,
        name,
        `For example ${name} accent=holly-3mm.`,
      );
    }
    const key = text.slice(0, cut);
    const value = text.slice(cut + 1);
    if (Object.hasOwn(pairs, key) && pairs[key] !== value) {
      throw new InputError(
        `${key} is given twice: as ${pairs[key]} and as ${value}.`,
        name,
        'Leave one of the two out.',
      );
    }
    pairs[key] = value;
  }
  return pairs;
}

export interface FitOptions {
  readonly fit?: string;
  readonly kerf?: string;
  readonly allowance?: string;
}

/** What a beam and a press fit commonly are when nobody measured them; said on every run that uses them. */
export const COMMON_FIT = { kerfMm: 0.16, allowanceMm: 0.03 } as const;

export interface ChosenFit {
  readonly fit: FitByTone;
  /** Where the numbers come from, in words. */
  readonly origin: string;
  readonly measured: boolean;
}

/** The fit records of a run: from a fit file, or from two plain numbers. */
export function chooseFit(options: FitOptions): ChosenFit {
  if (options.fit !== undefined) {
    if (options.kerf !== undefined || options.allowance !== undefined) {
      throw new InputError(
        '--fit already holds kerf and allowance.',
        '--fit',
        'Give either --fit FILE, or --kerf and --allowance.',
      );
    }
    return { fit: readFit(readText(options.fit)), origin: options.fit, measured: true };
  }
  const kerfMm = options.kerf === undefined ? COMMON_FIT.kerfMm : lengthOption('--kerf', options.kerf);
  const allowanceMm =
    options.allowance === undefined ? COMMON_FIT.allowanceMm : lengthOption('--allowance', options.allowance);
  if (!(kerfMm >= 0 && kerfMm <= 5)) {
    throw new InputError(
      `A kerf of ${kerfMm} mm is not possible.`,
      '--kerf',
      'Give 0 to 5 mm; 0.1 to 0.3 mm is usual.',
    );
  }
  if (!(Math.abs(allowanceMm) <= 1)) {
    throw new InputError(
      `An allowance of ${allowanceMm} mm a side is not possible.`,
      '--allowance',
      'Give -1 to 1 mm.',
    );
  }
  const given = options.kerf !== undefined && options.allowance !== undefined;
  return {
    fit: plainFit(kerfMm, allowanceMm),
    origin: `kerf ${kerfMm} mm, allowance ${allowanceMm} mm a side${given ? '' : ' (not measured: cut a coupon first)'}`,
    measured: false,
  };
}
