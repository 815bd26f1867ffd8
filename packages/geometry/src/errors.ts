/** What can go wrong, for programs. The README says of each what to do about it. */
export const GEOMETRY_ERROR_CODES = [
  'kernel-closed',
  'kernel-failed',
  'bad-coordinate',
  'bad-ring',
  'bad-distance',
  'bad-tolerance',
  'singular-transform',
] as const;

export type GeometryErrorCode = (typeof GEOMETRY_ERROR_CODES)[number];

/**
 * The one error type of this package. `message` says what, where and what to do; `details` carries the same
 * facts as data (ring and vertex numbers, the offending value).
 */
export class GeometryError extends Error {
  override readonly name = 'GeometryError';
  readonly code: GeometryErrorCode;
  readonly details: Readonly<Record<string, unknown>>;

  constructor(code: GeometryErrorCode, message: string, details: Readonly<Record<string, unknown>> = {}) {
    super(message);
    this.code = code;
    this.details = details;
  }
}
