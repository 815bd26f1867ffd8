import { z } from 'zod';

/** Why a request was refused, as a problem document (RFC 9457, `application/problem+json`). */
export const problemSchema = z.looseObject({
  /** A stable address-like name of the kind of problem; `about:blank` where the status says it all. */
  type: z.string(),
  title: z.string(),
  status: z.int(),
  /** What is so, with the value that was refused. */
  detail: z.string(),
  /** What the maker can do about it. */
  hint: z.string(),
  /** Place in the refused input, where there is one. */
  where: z.string().optional(),
});
export type Problem = z.infer<typeof problemSchema>;
