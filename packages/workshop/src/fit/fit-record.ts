/** Kerf in the two axes of the machine, mm. */
export interface KerfXY {
  readonly xMm: number;
  readonly yMm: number;
}

/** How one machine cuts one stock with one setting, as far as compensation and dry fit need it. */
export interface FitRecord {
  readonly kerfEntry: KerfXY;
  readonly kerfExit: KerfXY;
  /** Overlap per side designed into a seam, mm; positive presses, negative is loose. */
  readonly allowanceMm: number;
  /** Standard deviation of a seam's gap from cut to cut, mm; absent where nobody measured it. */
  readonly scatterMm?: number;
  /** Gaps (mm, signed, negative is interference) that count as the chosen grade of fit. */
  readonly gradeGapMm?: { readonly min: number; readonly max: number };
}

/** Fit records by tone; tones without their own use `default`. */
export interface FitByTone {
  readonly default: FitRecord;
  readonly byTone: Readonly<Record<string, FitRecord>>;
}
