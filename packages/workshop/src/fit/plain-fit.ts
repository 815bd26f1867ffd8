import { checkFit } from './check-fit.ts';
import type { FitByTone } from './fit-record.ts';

/**
 * The fit of a machine of which only one number each is known: the same kerf in both axes and at both faces, for every
 * tone, without scatter.
 * @param kerfMm width the beam removes, 0 to 5
 * @param allowanceMm overlap per side, -1 to 1; positive presses, negative is loose
 * @throws WorkshopError bad-kerf, bad-allowance
 */
export function plainFit(kerfMm: number, allowanceMm: number): FitByTone {
  const kerf = { xMm: kerfMm, yMm: kerfMm };
  const fit = { default: { kerfEntry: kerf, kerfExit: kerf, allowanceMm }, byTone: {} };
  checkFit(fit);
  return fit;
}
