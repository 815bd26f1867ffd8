/**
 * Puts the parts of a set of sheets together again: undoes every placement, so that all paths lie in the frame of the
 * drawing, and works out which kerf each part has at the show face, in the middle and at the back.
 *
 * Right partners are brought back into the same frame, not mirrored: gaps do not change under a mirror image.
 */
import { apply, emptyRegion, invert, transformCurve } from '@inlaywright/geometry';
import type { Finding } from '../finding.ts';
import type { FitByTone, FitRecord, KerfXY } from '../fit/fit-record.ts';
import type { Seam } from '../mosaic/model.ts';
import type { CutSheet, PlacedPart } from '../parts/cut-sheet-model.ts';
import { placementTransform } from '../parts/cut-sheet-placement.ts';
import { ovalWall, pathRegion } from './oval-wall.ts';
import type { Wall } from './wall.ts';
import { type WrittenPath, writtenPath } from './written-path.ts';

/** Depths at which gaps are computed, from the show face (0) to the back (1). */
export const DEPTHS = [0, 0.5, 1] as const;

/** Two axes whose kerfs differ by less than this count as equal, mm: far below what any gauge tells apart. */
const ROUND_KERF_MM = 1e-6;

export interface AssembledPart {
  readonly id: string;
  readonly fit: FitRecord;
  readonly path: WrittenPath;
  /** Walls at the show face, in the middle, at the back. */
  readonly walls: readonly [Wall, Wall, Wall];
  /** The widest kerf at any depth, mm. */
  readonly kerfMm: number;
  /** Whether the walls at all depths are one: a round kerf without taper. */
  readonly isStraight: boolean;
}

/** One piece, or one partner of a pair. */
export interface Assembly {
  readonly hand: PlacedPart['hand'];
  readonly parts: ReadonlyMap<string, AssembledPart>;
}

export interface Assembled {
  readonly assemblies: readonly Assembly[];
  readonly seams: readonly Seam[];
  readonly findings: readonly Finding[];
}

/** Kerf at a depth counted from the show face; a turned part is read from its exit face. */
export function kerfAtDepth(fit: FitRecord, turned: boolean, depth: number): KerfXY {
  const s = turned ? 1 - depth : depth;
  return {
    xMm: fit.kerfEntry.xMm + s * (fit.kerfExit.xMm - fit.kerfEntry.xMm),
    yMm: fit.kerfEntry.yMm + s * (fit.kerfExit.yMm - fit.kerfEntry.yMm),
  };
}

/** @param fit records to use instead of those written in the sheets */
export function assemble(sheets: readonly CutSheet[], fit: FitByTone | undefined): Assembled {
  const findings: Finding[] = [];
  const piece = sheets[0]?.piece;
  const own = sheets.filter((sheet) => sheet.piece === piece);
  const strangers = [...new Set(sheets.filter((sheet) => sheet.piece !== piece).map((sheet) => sheet.piece))];
  if (strangers.length > 0) {
    findings.push({
      code: 'several-pieces',
      severity: 'decision',
      message: `The sheets belong to several pieces; only ${piece} was checked, not ${strangers.join(', ')}.`,
      hint: 'Check the sheets of one piece at a time.',
    });
  }
  const hands = new Map<PlacedPart['hand'], Map<string, AssembledPart>>();
  for (const sheet of own) {
    for (const placed of sheet.parts) {
      const record = fit ? (fit.byTone[placed.tone] ?? fit.default) : sheet.fit[placed.tone];
      if (!record) {
        findings.push({
          code: 'fit-record-missing',
          severity: 'decision',
          message: `The sheet of ${sheet.stock} says nothing about the kerf of ${placed.tone}; part ${placed.part} was left out.`,
          hint: 'Give the fit records, or write the sheets again.',
          parts: [placed.part],
        });
        continue;
      }
      const parts = hands.get(placed.hand) ?? new Map<string, AssembledPart>();
      hands.set(placed.hand, parts);
      if (parts.has(placed.part)) {
        findings.push({
          code: 'part-doubled',
          severity: 'decision',
          message: `Part ${placed.part}${ofHand(placed.hand)} is on the sheets more than once; only the first was checked.`,
          hint: 'Remove the copy from the files, or write the sheets again.',
          parts: [placed.part],
        });
        continue;
      }
      const part = assembledPart(placed, record);
      parts.set(placed.part, part);
      findings.push(...crossed(part, placed));
    }
  }
  const seams = uniqueSeams(own);
  const assemblies = [...hands].map(([hand, parts]) => ({ hand, parts }));
  for (const { hand, parts } of assemblies) {
    const named = new Set(seams.flatMap((seam) => [seam.a, seam.b]));
    for (const id of named) {
      if (parts.has(id)) continue;
      findings.push({
        code: 'part-missing',
        severity: 'decision',
        message: `Part ${id}${ofHand(hand)} is on none of the sheets; its seams were not checked.`,
        hint: 'Give all the files of the piece, or write the sheets again.',
        parts: [id],
      });
    }
  }
  return { assemblies, seams, findings };
}

export function ofHand(hand: PlacedPart['hand']): string {
  return hand === 'single' ? '' : ` of the ${hand} partner`;
}

function uniqueSeams(sheets: readonly CutSheet[]): Seam[] {
  const seams = new Map<string, Seam>();
  for (const sheet of sheets) {
    for (const seam of sheet.seams) if (!seams.has(seam.id)) seams.set(seam.id, seam);
  }
  return [...seams.values()];
}

function assembledPart(placed: PlacedPart, fit: FitRecord): AssembledPart {
  const toSheet = placementTransform(placed.placement);
  const toDrawing = invert(toSheet);
  const path = writtenPath(
    placed.contours.map(({ role, curve }) => ({ role, curve: transformCurve(curve, toDrawing) })),
  );
  const kerfs = DEPTHS.map((depth) => kerfAtDepth(fit, placed.turned, depth));
  const isRound = (kerf: KerfXY): boolean => Math.abs(kerf.xMm - kerf.yMm) < ROUND_KERF_MM;
  const inside = kerfs.every(isRound) ? emptyRegion : pathRegion(placed.contours.map(({ curve }) => curve));
  const walls = kerfs.map(
    (kerf): Wall =>
      isRound(kerf)
        ? { kind: 'round', path, radiusMm: kerf.xMm / 2 }
        : ovalWall(inside, kerf.xMm / 2, kerf.yMm / 2, toSheet, toDrawing),
  ) as [Wall, Wall, Wall];
  const kerfMm = Math.max(...kerfs.flatMap(({ xMm, yMm }) => [xMm, yMm]));
  const [show, middle, back] = walls;
  const isStraight =
    show.kind === 'round' &&
    middle.kind === 'round' &&
    back.kind === 'round' &&
    show.radiusMm === middle.radiusMm &&
    show.radiusMm === back.radiusMm;
  return { id: placed.part, fit, path, walls, kerfMm, isStraight };
}

function crossed(part: AssembledPart, placed: PlacedPart): Finding[] {
  return part.path.crossings.map(({ x, y }) => {
    const onSheet = apply(placementTransform(placed.placement), { x, y });
    return {
      code: 'contours-cross',
      severity: 'decision',
      message:
        `A contour of part ${part.id}${ofHand(placed.hand)} crosses, doubles or leaves another or itself at ` +
        `(${onSheet.x.toFixed(2)}, ${onSheet.y.toFixed(2)}) on its sheet; gaps near there mean nothing.`,
      hint: 'Write the sheets again. If it stays, something there is narrower than the kerf: widen it in the drawing.',
      at: { x, y },
      parts: [part.id],
    };
  });
}
