import { z } from 'zod';
import { idSchema } from './fields.ts';

/** Names a piece in addresses, like every other document. */
export const pieceIdSchema = idSchema;

/** One line of the register of pieces. */
export const pieceEntrySchema = z.strictObject({
  id: pieceIdSchema,
  name: z.string(),
  /** Counts the saved versions, from 1; a demo piece that was never saved is version 1. */
  version: z.int().min(1),
  /** When this version was saved, ISO 8601 UTC; null for a demo piece that was never saved. */
  savedAt: z.iso.datetime().nullable(),
  /** When it was put aside; absent while it is in use. */
  deletedAt: z.iso.datetime().optional(),
  /** Of a copy: what it was copied from. */
  copyOf: z.strictObject({ id: pieceIdSchema, version: z.int().min(0) }).optional(),
});
export type PieceEntry = z.infer<typeof pieceEntrySchema>;

/** A piece of the workspace that lists as a piece but cannot be read as one. */
export const unreadablePieceSchema = z.strictObject({ id: z.string(), detail: z.string() });
export type UnreadablePiece = z.infer<typeof unreadablePieceSchema>;

/** Answer of `GET /api/pieces`. */
export const pieceRegisterSchema = z.strictObject({
  pieces: z.array(pieceEntrySchema),
  unreadable: z.array(unreadablePieceSchema),
});
export type PieceRegister = z.infer<typeof pieceRegisterSchema>;

/** An id made from a name; `fallback` where nothing of the name can stand in an address. */
export function idFrom(name: string, fallback: string): string {
  const id = name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, 60)
    .replace(/^-+|-+$/g, '');
  return id === '' ? fallback : id;
}

/** An id made from a piece's name. */
export function pieceIdFrom(name: string): string {
  return idFrom(name, 'piece');
}
