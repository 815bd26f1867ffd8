/** Sheets written by hand, whose walls have closed forms. Lengths in mm. */
import { type Curve, circleCurve, flattenCurve, reverseCurve, transformCurve } from '@inlaywright/geometry';
import type { FitRecord } from '../../src/fit/fit-record.ts';
import type { Seam } from '../../src/mosaic/model.ts';
import type { CutSheet, PlacedPart } from '../../src/parts/cut-sheet-model.ts';
import { placementTransform } from '../../src/parts/cut-sheet-placement.ts';

export function record(entry: number, exit: number, rest: Partial<FitRecord> = {}): FitRecord {
  return {
    kerfEntry: { xMm: entry, yMm: entry },
    kerfExit: { xMm: exit, yMm: exit },
    allowanceMm: 0.03,
    ...rest,
  };
}

export const circle = (r: number, x = 0, y = 0): Curve => circleCurve({ x, y }, r);

export interface HandPart {
  readonly part: string;
  readonly tone?: string;
  readonly turned?: boolean;
  readonly hand?: PlacedPart['hand'];
  readonly outside: Curve;
  readonly holes?: readonly Curve[];
}

/** Puts parts drawn in the frame of the piece on a sheet, far apart, each with its own placement. */
export function sheetOf(
  parts: readonly HandPart[],
  fit: Readonly<Record<string, FitRecord>>,
  seams: readonly Seam[],
  angleDeg: (i: number) => number = (i) => 17 * i,
): CutSheet {
  return {
    piece: 'moon phase',
    stock: 'cherry',
    widthMm: 400,
    heightMm: 100,
    fit,
    seams,
    parts: parts.map((part, i): PlacedPart => {
      const hand = part.hand ?? 'single';
      const placement = {
        mirrored: (part.turned ?? false) !== (hand === 'right'),
        angleDeg: angleDeg(i),
        dxMm: 40 + 37.5 * i,
        dyMm: 50 + i,
      };
      const put = (curve: Curve): Curve => transformCurve(curve, placementTransform(placement));
      return {
        part: part.part,
        hand,
        label: part.part,
        tone: part.tone ?? 'ground',
        turned: part.turned ?? false,
        placement,
        contours: [
          ...(part.holes ?? []).map((curve) => ({
            role: 'inside' as const,
            curve: put(reverseCurve(curve)),
          })),
          { role: 'outside' as const, curve: put(part.outside) },
        ],
        marks: [],
      };
    }),
  };
}

/** A seam along a whole curve that runs counter-clockwise: `inner` lies on its left. */
export function closedSeam(inner: string, outer: string, curve: Curve): Seam {
  const points = flattenCurve(curve);
  const innerFirst = inner < outer;
  let lengthMm = 0;
  for (let i = 0; i < points.length; i += 2) {
    const j = (i + 2) % points.length;
    lengthMm += Math.hypot(points[j]! - points[i]!, points[j + 1]! - points[i + 1]!);
  }
  const walked = innerFirst ? points : flattenCurve(reverseCurve(curve));
  const [a, b] = innerFirst ? [inner, outer] : [outer, inner];
  return { id: `${a}-${b}`, a, b, stretches: [{ points: walked, closed: true }], lengthMm };
}

export function openSeam(left: string, right: string, points: readonly (readonly [number, number])[]): Seam {
  const flip = left > right;
  const line = flip ? [...points].reverse() : points;
  let lengthMm = 0;
  for (let i = 1; i < line.length; i++) {
    lengthMm += Math.hypot(line[i]![0] - line[i - 1]![0], line[i]![1] - line[i - 1]![1]);
  }
  const [a, b] = flip ? [right, left] : [left, right];
  return {
    id: `${a}-${b}`,
    a,
    b,
    stretches: [{ points: Float64Array.from(line.flat()), closed: false }],
    lengthMm,
  };
}

/** A disc of radius r set into a disc of radius R, compensated with the given kerf and allowance. */
export function discInDisc(options: {
  readonly r: number;
  readonly R: number;
  readonly kerf: number;
  readonly allowance: number;
  readonly turned: boolean;
  readonly fit: Readonly<Record<string, FitRecord>>;
}): CutSheet {
  const { r, R, kerf, allowance, turned, fit } = options;
  return sheetOf(
    [
      { part: 'p1', outside: circle(R + kerf / 2), holes: [circle(r - kerf / 2)] },
      { part: 'p2', tone: 'accent', turned, outside: circle(r + allowance + kerf / 2) },
    ],
    fit,
    [closedSeam('p2', 'p1', circle(r))],
  );
}
