/** What went wrong, for programs. The catalogue, with what to do about each, is in the README. */
export type GeometryErrorCode =
  | 'kernel-closed'
  | 'kernel-failed'
  | 'bad-coordinate'
  | 'bad-ring'
  | 'bad-distance'
  | 'bad-tolerance'
  | 'bad-curve'
  | 'singular-transform';

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
