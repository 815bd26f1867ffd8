import type { Point } from '@inlaywright/geometry';
import type { Finding } from '../finding.ts';

/** Distribution of the signed gap along a seam at one depth, mm; positive is air, negative interference. */
export interface GapFigures {
  readonly mean: number;
  readonly p95: number;
  /** The widest gap (most air). */
  readonly worst: number;
  readonly worstAt: Point;
  /** The deepest interference, as a negative gap, or the smallest gap where nothing presses. */
  readonly tightest: number;
  readonly tightestAt: Point;
}

export interface GapSample {
  readonly at: Point;
  readonly showMm: number;
  readonly middleMm: number;
  readonly backMm: number;
}

export interface SeamFit {
  readonly id: string;
  readonly a: string;
  readonly b: string;
  readonly hand: 'single' | 'left' | 'right';
  readonly lengthMm: number;
  readonly gapShowMm: GapFigures;
  readonly gapMiddleMm: GapFigures;
  readonly gapBackMm: GapFigures;
  /** Share of the length (0..1) whose gap is negative at some depth. */
  readonly pressShare: number;
  /** Probability that a stretch of the seam lands in the chosen grade; absent without scatter. */
  readonly gradeProbability?: number;
  readonly samples: readonly GapSample[];
}

export interface DryFit {
  readonly seams: readonly SeamFit[];
  readonly findings: readonly Finding[];
}
