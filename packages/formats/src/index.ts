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
export { readFit, writeFit } from './fit-file/fit-file.ts';
export { type LengthReading, parseLength } from './length/parse-length.ts';
export { readPiece, writePiece } from './piece-file/piece-file.ts';
export { PIECE_FORMAT, PIECE_VERSION } from './piece-file/schema.ts';
export { readTrial, type TrialFile, trialResults, trialSchema, writeTrial } from './trial-file/trial-file.ts';
export { type Health, healthSchema } from './wire/health.ts';
export {
  type PieceEntry,
  type PieceRegister,
  pieceEntrySchema,
  pieceIdFrom,
  pieceIdSchema,
  pieceRegisterSchema,
  type UnreadablePiece,
} from './wire/piece-entry.ts';
export { type Problem, problemSchema } from './wire/problem.ts';
