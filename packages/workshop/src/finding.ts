import type { Point } from '@inlaywright/geometry';

/**
 * Something the maker should know about a piece. Findings are data, never exceptions: a computation
 * returns all of them. `decision` means the result stands only if the maker agrees with it; `error` means that the
 * piece cannot be computed before it is mended (only `checkPiece` gives these).
 */
export interface Finding {
  readonly code: string;
  readonly severity: 'note' | 'warning' | 'decision' | 'error';
  /** What is so, where, with the figure. */
  readonly message: string;
  /** What to do about it. */
  readonly hint: string;
  readonly at?: Point;
  readonly areas?: readonly string[];
  readonly parts?: readonly string[];
  readonly figureMm?: number;
}
