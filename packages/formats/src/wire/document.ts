import { z } from 'zod';
import { batchSchema, orderSchema } from './batch.ts';
import { idSchema } from './fields.ts';
import { fitRecordBodySchema, outcomeSchema, preferencesSchema, trialBodySchema } from './fit-book.ts';
import { machineSchema, settingSchema } from './machine.ts';
import { cautionSchema, materialSchema, stockSchema } from './material.ts';
import { findingItemSchema, sheetSchema } from './sheet.ts';

/**
 * What the workspace holds besides pieces, each kind under `/api/KIND`. Every save is a new version and the
 * older ones stay. Pieces travel as the text of their piece files (piece-entry.ts).
 */
export const BODY_SCHEMAS = {
  machines: machineSchema,
  settings: settingSchema,
  materials: materialSchema,
  stocks: stockSchema,
  sheets: sheetSchema,
  findings: findingItemSchema,
  trials: trialBodySchema,
  records: fitRecordBodySchema,
  outcomes: outcomeSchema,
  batches: batchSchema,
  orders: orderSchema,
  /** One document only, with the id `workshop`. */
  preferences: preferencesSchema,
} as const;

export type DocumentKind = keyof typeof BODY_SCHEMAS;
export const DOCUMENT_KINDS = Object.keys(BODY_SCHEMAS) as DocumentKind[];
export type BodyOf<K extends DocumentKind> = z.infer<(typeof BODY_SCHEMAS)[K]>;
/** A body as a caller may give it: fields with a default may be left out. */
export type DraftOf<K extends DocumentKind> = z.input<(typeof BODY_SCHEMAS)[K]>;

/** Everything that is versioned and told about in changes. */
export const ALL_KINDS = [...DOCUMENT_KINDS, 'pieces'] as const;
export type Kind = DocumentKind | 'pieces';
export const kindSchema = z.enum(ALL_KINDS as unknown as [Kind, ...Kind[]]);

/** What a saved document or version says of itself. */
const head = {
  id: idSchema,
  /** Counts the saves, from 1; the entity tag of the document. */
  version: z.int().min(1),
  savedAt: z.iso.datetime(),
  /** When it was put aside; null while it is in use. Deleted documents can be restored. */
  deletedAt: z.iso.datetime().nullable(),
  /** Of a copy: what it was copied from. */
  copyOf: z.strictObject({ id: idSchema, version: z.int().min(0) }).optional(),
} as const;

/** Things computed for the reader and never stored. */
const computed = {
  /** Of stocks and materials: what shops say of it under a laser; strictest first. */
  cautions: z.array(cautionSchema).optional(),
  /** Of a fit record: the newer record in force instead, null where it is in force itself. */
  supersededBy: idSchema.nullable().optional(),
} as const;

export interface Document<K extends DocumentKind = DocumentKind> {
  readonly kind: K;
  readonly id: string;
  readonly version: number;
  readonly savedAt: string;
  readonly deletedAt: string | null;
  readonly copyOf?: { readonly id: string; readonly version: number } | undefined;
  readonly body: BodyOf<K>;
  readonly cautions?: readonly z.infer<typeof cautionSchema>[] | undefined;
  readonly supersededBy?: string | null | undefined;
}

/** Checks one document of a kind as the server sends it. */
export function documentSchema<K extends DocumentKind>(kind: K): z.ZodType<Document<K>> {
  return z.strictObject({
    kind: z.literal(kind),
    ...head,
    body: BODY_SCHEMAS[kind],
    ...computed,
  }) as unknown as z.ZodType<Document<K>>;
}

/** Answer of `GET /api/KIND`. */
export function documentListSchema<K extends DocumentKind>(
  kind: K,
): z.ZodType<{ readonly items: readonly Document<K>[] }> {
  return z.strictObject({ items: z.array(documentSchema(kind)) }) as z.ZodType<{
    readonly items: readonly Document<K>[];
  }>;
}

/** Answer of `GET /api/KIND/ID/versions`, newest first. */
export const versionListSchema = z.strictObject({
  versions: z.array(
    z.strictObject({
      version: z.int().min(1),
      /** The version that the change started from; 0 for a new document. */
      basedOn: z.int().min(0),
      savedAt: z.iso.datetime(),
      name: z.string(),
    }),
  ),
});
export type VersionList = z.infer<typeof versionListSchema>;
