import { WorkshopError } from '../errors.ts';
import type { FitByTone, FitRecord, KerfXY } from './fit-record.ts';

/** Widest kerf taken as one, mm. Above it someone typed another unit. */
export const MAX_KERF_MM = 5;
/** Largest allowance taken as one, mm a side, either way. */
export const MAX_ALLOWANCE_MM = 1;

/**
 * Refuses fit records with numbers no machine has.
 * @throws WorkshopError bad-kerf, bad-allowance
 */
export function checkFit(fit: FitByTone): void {
  checkRecord(fit.default, 'the default fit');
  for (const [tone, record] of Object.entries(fit.byTone)) checkRecord(record, `the fit of tone "${tone}"`);
}

function checkRecord(record: FitRecord, owner: string): void {
  checkKerf(record.kerfEntry, 'kerf at the entry face', owner);
  checkKerf(record.kerfExit, 'kerf at the exit face', owner);
  const { allowanceMm } = record;
  if (Math.abs(allowanceMm) <= MAX_ALLOWANCE_MM) return;
  throw new WorkshopError(
    'bad-allowance',
    `The allowance of ${owner} is ${allowanceMm} mm; it must be a number from -${MAX_ALLOWANCE_MM} to ${MAX_ALLOWANCE_MM}.`,
    {
      hint: 'Give the overlap per side in millimetres, such as 0.03 for a press fit; negative is loose.',
      details: { allowanceMm, owner },
    },
  );
}

function checkKerf(kerf: KerfXY, name: string, owner: string): void {
  for (const [axis, value] of [
    ['x', kerf.xMm],
    ['y', kerf.yMm],
  ] as const) {
    if (value >= 0 && value <= MAX_KERF_MM) continue;
    throw new WorkshopError(
      'bad-kerf',
      `The ${name} of ${owner} is ${value} mm in ${axis}; it must be a number from 0 to ${MAX_KERF_MM}.`,
      {
        hint: 'Give the width the beam removes in millimetres, such as 0.16. Measure it with a kerf gauge.',
        details: { value, axis, face: name, owner },
      },
    );
  }
}
