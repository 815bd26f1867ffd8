/** The five grades of a step, from loose to tight. */
export const GRADES = [
  'falls through',
  'slides',
  'presses by hand',
  'needs a mallet',
  'will not go',
] as const;

export type Grade = (typeof GRADES)[number];

/** A plug tried in its socket. */
export interface StepResult {
  /** Number of the step as marked on the coupon. */
  readonly step: number;
  /** Allowance designed into the step, mm a side. */
  readonly allowanceMm: number;
  readonly grade: Grade;
}

export type Axis = 'x' | 'y';
export type Face = 'entry' | 'exit';

/** Repeat readings of one size with a caliper, mm. */
export type Readings = readonly number[];

/** Slats: what a known length lost to a number of parallel cuts, read at one face. */
export interface SlatsReading {
  readonly kind: 'slats';
  /** Axis across the cuts: the one whose kerf this measures. */
  readonly axis: Axis;
  readonly face: Face;
  readonly cuts: number;
  /** Length before cutting, or as drawn between the outer beam lines, mm. */
  readonly drawnMm: number;
  /** Length of all slats pushed together after cutting, mm. */
  readonly measuredMm: Readings;
}

/** Two-face gauge: a hole and the plug that came out of it; hole - plug is twice the kerf at that face and axis. */
export interface TwoFaceReading {
  readonly kind: 'two-face';
  readonly axis: Axis;
  readonly face: Face;
  readonly holeMm: Readings;
  readonly plugMm: Readings;
}

/** A caliper as its maker states it. */
export interface Caliper {
  readonly resolutionMm: number;
  /** Largest permissible error, plus or minus, mm. */
  readonly largestErrorMm: number;
}

/** Common 150 mm digital caliper: 0.01 mm steps, within 0.02 mm (ISO 13385-1 style; from memory). */
export const COMMON_CALIPER: Caliper = { resolutionMm: 0.01, largestErrorMm: 0.02 };

/** A cut coupon of graded allowances, with what the maker saw and measured. */
export interface FitTrial {
  /** Kerf that the coupon's beam paths were drawn for, mm. */
  readonly drawnKerfMm: number;
  /** Plugs were turned over before they were tried, as inlays are. */
  readonly turned: boolean;
  readonly steps: readonly StepResult[];
  readonly readings: readonly (SlatsReading | TwoFaceReading)[];
  readonly caliper: Caliper;
}
