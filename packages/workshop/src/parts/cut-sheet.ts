/**
 * Parts side by side, one sheet per stock: simple rows, no nesting. Each part is mirrored if it is turned, labelled,
 * and carries how it came onto the sheet, so that the file alone can be assembled again.
 *
 * Mirroring. A turned part is cut mirrored (x to -x) and turned over at assembly. The right partner of a pair is the
 * mirror image of the drawing. A turned part of a right partner is mirrored twice, that is, not at all.
 *
 * Labels are marked on the face that lies up on the bed, before anything is cut loose, and read the right way round
 * there. On a part that is not turned this is the show face: mark so weakly that only the masking tape takes the
 * mark, it leaves with the tape. On a turned part it is the back. (That the top of each part is marked, on the tape,
 * before it leaves the bed: common practice, no published source.)
 *
 * Order within a part: marks, inside contours, outside contour. A part that is cut loose first can shift.
 */
import {
  type Affine,
  apply,
  type Bounds,
  type Curve,
  curveBounds,
  reverseCurve,
  transformCurve,
} from '@inlaywright/geometry';
import type { FitByTone, FitRecord } from '../fit/fit-record.ts';
import type { Mosaic } from '../mosaic/model.ts';
import { type PlacedLabel, placeLabel } from './cut-sheet-label.ts';
import type { CutSheet, PlacedPart, Placement } from './cut-sheet-model.ts';
import { placementTransform } from './cut-sheet-placement.ts';
import type { Compensation, PartCut } from './model.ts';
import { TURN_SIGN } from './single-line-lettering.ts';

/** Paths of two parts keep at least this plus the kerf, mm, so that a burnt edge does not weaken its neighbour. */
export const MIN_PART_SPACING_MM = 3;
/** Strokes of a label keep this plus half the kerf from the path that frees the part, mm. */
const LABEL_CLEARANCE_MM = 0.3;
const MARGIN_MM = 5;
/** Rows are filled up to this length, mm: what fits the bed of a desktop laser cutter. Common practice, no published source. */
const LONGEST_ROW_MM = 280;

export interface CutSheetOptions {
  /** Name of the piece. */
  readonly piece: string;
  readonly fit: FitByTone;
  /** Stock by tone; a tone without one is cut from a stock of its own name. */
  readonly stockOfTone: Readonly<Record<string, string>>;
  /** Make a left partner as drawn and a right one mirrored. */
  readonly pair: boolean;
  /** Free material between parts, mm; at least MIN_PART_SPACING_MM is kept. The kerf comes on top. */
  readonly gapMm?: number;
  /** Mark part numbers; true when absent. */
  readonly labels?: boolean;
}

/** A part before it has its place: drawn in a frame of its own, mirrored as it will be cut. */
interface Block {
  readonly cut: PartCut;
  readonly hand: PlacedPart['hand'];
  readonly mirrored: boolean;
  readonly label: string;
  readonly curves: readonly { readonly role: 'inside' | 'outside'; readonly curve: Curve }[];
  readonly placedLabel: PlacedLabel | null;
  readonly bounds: Bounds;
}

/** The fit record of a tone. */
export function fitOfTone(fit: FitByTone, tone: string): FitRecord {
  return fit.byTone[tone] ?? fit.default;
}

/**
 * Lays the compensated parts out, one sheet per stock in order of first use. Every sheet starts at a margin, all
 * coordinates are positive. Parts whose beam path vanished are left out; compensation has reported them.
 */
export function cutSheets(compensation: Compensation, mosaic: Mosaic, options: CutSheetOptions): CutSheet[] {
  const byStock = new Map<string, PartCut[]>();
  for (const cut of compensation.cuts) {
    if (cut.contours.length === 0) continue;
    const stock = options.stockOfTone[cut.tone] ?? cut.tone;
    const cuts = byStock.get(stock);
    if (cuts) cuts.push(cut);
    else byStock.set(stock, [cut]);
  }
  const hands = options.pair ? (['left', 'right'] as const) : (['single'] as const);
  return [...byStock].map(([stock, cuts]) => {
    const blocks = hands.flatMap((hand) => cuts.map((cut) => block(cut, hand, options)));
    const tones = [...new Set(cuts.map((cut) => cut.tone))];
    const kerfMm = Math.max(...tones.map((tone) => widestKerf(fitOfTone(options.fit, tone))));
    const spacing = Math.max(MIN_PART_SPACING_MM, options.gapMm ?? 0) + kerfMm;
    return {
      piece: options.piece,
      stock,
      ...rows(blocks, spacing),
      fit: Object.fromEntries(tones.map((tone) => [tone, fitOfTone(options.fit, tone)])),
      seams: mosaic.seams,
    };
  });
}

function widestKerf(fit: FitRecord): number {
  return Math.max(fit.kerfEntry.xMm, fit.kerfEntry.yMm, fit.kerfExit.xMm, fit.kerfExit.yMm);
}

function block(cut: PartCut, hand: PlacedPart['hand'], options: CutSheetOptions): Block {
  const mirrored = cut.turned !== (hand === 'right');
  const frame = placementTransform({ mirrored, angleDeg: 0, dxMm: 0, dyMm: 0 });
  const insideFirst = [...cut.contours].sort((p, q) => rank(p.role) - rank(q.role));
  const curves = insideFirst.map(({ role, curve }) => ({ role, curve: placedCurve(curve, frame, mirrored) }));
  const paths = curves.map(({ curve }) => curve);
  const partBounds = joined(paths.map(curveBounds));
  const handSign = hand === 'single' ? '' : hand === 'left' ? 'L' : 'R';
  const label = `${cut.part.replace(/^p(?=\d+$)/, '')}${handSign}${cut.turned ? TURN_SIGN : ''}`;
  const clearance = widestKerf(fitOfTone(options.fit, cut.tone)) / 2 + LABEL_CLEARANCE_MM;
  const placedLabel = options.labels === false ? null : placeLabel(label, paths, partBounds, clearance);
  const bounds = placedLabel?.place === 'below' ? joined([partBounds, placedLabel.bounds]) : partBounds;
  return { cut, hand, mirrored, label, curves, placedLabel, bounds };
}

function rank(role: 'inside' | 'outside'): number {
  return role === 'inside' ? 0 : 1;
}

/** Mirroring flips the direction of travel; turned back, so that solid stays on the left of every path. */
function placedCurve(curve: Curve, frame: Affine, mirrored: boolean): Curve {
  return mirrored ? reverseCurve(transformCurve(curve, frame)) : curve;
}

function joined(boxes: readonly Bounds[]): Bounds {
  return {
    minX: Math.min(...boxes.map((box) => box.minX)),
    minY: Math.min(...boxes.map((box) => box.minY)),
    maxX: Math.max(...boxes.map((box) => box.maxX)),
    maxY: Math.max(...boxes.map((box) => box.maxY)),
  };
}

/** Rows of blocks, highest first, filled from the lower left; a row's blocks stand on its lower edge. */
function rows(
  blocks: readonly Block[],
  spacing: number,
): { widthMm: number; heightMm: number; parts: PlacedPart[] } {
  const width = (b: Block): number => b.bounds.maxX - b.bounds.minX;
  const height = (b: Block): number => b.bounds.maxY - b.bounds.minY;
  const cells = blocks.reduce((sum, b) => sum + (width(b) + spacing) * (height(b) + spacing), 0);
  const widest = Math.max(...blocks.map(width));
  const rowLength = Math.max(widest, Math.min(LONGEST_ROW_MM, 1.3 * Math.sqrt(cells)));
  const order = blocks
    .map((_, index) => index)
    .sort((i, j) => height(blocks[j]!) - height(blocks[i]!) || i - j);
  const parts = new Array<PlacedPart>(blocks.length);
  let x = MARGIN_MM;
  let y = MARGIN_MM;
  let rowHeight = 0;
  let right = MARGIN_MM;
  for (const index of order) {
    const next = blocks[index]!;
    if (x > MARGIN_MM && x + width(next) > MARGIN_MM + rowLength) {
      y += rowHeight + spacing;
      x = MARGIN_MM;
      rowHeight = 0;
    }
    const dx = roundUp(x - next.bounds.minX);
    const dy = roundUp(y - next.bounds.minY);
    parts[index] = placed(next, dx, dy);
    right = Math.max(right, dx + next.bounds.maxX);
    rowHeight = Math.max(rowHeight, dy + next.bounds.maxY - y);
    x = dx + next.bounds.maxX + spacing;
  }
  return { widthMm: Math.ceil(right + MARGIN_MM), heightMm: Math.ceil(y + rowHeight + MARGIN_MM), parts };
}

/** Shifts are whole micrometres, so that a file holds them exactly. Upwards: spacing and margin never shrink below theirs. */
function roundUp(shift: number): number {
  return Math.ceil(shift * 1000 - 1e-6) / 1000;
}

function placed(b: Block, dxMm: number, dyMm: number): PlacedPart {
  const placement: Placement = { mirrored: b.mirrored, angleDeg: 0, dxMm, dyMm };
  const move = placementTransform({ mirrored: false, angleDeg: 0, dxMm, dyMm });
  return {
    part: b.cut.part,
    hand: b.hand,
    label: b.label,
    tone: b.cut.tone,
    turned: b.cut.turned,
    placement,
    contours: b.curves.map(({ role, curve }) => ({ role, curve: transformCurve(curve, move) })),
    marks: (b.placedLabel?.strokes ?? []).map(({ points }) => ({
      points: points.map((p) => apply(move, p)),
    })),
  };
}
