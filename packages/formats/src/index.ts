export { FormatError } from './errors.ts';
export { readFit, writeFit } from './fit-file/fit-file.ts';
export { type LengthReading, parseLength } from './length/parse-length.ts';
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
