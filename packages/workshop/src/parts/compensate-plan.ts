import type { FitByTone, FitRecord } from '../fit/fit-record.ts';
import type { Mosaic, Part } from '../mosaic/model.ts';
import { fitOfTone } from './cut-sheet.ts';
import type { CompensationOptions } from './model.ts';

/** Half axes of the beam at mid depth, mm, and the disk that rolls wherever this ellipse does. */
export interface Beam {
  readonly rx: number;
  readonly ry: number;
  /** Radius of the smallest disk in which the ellipse rolls freely: the greatest radius of curvature it has. */
  readonly rolling: number;
}

/** What one seam asks of its two sides, mm. */
export interface SeamPlan {
  /** How far part `a` reaches over the line of the seam into `b`, and `b` into `a`. Negative draws back. */
  readonly growA: number;
  readonly growB: number;
  /** Least radius at which part `a` (left of the seam) may bend round something of `b`, and `b` round `a`. */
  readonly bendA: number;
  readonly bendB: number;
}

export interface Plan {
  /** By part, in the mosaic's order. */
  readonly beams: readonly Beam[];
  /** By seam, in the mosaic's order. */
  readonly seams: readonly SeamPlan[];
  /** Index of a part by its id. */
  readonly indexOf: ReadonlyMap<string, number>;
}

/** Beam sizes by part, and by seam who reaches how far over it. */
export function planOf(
  mosaic: Mosaic,
  fit: FitByTone,
  share: CompensationOptions['share'],
  turned: readonly boolean[],
): Plan {
  const indexOf = new Map(mosaic.parts.map((part, i) => [part.id, i]));
  const beams = mosaic.parts.map((part) => beamOf(fitOfTone(fit, part.tone)));
  const seams = mosaic.seams.map((seam) => {
    const a = indexOf.get(seam.a)!;
    const b = indexOf.get(seam.b)!;
    const inserted = insertedOf(mosaic.parts, a, b);
    // The stock of the inserted part decides: its fit trial was made with plugs of that stock.
    const chosen = fitOfTone(fit, mosaic.parts[inserted]!.tone).allowanceMm;
    const relief = turned[a] && turned[b] ? standProud(mosaic, fit, a) + standProud(mosaic, fit, b) : 0;
    const allowanceMm = chosen - Math.max(0, relief);
    const growA = share === 'both' ? allowanceMm / 2 : inserted === a ? allowanceMm : 0;
    const growB = allowanceMm - growA;
    return {
      growA,
      growB,
      bendA: Math.max(0, beams[a]!.rolling + growA, -growB),
      bendB: Math.max(0, beams[b]!.rolling + growB, -growA),
    };
  });
  return { beams, seams, indexOf };
}

/**
 * How much farther out than at mid depth the wall of a turned part stands at the show face, mm: the beam left there, and
 * its kerf was narrower by half the taper, a quarter on each side. Where both parts of a seam are turned (three parts
 * that all meet leave no other way) both walls stand proud there. The overlap is then taken back by as much, so that the
 * seam presses by the allowance at its tightest depth, the show face, instead of by more than a hand can press.
 */
function standProud(mosaic: Mosaic, fit: FitByTone, part: number): number {
  const { kerfEntry, kerfExit } = fitOfTone(fit, mosaic.parts[part]!.tone);
  return (kerfEntry.xMm + kerfEntry.yMm - kerfExit.xMm - kerfExit.yMm) / 8;
}

/** Of two parts at a seam the one set into the other: the higher level, then the later part. */
export function insertedOf(parts: readonly Part[], a: number, b: number): number {
  const levelA = parts[a]!.level;
  const levelB = parts[b]!.level;
  if (levelA !== levelB) return levelA > levelB ? a : b;
  return Math.max(a, b);
}

function beamOf(record: FitRecord): Beam {
  const rx = (record.kerfEntry.xMm + record.kerfExit.xMm) / 4;
  const ry = (record.kerfEntry.yMm + record.kerfExit.yMm) / 4;
  const thin = Math.min(rx, ry);
  const thick = Math.max(rx, ry);
  const rolling = thin > 0 ? (thick * thick) / thin : thick;
  return { rx, ry, rolling };
}
