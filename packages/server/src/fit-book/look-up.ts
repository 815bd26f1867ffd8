import { BODY_SCHEMAS, daysBetween, type RecordLookup } from '@inlaywright/formats';
import { type RecordKey, recordInForce } from '../kinds.ts';
import type { Store } from '../storage/store.ts';

/** How much a board's thickness may differ from the one that was measured with, mm, before the record is doubted. */
export const THICKNESS_LIMIT_MM = 0.1;

/**
 * The record in force for a machine, stock and setting, and what speaks against using it.
 * @param on day to reckon its age from, `YYYY-MM-DD`
 */
export function lookUpRecord(
  store: Store,
  question: RecordKey & { readonly thicknessMm?: number | undefined },
  on: string,
): RecordLookup {
  const record = recordInForce(store, question);
  if (!record) {
    return {
      record: null,
      warnings: [
        {
          code: 'record-missing',
          severity: 'warning',
          message: `The fit book has no record for ${question.machine}, ${question.stock} and ${question.setting}.`,
          hint: 'Cut a coupon of this stock first; until then kerf and allowance are guesses.',
        },
      ],
    };
  }
  return {
    record,
    warnings: [...age(store, record.body, on), ...thickness(record.body, question.thicknessMm)],
  };
}

type Body = NonNullable<RecordLookup['record']>['body'];

function age(store: Store, record: Body, on: string): RecordLookup['warnings'] {
  const { recordLimitDays } = BODY_SCHEMAS.preferences.parse(
    JSON.parse(store.get('preferences', 'workshop')!.content),
  );
  const days = daysBetween(record.measuredOn ?? record.createdAt.slice(0, 10), on);
  if (days <= recordLimitDays) return [];
  return [
    {
      code: 'record-old',
      severity: 'warning',
      message: `What the fit record was measured from is ${days} days old; your limit is ${recordLimitDays} days.`,
      hint: 'Cut a small coupon, or record how the last batch went together, and weigh them anew.',
    },
  ];
}

function thickness(record: Body, measuredMm: number | undefined): RecordLookup['warnings'] {
  if (measuredMm === undefined || record.thicknessMm === undefined) return [];
  const differenceMm = measuredMm - record.thicknessMm;
  // Readings in hundredths of a millimetre: what is exactly at the limit is not above it.
  if (Math.abs(differenceMm) <= THICKNESS_LIMIT_MM + 1e-9) return [];
  return [
    {
      code: 'thickness-differs',
      severity: 'warning',
      message: `The board is ${measuredMm} mm thick; the record was measured at ${record.thicknessMm} mm.`,
      hint: 'Kerf and taper change with thickness: cut a coupon of this board.',
      figureMm: Math.round(differenceMm * 1000) / 1000,
    },
  ];
}
