import type { Document } from '@inlaywright/formats';
import type { UsedRecord } from '../worker/messages.ts';

/** What a piece takes of a fit record. */
export function usedRecord({ id, body }: Document<'records'>, name: string): UsedRecord {
  return {
    id,
    name,
    day: body.measuredOn ?? body.createdAt.slice(0, 10),
    grade: body.grade,
    fit: body.fit,
  };
}
