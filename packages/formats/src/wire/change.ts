import { z } from 'zod';
import { kindSchema } from './document.ts';

/**
 * One saved change, as `GET /api/changes` streams it (server-sent events): the event is `change`, its id
 * `EPOCH.NUMBER`, its data this object as JSON. An event `reset` says that the stream cannot be resumed from where the
 * reader was: load everything anew.
 */
export const changeSchema = z.strictObject({
  kind: kindSchema,
  id: z.string(),
  /** The version that is now the newest. */
  version: z.int().min(1),
  action: z.enum(['saved', 'deleted', 'restored']),
  at: z.iso.datetime(),
});
export type Change = z.infer<typeof changeSchema>;
