import { z } from 'zod';

/** Answer of `GET /api/session`: who is asking. */
export const sessionStateSchema = z.strictObject({
  /** The page is open on the machine that serves it; no code is needed there. */
  local: z.boolean(),
  /** A code was entered on this device. */
  signedIn: z.boolean(),
  /** The server answers to other devices. */
  shared: z.boolean(),
});
export type SessionState = z.infer<typeof sessionStateSchema>;

/** Body of `POST /api/session`. */
export const signInSchema = z.strictObject({
  code: z.string().max(64),
  /** What to call the device in the list, such as "Tablet at the laser". */
  device: z.string().trim().max(80).default(''),
});

/** Answer of `GET /api/sessions`, for the serving machine only. */
export const sessionListSchema = z.strictObject({
  sessions: z.array(
    z.strictObject({
      id: z.string(),
      device: z.string(),
      createdAt: z.iso.datetime(),
      lastSeenAt: z.iso.datetime(),
      expiresAt: z.iso.datetime(),
    }),
  ),
});
export type SessionList = z.infer<typeof sessionListSchema>;

/** Answer of `GET /api/share`, for the serving machine only. */
export const shareSchema = z.strictObject({
  shared: z.boolean(),
  /** Addresses for other devices, `http://HOST:PORT/`. */
  addresses: z.array(z.string()),
  /** The access code as shown; null where nothing is shared. */
  code: z.string().nullable(),
  /** A QR code of the first address with the code, as SVG text; null where nothing is shared. */
  qrSvg: z.string().nullable(),
});
export type Share = z.infer<typeof shareSchema>;
