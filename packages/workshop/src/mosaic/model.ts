import type { Region } from '@inlaywright/geometry';
import type { Finding } from '../finding.ts';

/** One connected solid of one tone: what the laser frees. */
export interface Part {
  /** `p1`, `p2`, ... in the order of level, then place (top to bottom, left to right): stable for a piece. */
  readonly id: string;
  readonly tone: string;
  readonly region: Region;
  readonly areaMm2: number;
  /** Index of the lowest area that shows in this part. Of two parts at a seam the higher level is the inserted one. */
  readonly level: number;
  /** Ids of the areas that show in it. */
  readonly areas: readonly string[];
}

/** A stretch of boundary, open or closed (`closed`: last point joins the first), in mm. */
export interface Stretch {
  readonly points: Float64Array;
  readonly closed: boolean;
}

/** The line along which exactly two parts meet. Part `a` lies on the left of each stretch, `b` on the right. */
export interface Seam {
  /** `p1-p2` with the lower part number first. */
  readonly id: string;
  readonly a: string;
  readonly b: string;
  readonly stretches: readonly Stretch[];
  readonly lengthMm: number;
}

/** The part of an outline that meets no other part; the part lies on the left. */
export interface Rim {
  readonly part: string;
  readonly stretches: readonly Stretch[];
  readonly lengthMm: number;
}

/** The planar partition of a piece: parts do not overlap, together they are outline minus piercings. */
export interface Mosaic {
  readonly outline: Region;
  readonly piercings: Region;
  readonly parts: readonly Part[];
  readonly seams: readonly Seam[];
  readonly rims: readonly Rim[];
  readonly findings: readonly Finding[];
}
