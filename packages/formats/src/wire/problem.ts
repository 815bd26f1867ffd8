import { z } from 'zod';
import { kindSchema } from './document.ts';

/** Why a request was refused, as a problem document (RFC 9457, `application/problem+json`). */
export const problemSchema = z.looseObject({
  /** `urn:inlaywright:problem:CODE`; docs/errors.md lists the codes. */
  type: z.string(),
  title: z.string(),
  status: z.int(),
  /** What is so, with the value that was refused. */
  detail: z.string(),
  /** What the maker can do about it. */
  hint: z.string(),
  /** Path of the request that was refused. */
  instance: z.string().optional(),
  /** Place in the refused input, where there is one. */
  where: z.string().optional(),
  /** Every place of the input that is wrong, where there are several. */
  issues: z.array(z.strictObject({ where: z.string(), message: z.string() })).optional(),
  /** Seconds to wait, where waiting helps. */
  retryAfterS: z.number().optional(),
});
export type Problem = z.infer<typeof problemSchema>;

/**
 * The answer to a save that did not start from the newest version (status 412). Nothing was stored, and nothing
 * is lost: `mine` is what was sent, `theirs` what the workspace has. Save `mine` with `If-Match: "theirs.version"` to put it
 * on top (theirs stays in the history), or post it to `copies` to keep both side by side.
 */
export const conflictSchema = problemSchema.extend({
  kind: kindSchema,
  id: z.string(),
  /** The version that the refused change started from. */
  base: z.int().min(0),
  /** Body of the refused save; a piece file's text for pieces. */
  mine: z.unknown(),
  theirs: z.strictObject({
    version: z.int().min(1),
    savedAt: z.iso.datetime(),
    deletedAt: z.iso.datetime().nullable(),
    content: z.unknown(),
  }),
});
export type Conflict = z.infer<typeof conflictSchema>;

export const CONFLICT_TYPE = 'urn:inlaywright:problem:stale-version';

/** The code at the end of a problem's type, or the type itself. */
export function problemCode(problem: Problem): string {
  return problem.type.replace(/^urn:inlaywright:problem:/, '');
}
