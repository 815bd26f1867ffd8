import type { Curve, Point, Region } from '@inlaywright/geometry';
import type { Finding } from '../finding.ts';

/** Where a part yields because the beam leaves its neighbour's pocket corner filled. */
export interface EasedCorner {
  readonly part: string;
  readonly neighbour: string;
  readonly at: Point;
  /** Greatest depth taken off the part, mm. */
  readonly depthMm: number;
}

export interface CutContour {
  readonly role: 'inside' | 'outside';
  /** Beam centre line, lines and arcs, in the frame of the piece (show face up, not turned). */
  readonly curve: Curve;
}

/** The beam path of one part. */
export interface PartCut {
  readonly part: string;
  readonly tone: string;
  /** Cut mirrored and turned over at assembly. */
  readonly turned: boolean;
  readonly contours: readonly CutContour[];
  /** The solid that step 2 aims at (P'), before the beam's half width is added. */
  readonly aim: Region;
}

export interface Compensation {
  readonly cuts: readonly PartCut[];
  readonly eased: readonly EasedCorner[];
  readonly findings: readonly Finding[];
}

export interface CompensationOptions {
  /** Who takes the allowance at a seam. */
  readonly share: 'inserted' | 'both';
  /** `auto`: neighbours alternate, the ground is not turned. `none`: nothing is turned. Or the ids of the tones that are. */
  readonly turn: 'auto' | 'none' | readonly string[];
}
