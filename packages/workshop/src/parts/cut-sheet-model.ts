import type { Curve, Point } from '@inlaywright/geometry';
import type { FitRecord } from '../fit/fit-record.ts';
import type { Seam } from '../mosaic/model.ts';

/** How a part of the piece came onto the sheet: mirror (x to -x) if asked, then turn, then move. */
export interface Placement {
  readonly mirrored: boolean;
  readonly angleDeg: number;
  readonly dxMm: number;
  readonly dyMm: number;
}

/** An open single-line stroke that is marked, not cut. */
export interface MarkStroke {
  readonly points: readonly Point[];
}

export interface PlacedPart {
  /** Part id within the piece, `p3`. */
  readonly part: string;
  /** Left or right partner of a pair, or the only one. The right partner is the mirror image of the drawing. */
  readonly hand: 'single' | 'left' | 'right';
  /** What is marked on it: number, hand and a turn sign. */
  readonly label: string;
  readonly tone: string;
  readonly turned: boolean;
  readonly placement: Placement;
  /** Beam paths in the frame of the sheet, mm, y up. */
  readonly contours: readonly { readonly role: 'inside' | 'outside'; readonly curve: Curve }[];
  readonly marks: readonly MarkStroke[];
}

/** Everything that is cut from one stock, and what a reader needs to assemble it again on screen. */
export interface CutSheet {
  readonly piece: string;
  readonly stock: string;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly parts: readonly PlacedPart[];
  readonly fit: Readonly<Record<string, FitRecord>>;
  /** The seams of the piece, in its own frame, so that the dry fit can be repeated from the file alone. */
  readonly seams: readonly Seam[];
}
