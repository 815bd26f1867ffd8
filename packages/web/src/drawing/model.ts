/**
 * What the sheet shows of one piece, ready to draw. Everything here is made in the worker, so that the page
 * only places it. Lengths in mm of the piece; y points DOWN in every coordinate and path of this file (the
 * model's y is flipped once, in draw-piece.ts).
 */
import type { Finding } from '@inlaywright/workshop';
import type { GapClassId } from './gap-class.ts';

export interface Place {
  readonly x: number;
  readonly y: number;
}

export interface Box {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

/** A face of the piece at which gaps are read. */
export type Face = 'show' | 'middle' | 'back';

export interface DrawnTone {
  readonly id: string;
  readonly name: string;
  readonly colour: string;
  readonly grainDeg: number | null;
  readonly parts: number;
  readonly areaMm2: number;
}

export interface DrawnPart {
  readonly id: string;
  /** The number it bears on drawing, cut files and bench: `p3` is 3. */
  readonly number: string;
  readonly tone: string;
  readonly turned: boolean;
  readonly level: number;
  readonly areaMm2: number;
  readonly box: Box;
  /** Path data of the whole part, holes included; to be filled even-odd. */
  readonly path: string;
  /** Path data a little inside the outline of a turned part, drawn as a hidden line. */
  readonly hidden: string | null;
  /** A point well inside, and how far the boundary is from it. */
  readonly inside: Place;
  readonly insideRadius: number;
  /** The places of the outline nearest the corners of the box: top left, top right, foot left, foot right. */
  readonly corners: readonly [Place, Place, Place, Place];
  /** A stretch along the grain within the part. */
  readonly grain: { readonly from: Place; readonly to: Place } | null;
  /** How far the part moves when the parts are drawn apart. */
  readonly apart: Place;
}

export interface GapNumbers {
  readonly mean: number;
  readonly p95: number;
  readonly worst: number;
  readonly worstAt: Place;
  readonly tightest: number;
  readonly tightestAt: Place;
}

export interface SeamRun {
  readonly gapClass: GapClassId;
  readonly path: string;
}

export interface DrawnSeam {
  /** Unique on the drawing: seam id and hand. */
  readonly id: string;
  readonly a: string;
  readonly b: string;
  readonly lengthMm: number;
  readonly gaps: Readonly<Record<Face, GapNumbers>>;
  readonly pressShare: number;
  readonly gradeProbability: number | null;
  readonly path: string;
  readonly runs: Readonly<Record<Face, readonly SeamRun[]>>;
  /** A place on the seam for its leader line. */
  readonly at: Place;
}

/** Findings of one kind, under one number. */
export interface DrawnNote {
  readonly number: number;
  readonly code: string;
  readonly severity: Finding['severity'];
  readonly message: string;
  readonly hint: string;
  readonly parts: readonly string[];
  /** The worst place first; empty where the finding has no place. */
  readonly places: readonly Place[];
  /** The messages of all findings of the kind, the first included. */
  readonly all: readonly string[];
}

export interface StockUse {
  readonly stock: string;
  readonly parts: number;
  readonly widthMm: number;
  readonly heightMm: number;
}

export interface PieceDrawing {
  readonly name: string;
  readonly pair: boolean;
  readonly box: Box;
  readonly apartBox: Box;
  readonly rims: string;
  readonly seamLines: string;
  readonly tones: readonly DrawnTone[];
  readonly parts: readonly DrawnPart[];
  readonly seams: readonly DrawnSeam[];
  readonly notes: readonly DrawnNote[];
  readonly stocks: readonly StockUse[];
}
