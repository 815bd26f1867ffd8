import { curveBounds } from '@inlaywright/geometry';
import {
  bracketed,
  COMMON_CALIPER,
  type Coupon,
  drawCoupon,
  evidenceOf,
  FIRST_LADDER,
  type FitRecord,
  type FitTrial,
  GRADES,
  type Grade,
  joinEvidence,
  weigh,
} from '@inlaywright/workshop';
import type { Board } from './laser.ts';
import type { Random } from './random.ts';

/**
 * The virtual maker's hands: cuts a coupon, tries its plugs, reads the caliper, types it in. A plug is graded by the
 * true gap, and the hand's judgement strays a little. What "presses by hand" is what the bench calls a
 * seam that fits: a gap from -0.06 to 0.01 mm.
 */
export const FITS = { min: -0.06, max: 0.01, corner: 0.1 } as const;

/** Gaps at which one grade becomes the next, from tight to loose, mm. */
const GRADE_GAPS = [-0.1, FITS.min, FITS.max, 0.04] as const;
const HAND_SD = 0.004;
const DRAWN_KERF = 0.16;

function gradeOf(gapMm: number, random: Random): Grade {
  const felt = gapMm + HAND_SD * random.normal();
  const looser = GRADE_GAPS.filter((limit) => felt > limit).length;
  return GRADES[4 - looser]!;
}

function halfWidths(coupon: Coupon, part: string, role: string, at = 0): { x: number; y: number } {
  const placed = coupon.sheet.parts.filter((candidate) => candidate.part.startsWith(part));
  const curves = placed.flatMap((candidate) => candidate.contours.filter((contour) => contour.role === role));
  const box = curveBounds(curves[at]!.curve);
  return { x: (box.maxX - box.minX) / 2, y: (box.maxY - box.minY) / 2 };
}

/** Cuts one coupon on a board and writes down what the maker sees. */
export function runCoupon(
  board: Board,
  drawnKerfMm: number,
  allowancesMm: readonly number[],
  gauge: boolean,
  random: Random,
): FitTrial {
  const coupon = drawCoupon({
    stock: 'bench',
    thicknessMm: 3,
    drawnKerfMm,
    allowancesMm,
    widthMm: 280,
    heightMm: 280,
    gauge,
    slats: gauge,
  });
  const stray = (): number => board.scatterMm * random.normal();
  const steps = coupon.steps.map(({ step, allowanceMm }) => {
    const plug = halfWidths(coupon, `plug-${step}`, 'outside');
    const socket = halfWidths(coupon, 'sockets', 'inside', step - 1);
    // Turned plugs lean as their sockets do: the gap is the same at every depth, that of the mean kerf.
    const kerf = (board.entryX + board.entryY + board.exitX + board.exitY) / 4;
    const drawn = (plug.x + plug.y - socket.x - socket.y) / 2;
    const gap = kerf + (stray() + stray()) / 2 - drawn;
    return { step, allowanceMm, grade: gradeOf(gap, random) };
  });
  const readings = gauge
    ? [...gaugeReadings(coupon, board, random), ...slatReadings(coupon, board, random)]
    : [];
  return { drawnKerfMm, turned: true, steps, readings, caliper: COMMON_CALIPER };
}

/** The caliper's own error stays over one size, the hand's changes; the display rounds. */
function read(sizeMm: number, random: Random): number[] {
  const { largestErrorMm, resolutionMm } = COMMON_CALIPER;
  const off = largestErrorMm * (2 * random.uniform() - 1);
  return [0, 1, 2].map(
    () => Math.round((sizeMm + off + 0.008 * random.normal()) / resolutionMm) * resolutionMm,
  );
}

function kerfAt(board: Board, face: 'entry' | 'exit', axis: 'x' | 'y'): number {
  return board[`${face}${axis === 'x' ? 'X' : 'Y'}`];
}

function gaugeReadings(coupon: Coupon, board: Board, random: Random): FitTrial['readings'] {
  const path = halfWidths(coupon, 'gauge', 'inside');
  const stray = board.scatterMm * random.normal();
  return (['entry', 'exit'] as const).flatMap((face) =>
    (['x', 'y'] as const).map((axis) => {
      const kerf = kerfAt(board, face, axis) + stray;
      return {
        kind: 'two-face' as const,
        axis,
        face,
        holeMm: read(2 * path[axis] + kerf, random),
        plugMm: read(2 * path[axis] - kerf, random),
      };
    }),
  );
}

/** Strips pushed together, read at both faces: each lost one kerf. */
function slatReadings(coupon: Coupon, board: Board, random: Random): FitTrial['readings'] {
  const { drawnMm, cuts } = coupon.slats!;
  return (['x', 'y'] as const).flatMap((axis) => {
    const strays = Array.from({ length: cuts }, () => board.scatterMm * random.normal());
    const lost = strays.reduce((sum, stray) => sum + stray, 0);
    return (['entry', 'exit'] as const).map((face) => ({
      kind: 'slats' as const,
      axis,
      face,
      cuts,
      drawnMm,
      measuredMm: read(drawnMm - cuts * kerfAt(board, face, axis) - lost, random),
    }));
  });
}

/**
 * Our procedure for one stock: the first coupon with its gauge; where no plug pressed by hand, where no step was graded on
 * one side of the window, or where the best allowance would still fail often, a second ladder around the best guess,
 * drawn for the measured kerf, as the judgement asks.
 */
export function measuredRecord(board: Board, random: Random, seed: number): FitRecord {
  const first = runCoupon(board, DRAWN_KERF, FIRST_LADDER, true, random);
  const draws = { draws: 1000, seed };
  const before = weigh(evidenceOf(first), draws);
  const ends = bracketed(evidenceOf(first), 'presses by hand');
  const seen = first.steps.some((step) => step.grade === 'presses by hand');
  if (seen && ends.looser && ends.tighter && before.probability > 0.85) return before.record;
  const middle = before.record.allowanceMm;
  const ladder = Array.from({ length: 9 }, (_, i) => Math.round(1000 * (middle - 0.075 + 0.02 * i)) / 1000);
  const { kerfEntry, kerfExit } = before.record;
  const kerf = (kerfEntry.xMm + kerfEntry.yMm + kerfExit.xMm + kerfExit.yMm) / 4;
  const second = runCoupon(board, kerf, ladder, false, random);
  return weigh(joinEvidence([evidenceOf(first), evidenceOf(second)]), draws).record;
}

export interface Offsets {
  /** Kerf that every path allows for, mm. */
  readonly kerfMm: number;
  /** Added to every inlay, mm a side. */
  readonly allowanceMm: number;
}

/**
 * Common practice: one ladder in steps of 0.04 mm on one board, the middle one of those that press, the same offset for
 * every wood. Where none presses, the step between loose and tight.
 */
export function bestStep(board: Board, random: Random): Offsets {
  const ladder = Array.from({ length: 9 }, (_, i) => -0.08 + 0.04 * i);
  const { steps } = runCoupon(board, DRAWN_KERF, ladder, false, random);
  const pressing = steps.filter((step) => step.grade === 'presses by hand');
  if (pressing.length > 0) {
    return { kerfMm: DRAWN_KERF, allowanceMm: pressing[Math.floor((pressing.length - 1) / 2)]!.allowanceMm };
  }
  const tight = steps.find((step) => GRADES.indexOf(step.grade) > 2);
  return { kerfMm: DRAWN_KERF, allowanceMm: tight?.allowanceMm ?? ladder[ladder.length - 1]! };
}
