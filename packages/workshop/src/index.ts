export { type CutTime, cutTime, type Motion, pathTime, TYPICAL_MOTION } from './cut-time/cut-time.ts';
export { type DryFitOptions, dryFit, STATION_STEP_MM, VISIBLE_GAP_MM } from './dry-fit/dry-fit.ts';
export type { DryFit, GapFigures, GapSample, SeamFit } from './dry-fit/model.ts';
export { WorkshopError, type WorkshopErrorCode } from './errors.ts';
export type { Finding } from './finding.ts';
export { checkFit, MAX_ALLOWANCE_MM, MAX_KERF_MM } from './fit/check-fit.ts';
export type { FitByTone, FitRecord, KerfXY } from './fit/fit-record.ts';
export { plainFit } from './fit/plain-fit.ts';
export { expanded, type Size, sizeFromReadings } from './fit-trial/caliper.ts';
export {
  type Coupon,
  type CouponOptions,
  type CouponStep,
  drawCoupon,
  FIRST_LADDER,
  stepShape,
} from './fit-trial/coupon.ts';
export type { GradeWindow } from './fit-trial/grade-window.ts';
export {
  bracketed,
  type Judgement,
  type JudgeOptions,
  judge,
  type Weighed,
  weigh,
} from './fit-trial/judge.ts';
export { type Evidence, evidenceOf, joinEvidence } from './fit-trial/likelihood.ts';
export { outcomeEvidence, type SeamOutcome, weightOfAge } from './fit-trial/outcome.ts';
export type { Estimate } from './fit-trial/posterior.ts';
export {
  type Caliper,
  COMMON_CALIPER,
  type FitTrial,
  GRADES,
  type Grade,
  type SlatsReading,
  type StepResult,
  type TwoFaceReading,
} from './fit-trial/trial.ts';
export { defaultMakeOptions, type Made, type MakeOptions, make, makeParts } from './make/make.ts';
export { COMPOSITES, type Composite, compositeById, type Layer } from './material/composite.ts';
export { LASER_VERDICTS, type LaserVerdict, laserVerdicts } from './material/laser-safety.ts';
export {
  type Basis,
  FIGURES,
  type Figure,
  type FigureName,
  SPECIES,
  type Species,
  speciesById,
  type WoodHazard,
} from './material/species.ts';
export type { Mosaic, Part, Rim, Seam, Stretch } from './mosaic/model.ts';
export { defaultMosaicOptions, type MosaicOptions, mosaic } from './mosaic/mosaic.ts';
export { compensate } from './parts/compensate.ts';
export { type CutSheetOptions, cutSheets, fitOfTone, MIN_PART_SPACING_MM } from './parts/cut-sheet.ts';
export type { CutSheet, MarkStroke, PlacedPart, Placement } from './parts/cut-sheet-model.ts';
export { placementTransform } from './parts/cut-sheet-placement.ts';
export type { Compensation, CompensationOptions, CutContour, EasedCorner, PartCut } from './parts/model.ts';
export {
  type LetteringPlace,
  letteringStrokes,
  letteringWidth,
  TURN_SIGN,
} from './parts/single-line-lettering.ts';
export { checkPiece } from './piece/check-piece.ts';
export { largestCornerRadius } from './piece/largest-corner-radius.ts';
export type * from './piece/piece.ts';
export { PIERCING } from './piece/piece.ts';
export { type AreaCurves, areaCurves } from './piece/shape-curves.ts';
export { LARGEST_MM, MOST_CORNERS, SMALLEST_MM } from './piece/shape-limits.ts';
