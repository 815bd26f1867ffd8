/** The piece file, version 1, as zod sees it. docs/piece-file.md is the same in words. */
import { LARGEST_MM, MOST_CORNERS, SMALLEST_MM } from '@inlaywright/workshop';
import { z } from 'zod';

export const PIECE_FORMAT = 'inlaywright-piece';
export const PIECE_VERSION = 1;
/** The oldest Inlaywright that reads this version; written into every file, so that an older one can name it. */
export const PIECE_NEEDS = '0.1.0';

const size = z
  .number()
  .min(SMALLEST_MM, `must be at least ${SMALLEST_MM} mm`)
  .max(LARGEST_MM, `must be at most ${LARGEST_MM} mm`);
const coordinate = z
  .number()
  .min(-LARGEST_MM, `must lie between ${-LARGEST_MM} and ${LARGEST_MM} mm`)
  .max(LARGEST_MM, `must lie between ${-LARGEST_MM} and ${LARGEST_MM} mm`);
const radius = z
  .number()
  .min(0, 'must be 0 (sharp) or more')
  .max(LARGEST_MM, `must be at most ${LARGEST_MM} mm`);
const count = z
  .int('must be a whole number')
  .min(3, 'must be at least 3')
  .max(MOST_CORNERS, `must be at most ${MOST_CORNERS}`);
const placed = {
  centre: z.strictObject({ x: coordinate, y: coordinate }),
  angleDeg: z.number().optional(),
};

export const shapeSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('disc'), ...placed, diameterMm: size }),
  z.strictObject({ kind: z.literal('ellipse'), ...placed, widthMm: size, heightMm: size }),
  z.strictObject({ kind: z.literal('rectangle'), ...placed, widthMm: size, heightMm: size }),
  z.strictObject({ kind: z.literal('regular-polygon'), ...placed, sides: count, diameterMm: size }),
  z.strictObject({ kind: z.literal('trapezoid'), ...placed, bottomMm: size, topMm: size, heightMm: size }),
  z.strictObject({ kind: z.literal('drop'), ...placed, widthMm: size, lengthMm: size }),
  z.strictObject({
    kind: z.literal('crescent'),
    ...placed,
    diameterMm: size,
    biteDiameterMm: size,
    biteOffsetMm: size,
  }),
  z.strictObject({ kind: z.literal('leaf'), ...placed, lengthMm: size, widthMm: size }),
  z.strictObject({ kind: z.literal('ring'), ...placed, outerDiameterMm: size, innerDiameterMm: size }),
  z.strictObject({
    kind: z.literal('star'),
    ...placed,
    points: count,
    outerDiameterMm: size,
    innerDiameterMm: size,
  }),
  z.strictObject({
    kind: z.literal('path'),
    fillRule: z.enum(['nonzero', 'evenodd']).optional(),
    d: z.string(),
  }),
]);

const toneSchema = z.strictObject({
  id: z.string().regex(/^[a-z0-9-]+$/, 'must be made of a-z, 0-9 and -'),
  name: z.string(),
  colour: z.string().regex(/^#[0-9a-fA-F]{6}$/, 'must be #rrggbb'),
  grainDeg: z.number().optional(),
});

const areaSchema = z.strictObject({
  id: z.string().min(1, 'must not be empty'),
  name: z.string().optional(),
  tone: z.string(),
  shape: shapeSchema,
  cornerRadiiMm: z.union([radius, z.array(radius)]).optional(),
  extendsOutline: z.boolean().optional(),
});

export const pieceFileSchema = z.strictObject({
  format: z.literal(PIECE_FORMAT),
  version: z.literal(PIECE_VERSION),
  needs: z.string().optional(),
  name: z.string(),
  pair: z.boolean().optional(),
  tones: z.array(toneSchema),
  areas: z.array(areaSchema),
});

export type PieceFile = z.infer<typeof pieceFileSchema>;
export type ShapeFile = z.infer<typeof shapeSchema>;
