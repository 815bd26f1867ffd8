/**
 * The computed dry fit: the trial assembly without glue, from the beam paths as they were written. docs/dry-fit.md has
 * the formulas, the proof of the method and its limits.
 *
 * Each part is brought back into the drawing, its wall at a depth is what the beam leaves there, and along every
 * declared seam both walls are walked and the signed gap to the other part is taken at the show face, in the middle
 * and at the back. Positive is air, negative interference.
 */
import type { Finding } from '../finding.ts';
import type { FitByTone } from '../fit/fit-record.ts';
import type { Seam } from '../mosaic/model.ts';
import type { CutSheet } from '../parts/cut-sheet-model.ts';
import { type AssembledPart, type Assembly, assemble } from './assemble.ts';
import { refineExtremes } from './extremes.ts';
import { seamFindings } from './findings.ts';
import { gapFigures, gradeProbability } from './gap-figures.ts';
import type { DryFit, GapFigures, GapSample, SeamFit } from './model.ts';
import { type Facing, type SeamSamples, seamSamples } from './seam-samples.ts';
import { seamWalls, type WallSpan } from './seam-walls.ts';
import { walkSpan } from './stations.ts';

/** Widest distance between stations on a wall, mm. */
export const STATION_STEP_MM = 0.25;
/** Air at the show face from which the eye sees a line, mm. Common practice, no published source. */
export const VISIBLE_GAP_MM = 0.05;
/** A gap counts as pressing below this, mm: half a micrometre is what file decimals and fitted arcs leave open. */
const PRESSES_BELOW_MM = -0.0005;
/** How far a wall may stray from its declared line besides two kerfs and still be taken for it, mm. */
const STRAY_MM = 1;

export interface DryFitOptions {
  /** Widest distance between stations on a wall, mm; STATION_STEP_MM when absent. */
  readonly stepMm?: number;
  /** Air at the show face that is reported, mm; VISIBLE_GAP_MM when absent. */
  readonly visibleGapMm?: number;
}

/**
 * @param sheets all sheets of one piece, as read back from the files
 * @param fit fit records to judge by instead of those written in the sheets
 * @throws GeometryError kernel-closed, only where kerf differs between the axes and the region kernel was not opened
 */
export function dryFit(sheets: readonly CutSheet[], fit?: FitByTone, options: DryFitOptions = {}): DryFit {
  const { assemblies, seams: declared, findings: assembling } = assemble(sheets, fit);
  const findings: Finding[] = [...assembling];
  const seams: SeamFit[] = [];
  const seamsOf = seamsByPart(declared);
  const samples = seamSamples();
  for (const assembly of assemblies) {
    const walls = wallsByPart(assembly, seamsOf);
    for (const seam of declared) {
      const a = assembly.parts.get(seam.a);
      const b = assembly.parts.get(seam.b);
      if (!a || !b) continue;
      const rest = neighbours(assembly, [seam.a, seam.b], seamsOf);
      const walked = walkSeam(seam, { a, b, rest }, walls, samples, options.stepMm ?? STATION_STEP_MM);
      const fitted = seamFit(seam, assembly, b, a, samples, walked);
      if (fitted) seams.push(fitted);
      const visibleGapMm = options.visibleGapMm ?? VISIBLE_GAP_MM;
      const check = { seam, hand: assembly.hand, a, b, fitted, ...walked, visibleGapMm };
      findings.push(...seamFindings(check));
    }
  }
  return { seams, findings };
}

function seamsByPart(seams: readonly Seam[]): Map<string, Seam[]> {
  const byPart = new Map<string, Seam[]>();
  for (const seam of seams) {
    for (const part of [seam.a, seam.b]) {
      const list = byPart.get(part);
      if (list) list.push(seam);
      else byPart.set(part, [seam]);
    }
  }
  return byPart;
}

/** The parts that share a seam with one of the two, without the two. */
function neighbours(
  assembly: Assembly,
  two: readonly [string, string],
  seamsOf: ReadonlyMap<string, readonly Seam[]>,
): AssembledPart[] {
  const found = new Set<AssembledPart>();
  for (const id of two) {
    for (const seam of seamsOf.get(id) ?? []) {
      const other = seam.a === id ? seam.b : seam.a;
      const part = two.includes(other) ? undefined : assembly.parts.get(other);
      if (part) found.add(part);
    }
  }
  return [...found];
}

interface PartWalls {
  readonly bySeam: ReadonlyMap<string, readonly WallSpan[]>;
  readonly lostMm: ReadonlyMap<string, number>;
}

function wallsByPart(
  assembly: Assembly,
  seamsOf: ReadonlyMap<string, readonly Seam[]>,
): Map<string, PartWalls> {
  const walls = new Map<string, PartWalls>();
  for (const part of assembly.parts.values()) {
    const { spans, lostMm } = seamWalls(
      part.path,
      part.id,
      seamsOf.get(part.id) ?? [],
      STRAY_MM + 2 * part.kerfMm,
    );
    const bySeam = new Map<string, WallSpan[]>();
    for (const span of spans) {
      const list = bySeam.get(span.seam);
      if (list) list.push(span);
      else bySeam.set(span.seam, [span]);
    }
    walls.set(part.id, { bySeam, lostMm });
  }
  return walls;
}

interface WalkedSeam {
  /** Which part each run of samples walks. */
  readonly sides: readonly ('a' | 'b')[];
  /** Length of wall at mid-depth on each side, and declared length without a wall, mm. */
  readonly wallMm: { readonly a: number; readonly b: number };
  readonly lostMm: { readonly a: number; readonly b: number };
  /** A part of which the beam leaves nothing at some depth. */
  readonly vanished: string | null;
  /** All depths are alike. */
  readonly isStraight: boolean;
}

/** Walks both walls of a seam; `samples` is emptied and filled again. */
function walkSeam(
  seam: Seam,
  { a, b, rest }: { a: AssembledPart; b: AssembledPart; rest: readonly AssembledPart[] },
  walls: ReadonlyMap<string, PartWalls>,
  samples: SeamSamples,
  stepMm: number,
): WalkedSeam {
  samples.count = 0;
  const isStraight = a.isStraight && b.isStraight && rest.every((part) => part.isStraight);
  const facings = { a: { part: a, other: b, rest, isStraight }, b: { part: b, other: a, rest, isStraight } };
  const sides: ('a' | 'b')[] = [];
  const wallMm = { a: 0, b: 0 };
  const lostMm = { a: 0, b: 0 };
  for (const side of ['a', 'b'] as const) {
    const facing: Facing = facings[side];
    const own = walls.get(facing.part.id)!;
    const first = samples.count;
    for (const span of own.bySeam.get(seam.id) ?? []) {
      sides.push(side);
      walkSpan(samples, sides.length - 1, facing, span, stepMm);
    }
    for (let i = first; i < samples.count; i++) wallMm[side] += samples.weights[1][i]!;
    lostMm[side] = own.lostMm.get(seam.id) ?? 0;
  }
  const vanished = vanishedPart(seam, samples, sides);
  if (vanished) samples.count = 0;
  if (samples.count > 0) refineExtremes(samples, isStraight ? 1 : 3, (run) => facings[sides[run]!]);
  for (const weights of samples.weights) weighPoints(weights, samples.count);
  return { sides, wallMm, lostMm, vanished, isStraight };
}

/** Gaps are infinite where the wall walked or the part faced is not there. */
function vanishedPart(seam: Seam, samples: SeamSamples, sides: readonly ('a' | 'b')[]): string | null {
  for (let i = 0; i < samples.count; i++) {
    for (let depth = 0; depth < 3; depth++) {
      if (samples.gaps[depth]![i]! < Number.POSITIVE_INFINITY) continue;
      const own = !Number.isFinite(samples.x[depth]![i]!);
      return own === (sides[samples.run[i]!] === 'a') ? seam.a : seam.b;
    }
  }
  return null;
}

/** A wall that shrinks to one point has no length at all; then all its samples weigh the same. */
function weighPoints(weights: Float64Array, count: number): void {
  for (let i = 0; i < count; i++) if (weights[i]! > 0) return;
  weights.fill(Number.EPSILON, 0, count);
}

function seamFit(
  seam: Seam,
  assembly: Assembly,
  inserted: AssembledPart,
  receiving: AssembledPart,
  samples: SeamSamples,
  { sides, isStraight }: WalkedSeam,
): SeamFit | null {
  const { count } = samples;
  if (count === 0) return null;
  const figures: GapFigures[] = [];
  for (let level = 0; level < 3; level++) {
    if (level > 0 && isStraight) figures.push(figures[0]!);
    else {
      figures.push(
        gapFigures({
          count,
          gaps: samples.gaps[level]!,
          weights: samples.weights[level]!,
          x: samples.x[level]!,
          y: samples.y[level]!,
        }),
      );
    }
  }
  const [show, middle, back] = samples.gaps;
  const weights = samples.weights[1];
  let weight = 0;
  let pressing = 0;
  for (let i = 0; i < count; i++) {
    weight += weights[i]!;
    if (Math.min(show[i]!, middle[i]!, back[i]!) < PRESSES_BELOW_MM) pressing += weights[i]!;
  }
  const list: GapSample[] = [];
  for (let i = 0; i < count; i++) {
    list.push({
      at: { x: samples.x[1][i]!, y: samples.y[1][i]! },
      showMm: show[i]!,
      middleMm: middle[i]!,
      backMm: back[i]!,
      wall: sides[samples.run[i]!]!,
      run: samples.run[i]!,
      lengthMm: weights[i]!,
    });
  }
  // The part of the higher level has the higher number: its record tells the grade, as it tells the allowance.
  const grade = inserted.fit.gradeGapMm ?? receiving.fit.gradeGapMm;
  const scatterMm = inserted.fit.scatterMm ?? receiving.fit.scatterMm;
  return {
    id: seam.id,
    a: seam.a,
    b: seam.b,
    hand: assembly.hand,
    lengthMm: seam.lengthMm,
    gapShowMm: figures[0]!,
    gapMiddleMm: figures[1]!,
    gapBackMm: figures[2]!,
    pressShare: pressing / weight,
    ...(grade && scatterMm !== undefined
      ? { gradeProbability: gradeProbability(middle, weights, count, grade, scatterMm) }
      : {}),
    samples: list,
  };
}
