import type { Curve, Point } from '@inlaywright/geometry';

/** A colour role of a piece. One design, many woods: a tone is mapped to a stock only when it is made. */
export interface Tone {
  /** Short name used in files and on the command line, `[a-z0-9-]+`; `piercing` is reserved. */
  readonly id: string;
  readonly name: string;
  /** How the tone is drawn on screen, `#rrggbb`. */
  readonly colour: string;
  /** Grain direction from +x, counter-clockwise; absent where the material has no grain. */
  readonly grainDeg?: number;
}

/** The reserved tone of a through opening. */
export const PIERCING = 'piercing';

/** Fields shared by the parametric shapes: a centre and a turn about it. */
interface Placed {
  readonly centre: Point;
  /** Counter-clockwise turn about the centre; 0 when absent. */
  readonly angleDeg?: number;
}

export interface Disc extends Placed {
  readonly kind: 'disc';
  readonly diameterMm: number;
}
export interface Ellipse extends Placed {
  readonly kind: 'ellipse';
  readonly widthMm: number;
  readonly heightMm: number;
}
export interface Rectangle extends Placed {
  readonly kind: 'rectangle';
  readonly widthMm: number;
  readonly heightMm: number;
}
/** Regular polygon; the diameter is that of the circle through its corners, the first corner points up. */
export interface RegularPolygon extends Placed {
  readonly kind: 'regular-polygon';
  readonly sides: number;
  readonly diameterMm: number;
}
/** Isosceles trapezoid, the parallel sides level; centre is the middle of its bounding box. */
export interface Trapezoid extends Placed {
  readonly kind: 'trapezoid';
  readonly bottomMm: number;
  readonly topMm: number;
  readonly heightMm: number;
}
/** A point at the top, tangent lines down to a round bottom; centre is the middle of its bounding box. */
export interface Drop extends Placed {
  readonly kind: 'drop';
  readonly widthMm: number;
  readonly lengthMm: number;
}
/** A disc with a bite: another disc taken away, its centre `biteOffsetMm` to the right. */
export interface Crescent extends Placed {
  readonly kind: 'crescent';
  readonly diameterMm: number;
  readonly biteDiameterMm: number;
  readonly biteOffsetMm: number;
}
/** Vesica: two equal arcs that meet in points at top and bottom. */
export interface Leaf extends Placed {
  readonly kind: 'leaf';
  readonly lengthMm: number;
  readonly widthMm: number;
}
export interface RingShape extends Placed {
  readonly kind: 'ring';
  readonly outerDiameterMm: number;
  readonly innerDiameterMm: number;
}
/** Star with straight sides; the first outer point points up. */
export interface Star extends Placed {
  readonly kind: 'star';
  readonly points: number;
  readonly outerDiameterMm: number;
  readonly innerDiameterMm: number;
}
/** Any outline: closed curves with a fill rule. */
export interface PathShape {
  readonly kind: 'path';
  readonly curves: readonly Curve[];
  readonly fillRule: 'nonzero' | 'evenodd';
}

export type Shape =
  | Disc
  | Ellipse
  | Rectangle
  | RegularPolygon
  | Trapezoid
  | Drop
  | Crescent
  | Leaf
  | RingShape
  | Star
  | PathShape;

/** One area of a piece. Areas are ordered bottom to top; what is on top wins. */
export interface Area {
  /** Unique within the piece. */
  readonly id: string;
  readonly name: string;
  readonly shape: Shape;
  /** A tone's id, or `piercing`: a through opening, which goes through everything whatever its place in the order. */
  readonly tone: string;
  /**
   * Rounding of corners in mm: one number for every corner, or one per corner in the shape's own order
   * (for paths: the joints in order, curve after curve). 0 or absent leaves a corner sharp.
   */
  readonly cornerRadiiMm?: number | readonly number[];
  /** The area adds to the outline instead of being trimmed to it. The lowest area always does. */
  readonly extendsOutline?: boolean;
}

/** One design: a ground, its inlays, its piercings. Nothing computed is stored in it. */
export interface Piece {
  readonly name: string;
  readonly tones: readonly Tone[];
  readonly areas: readonly Area[];
  /** Made as a left and a right that mirror each other. */
  readonly pair?: boolean;
}
