import { z } from 'zod';

/** Answer of `GET /api/health`. */
export const healthSchema = z.strictObject({
  status: z.literal('ok'),
  program: z.literal('inlaywright'),
  version: z.string(),
});
export type Health = z.infer<typeof healthSchema>;
