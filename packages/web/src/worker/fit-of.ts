import { type FitRecordFile, fitRecordFromFile } from '@inlaywright/formats';
import type { FitByTone, FitRecord } from '@inlaywright/workshop';
import type { FitNumbers, MakeSettings } from './messages.ts';

/** The fit of every tone: its own record, the record of all tones, or the numbers that were typed. */
export function fitOf({ fit, records }: Pick<MakeSettings, 'fit' | 'records'>): FitByTone {
  const record = (file: FitRecordFile): FitRecord => fitRecordFromFile(file, 'fit record');
  return {
    default: records.all ? record(records.all.fit) : typed(fit),
    byTone: Object.fromEntries(
      Object.entries(records.byTone).map(([tone, used]) => [tone, record(used.fit)]),
    ),
  };
}

/** Numbers without axes: the same kerf in both, no scatter known. */
function typed(numbers: FitNumbers): FitRecord {
  const both = (mm: number): { xMm: number; yMm: number } => ({ xMm: mm, yMm: mm });
  return {
    kerfEntry: both(numbers.kerfEntryMm),
    kerfExit: both(numbers.kerfExitMm),
    allowanceMm: numbers.allowanceMm,
  };
}

/** The numbers behind a tone's fit as they are shown: of a record the mean over both axes. */
export function numbersOf(
  { fit, records }: Pick<MakeSettings, 'fit' | 'records'>,
  tone: string | null,
): FitNumbers {
  const used = (tone === null ? undefined : records.byTone[tone]) ?? records.all;
  if (!used) return fit;
  const mean = (value: FitRecordFile['kerfEntryMm']): number =>
    typeof value === 'number' ? value : (value.x + value.y) / 2;
  return {
    kerfEntryMm: mean(used.fit.kerfEntryMm),
    kerfExitMm: mean(used.fit.kerfExitMm),
    allowanceMm: used.fit.allowanceMm,
  };
}
