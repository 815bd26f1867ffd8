import { daysBetween, type FitRecordBody } from '@inlaywright/formats';

/** Day that a record's age is reckoned from: of its newest trial or outcome, or of its making. */
export function dayOf(record: FitRecordBody): string {
  return record.measuredOn ?? record.createdAt.slice(0, 10);
}

export function ageDays(record: FitRecordBody, today: string): number {
  return Math.max(0, daysBetween(dayOf(record), today));
}

export function ageWords(days: number): string {
  if (days === 0) return 'measured today';
  if (days === 1) return 'measured yesterday';
  return `measured ${days} days ago`;
}

/** A difference of thickness above this is another fit, mm (design, section 6). */
export const THICKNESS_LIMIT_MM = 0.1;
