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

/** The gap at one place of a wall. Samples of one run follow each other along one wall. */
export interface GapSample {
  /** Wall point at mid-depth, in the frame of the drawing (also for the right partner of a pair). */
  readonly at: Point;
  readonly showMm: number;
  readonly middleMm: number;
  readonly backMm: number;
  /** Whose wall it is. */
  readonly wall: 'a' | 'b';
  /** Number of the stretch of wall within the seam. */
  readonly run: number;
  /** Length of wall that the sample stands for, mm; 0 at sharp corners and at extremes found between stations. */
  readonly lengthMm: number;
}

export interface SeamFit {
  readonly id: string;
  readonly a: string;
  readonly b: string;
  readonly hand: 'single' | 'left' | 'right';
  /** As declared by the drawing. */
  readonly lengthMm: number;
  readonly gapShowMm: GapFigures;
  readonly gapMiddleMm: GapFigures;
  readonly gapBackMm: GapFigures;
  /** Share of the length (0..1) that presses at some depth: gap below -0.5 um. */
  readonly pressShare: number;
  /** Probability that a stretch of the seam lands in the chosen grade; absent without grade or scatter. */
  readonly gradeProbability?: number;
  readonly samples: readonly GapSample[];
}

export interface DryFit {
  readonly seams: readonly SeamFit[];
  readonly findings: readonly Finding[];
}
