import { type Curve, flattenCurve, type Region, regionFromCurves, signedArea } from '@inlaywright/geometry';
import type { Referee, Ring, Solid } from '../../../../bench/src/compensation-geos.ts';
import {
  type Area,
  type Compensation,
  type CompensationOptions,
  compensate,
  type FitByTone,
  type FitRecord,
  type Mosaic,
  mosaic,
  type PartCut,
  type Piece,
  type Shape,
} from '../../src/index.ts';

export const origin = { x: 0, y: 0 };

/** One area of a test piece: a shape in a tone, with what else differs from plain. */
export type Laid = Pick<Area, 'shape' | 'tone'> & Partial<Pick<Area, 'extendsOutline' | 'cornerRadiiMm'>>;

/** A piece from areas bottom to top; tones are made up as needed. */
export function pieceOf(...laid: readonly Laid[]): Piece {
  const tones = [...new Set(laid.map(({ tone }) => tone))].filter((tone) => tone !== 'piercing');
  return {
    name: 'test piece',
    tones: tones.map((id) => ({ id, name: id, colour: '#886644' })),
    areas: laid.map((area, i) => ({ id: `a${i}`, name: `area ${i}`, ...area })),
  };
}

/** An inlay of that shape in a disc of 20 mm. */
export function inDisc(shape: Shape, diameterMm = 20): Piece {
  return pieceOf(
    { shape: { kind: 'disc', centre: origin, diameterMm }, tone: 'ground' },
    { shape, tone: 'accent' },
  );
}

export function polygonShape(...points: readonly (readonly [number, number])[]): Shape {
  const corners = points.map(([x, y]) => ({ x, y }));
  const segments = corners.map((from, i) => ({
    kind: 'line' as const,
    from,
    to: corners[(i + 1) % corners.length]!,
  }));
  return { kind: 'path', curves: [{ segments }], fillRule: 'nonzero' };
}

export function record(entryMm: number, exitMm: number, allowanceMm: number): FitRecord {
  const kerf = (mm: number) => ({ xMm: mm, yMm: mm });
  return { kerfEntry: kerf(entryMm), kerfExit: kerf(exitMm), allowanceMm };
}

export function fitOf(standard: FitRecord, byTone: FitByTone['byTone'] = {}): FitByTone {
  return { default: standard, byTone };
}

export interface Made {
  readonly parts: Mosaic;
  readonly compensation: Compensation;
  readonly cut: (part: string) => PartCut;
}

export function make(
  piece: Piece,
  fit: FitByTone,
  options: Partial<CompensationOptions> = {},
  sliverMm2 = 0.001,
): Made {
  const parts = mosaic(piece, { sliverMm2, sliverWidthMm: 0.01 });
  const compensation = compensate(parts, fit, { share: 'inserted', turn: 'auto', ...options });
  const cut = (id: string): PartCut => compensation.cuts.find(({ part }) => part === id)!;
  return { parts, compensation, cut };
}

/** Chord error of paths handed to a referee, mm. */
const FINE_MM = 5e-5;

export function pathRings({ contours }: PartCut): Ring[] {
  const outside = contours.filter(({ role }) => role === 'outside');
  const inside = contours.filter(({ role }) => role === 'inside');
  return [...outside, ...inside].map(({ curve }) => flattenCurve(curve, FINE_MM));
}

/** What a beam of that kerf frees along the path, measured by GEOS. */
export function freedBy(referee: Referee, cut: PartCut, kerfXMm: number, kerfYMm = kerfXMm): Solid {
  return referee.freed([pathRings(cut)], kerfXMm / 2, kerfYMm / 2);
}

export function pathRegion({ contours }: PartCut): Region {
  return regionFromCurves(
    contours.map(({ curve }) => curve),
    'nonzero',
  );
}

export function curvesOf(made: Made, part: string, role: 'inside' | 'outside'): Curve[] {
  return made
    .cut(part)
    .contours.filter((contour) => contour.role === role)
    .map(({ curve }) => curve)
    .sort((p, q) => Math.abs(signedArea(q)) - Math.abs(signedArea(p)));
}

export function square(halfMm: number, x = 0, y = 0): Ring {
  return [x - halfMm, y - halfMm, x + halfMm, y - halfMm, x + halfMm, y + halfMm, x - halfMm, y + halfMm];
}
