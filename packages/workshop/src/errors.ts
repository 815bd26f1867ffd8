/** What went wrong, for programs. */
export type WorkshopErrorCode =
  /** A shape whose numbers make no shape. */
  | 'shape-impossible'
  /** A piece that cannot be computed; `details.findings` lists everything wrong with it. */
  | 'piece-invalid'
  /** A broken promise of the partition: a fault of the program, never of the piece. */
  | 'mosaic-internal'
  /** Some other wrong call. */
  | (string & {});

/**
 * The one error type of this package. `message` says what, where and with which numbers, `hint` what to do about it,
 * `details` carries the same facts as data.
 */
export class WorkshopError extends Error {
  override readonly name = 'WorkshopError';
  readonly code: WorkshopErrorCode;
  readonly hint: string;
  readonly details: Readonly<Record<string, unknown>>;

  constructor(
    code: WorkshopErrorCode,
    message: string,
    rest: { readonly hint: string; readonly details?: Readonly<Record<string, unknown>> },
  ) {
    super(message);
    this.code = code;
    this.hint = rest.hint;
    this.details = rest.details ?? {};
  }
}
