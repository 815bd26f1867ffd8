/** What a coupon is drawn for, and what the trial that starts with it has to take in. Pure data. */
import type { CouponAnswer, CouponRequest, Document, DraftOf, TrialFile } from '@inlaywright/formats';
import { FIRST_LADDER } from '@inlaywright/workshop';
import { boardSize } from '../outline.ts';

export interface CouponFor {
  readonly machine: Document<'machines'>;
  readonly stock: Document<'stocks'>;
  readonly setting: Document<'settings'>;
  /** The board it is cut from, where one was chosen. */
  readonly sheet?: Document<'sheets'> | undefined;
}

/** What there is room for: the bed, the stock's sheets as sold, and the board in hand. */
export function roomFor({ machine, stock, sheet }: CouponFor): {
  readonly widthMm: number;
  readonly heightMm: number;
} {
  const board = sheet && boardSize(sheet.body.outline);
  const width = [machine.body.bedWidthMm, stock.body.widthMm, board?.widthMm];
  const height = [machine.body.bedHeightMm, stock.body.heightMm, board?.heightMm];
  const least = (sizes: readonly (number | undefined)[]): number =>
    Math.min(...sizes.filter((size) => size !== undefined));
  return { widthMm: least(width), heightMm: least(height) };
}

export interface CouponChoices {
  readonly thicknessMm: number;
  readonly drawnKerfMm: number;
  readonly allowancesMm: readonly number[];
  readonly widthMm: number;
  readonly heightMm: number;
  readonly gauge: boolean;
  readonly slats: boolean;
}

/** Kerf to draw for where nothing was measured: about the middle of what bureau tables list for wood of 3 mm. Common practice, no published source. */
export const FIRST_KERF_MM = 0.16;

export function firstChoices(of: CouponFor, record: Document<'records'> | undefined): CouponChoices {
  const kerf = record?.body.intervals?.kerf;
  return {
    thicknessMm: of.sheet?.body.thicknessMm ?? of.stock.body.thicknessMm,
    drawnKerfMm: kerf
      ? Number(
          ((kerf.entryX.median + kerf.entryY.median + kerf.exitX.median + kerf.exitY.median) / 4).toFixed(3),
        )
      : FIRST_KERF_MM,
    allowancesMm: FIRST_LADDER,
    ...roomFor(of),
    gauge: true,
    slats: true,
  };
}

export function requestFor(of: CouponFor, choices: CouponChoices): CouponRequest {
  const { machine, setting, stock } = of;
  return {
    stock: stock.body.name,
    machine: machine.body.name,
    setting: setting.body.name,
    ...choices,
    allowancesMm: [...choices.allowancesMm],
    speedMmPerS: setting.body.speedMmPerS,
    passes: setting.body.passes,
    ...(machine.body.motion === undefined ? {} : { motion: machine.body.motion }),
  };
}

/** The coupon of a trial that was started before, drawn again. */
export function choicesOf(trial: TrialFile, of: CouponFor): CouponChoices {
  return {
    thicknessMm: trial.thicknessMm ?? of.stock.body.thicknessMm,
    drawnKerfMm: trial.drawnKerfMm,
    allowancesMm: trial.steps.map(({ allowanceMm }) => allowanceMm),
    ...roomFor(of),
    gauge: trial.readings.some(({ kind }) => kind === 'two-face'),
    slats: trial.readings.some(({ kind }) => kind === 'slats'),
  };
}

/**
 * The sizes that a coupon offers to be measured, none of them read yet: first all at the face the beam enters, then,
 * turned over once, all at the other.
 */
export function emptyReadings(answer: CouponAnswer): TrialFile['readings'] {
  const { gaugeMm, slats } = answer;
  return (['entry', 'exit'] as const).flatMap((face): TrialFile['readings'] => [
    ...(gaugeMm === undefined
      ? []
      : (['x', 'y'] as const).map((axis) => ({
          kind: 'two-face' as const,
          axis,
          face,
          holeMm: [],
          plugMm: [],
        }))),
    ...(slats === undefined
      ? []
      : (['x', 'y'] as const).map((axis) => ({
          kind: 'slats' as const,
          axis,
          face,
          cuts: slats.cuts,
          drawnMm: slats.drawnMm,
          measuredMm: [],
        }))),
  ]);
}

export function draftOf(of: CouponFor, answer: CouponAnswer, day: string): DraftOf<'trials'> {
  return {
    name: `${of.stock.body.name}, ${day}`,
    machine: of.machine.id,
    stock: of.stock.id,
    setting: of.setting.id,
    ...(of.sheet === undefined ? {} : { sheet: of.sheet.id }),
    trial: { ...answer.trial, readings: emptyReadings(answer) },
  };
}

/** Allowances in order, each to the micrometre. One may be there twice: a step that is cut twice tells more. */
export function inSteps(allowancesMm: readonly number[]): readonly number[] {
  return allowancesMm.map((mm) => Number(mm.toFixed(3))).sort((a, b) => a - b);
}

/** A step beyond the tightest, as far from it as it is from its neighbour. */
export function oneMore(allowancesMm: readonly number[]): readonly number[] {
  const last = allowancesMm.at(-1) ?? 0;
  const before = allowancesMm.at(-2) ?? last - 0.02;
  return inSteps([...allowancesMm, Math.min(1, last + Math.max(0.005, last - before))]);
}
