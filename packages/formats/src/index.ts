export type {
  Artwork,
  ArtworkArea,
  ArtworkFill,
  ArtworkOptions,
  ArtworkWarning,
  ElementPlace,
} from './artwork/artwork.ts';
export { type ArtworkToPieceOptions, artworkToPiece } from './artwork/artwork-to-piece.ts';
export { readArtwork } from './artwork/read-artwork.ts';
export { ARTWORK_WARNINGS, type ArtworkWarningCode } from './artwork/warnings.ts';
export type { CutSheetRead } from './cut-file/assemble-sheet.ts';
export { CUT_CAUTIONS } from './cut-file/cautions.ts';
export { cutFiles, fileStem, type NamedText } from './cut-file/cut-files.ts';
export { type CutListRow, cutListRows, writeCutList } from './cut-file/cut-list.ts';
export { readCutDxf } from './cut-file/read-dxf.ts';
export { readCutSvg } from './cut-file/read-svg.ts';
export { CUT_ROLES, type CutRole, type RoleEntry, type RoleLine } from './cut-file/roles.ts';
export { writeCutDxf } from './cut-file/write-dxf.ts';
export { type CutSvgOptions, writeCutSvg } from './cut-file/write-svg.ts';
export { FormatError } from './errors.ts';
export {
  type FitRecordFile,
  fitRecordFromFile,
  fitRecordSchema,
  fitRecordToFile,
  readFit,
  writeFit,
} from './fit-file/fit-file.ts';
export { type LengthReading, parseLength } from './length/parse-length.ts';
export { type PathFault, type PathReading, readPathData } from './piece-file/path-data.ts';
export { readPiece, writePiece } from './piece-file/piece-file.ts';
export { PIECE_FORMAT, PIECE_VERSION } from './piece-file/schema.ts';
export {
  type CouponSheet,
  type CouponSheetOptions,
  couponSheet,
} from './trial-file/coupon-files.ts';
export {
  daysBetween,
  type JudgeTrialsOptions,
  judgeTrials,
  type NamedTrial,
} from './trial-file/judge-trials.ts';
export { readTrial, type TrialFile, trialResults, trialSchema, writeTrial } from './trial-file/trial-file.ts';
export {
  type BatchBody,
  batchSchema,
  type OrderBody,
  orderSchema,
} from './wire/batch.ts';
export { type Change, changeSchema } from './wire/change.ts';
export {
  type Answer,
  type ChangeListener,
  type ChangeSource,
  type Fetch,
  type ListOptions,
  type Once,
  type PieceText,
  type RecordQuestion,
  type WorkspaceClient,
  watchChanges,
  workspaceClient,
} from './wire/client.ts';
export {
  ALL_KINDS,
  BODY_SCHEMAS,
  type BodyOf,
  DOCUMENT_KINDS,
  type Document,
  type DocumentKind,
  type DraftOf,
  documentListSchema,
  documentSchema,
  type Kind,
  kindSchema,
  type VersionList,
  versionListSchema,
} from './wire/document.ts';
export { idSchema, type Price, priceField } from './wire/fields.ts';
export {
  AIMED_GRADES,
  type AimedGrade,
  aimedGradeSchema,
  estimateSchema,
  type FitRecordBody,
  fitRecordBodySchema,
  type OutcomeBody,
  outcomeSchema,
  type PreferencesBody,
  preferencesSchema,
  SEAM_OUTCOMES,
  type TrialBody,
  trialBodySchema,
} from './wire/fit-book.ts';
export {
  type CouponAnswer,
  type CouponRequest,
  couponAnswerSchema,
  couponRequestSchema,
  type JudgeRequest,
  judgementSchema,
  judgeRequestSchema,
  type RecordLookup,
  recordLookupSchema,
  type WeighRequest,
  type WireJudgement,
  weighRequestSchema,
  wireFindingSchema,
} from './wire/fit-requests.ts';
export { type Health, healthSchema } from './wire/health.ts';
export { type MachineBody, machineSchema, type SettingBody, settingSchema } from './wire/machine.ts';
export {
  type Caution,
  cautionSchema,
  figureSchema,
  MATERIAL_TYPES,
  type MaterialBody,
  type MaterialEntry,
  type MaterialTable,
  materialEntrySchema,
  materialSchema,
  materialTableSchema,
  type StockBody,
  stockSchema,
} from './wire/material.ts';
export {
  idFrom,
  type PieceEntry,
  type PieceRegister,
  pieceEntrySchema,
  pieceIdFrom,
  pieceIdSchema,
  pieceRegisterSchema,
  type UnreadablePiece,
} from './wire/piece-entry.ts';
export {
  CONFLICT_TYPE,
  type Conflict,
  conflictSchema,
  type Problem,
  problemCode,
  problemSchema,
} from './wire/problem.ts';
export { kindRoutes, ROUTES, type Route } from './wire/routes.ts';
export {
  type SessionList,
  type SessionState,
  type Share,
  sessionListSchema,
  sessionStateSchema,
  shareSchema,
  signInSchema,
} from './wire/session.ts';
export {
  type FindingItemBody,
  findingItemSchema,
  outlineField,
  type SheetBody,
  sheetSchema,
} from './wire/sheet.ts';
