import { type Curve, circleCurve, type Point, transformCurve, translation } from '@inlaywright/geometry';
import type { FitRecord } from '../fit/fit-record.ts';
import type { CutSheet, MarkStroke, PlacedPart } from '../parts/cut-sheet-model.ts';
import { letteringStrokes, letteringWidth } from '../parts/single-line-lettering.ts';
import { layoutAt, tightestLayout } from './coupon-layout.ts';
import { roundedRectangle, roundedSquare } from './coupon-outline.ts';

/**
 * Coupons: what is cut to measure a fit. Three on one sheet, each numbered as the form that takes the results:
 * a ladder of plugs and sockets with graded allowances (discs and rounded squares in turn), a two-face gauge
 * (a square cut once: hole minus plug is twice the kerf at each face, in x and in y), and slats for each axis
 * (ten strips drawn side by side with waste between: pushed together they measure ten times drawn width less kerf).
 * The plugs of the ladder are turned over before they are tried, as inlays are; their shapes are their own mirror images.
 */

export interface CouponOptions {
  readonly stock: string;
  /** Thickness of the stock, mm: sets how small a plug can be and still be held. */
  readonly thicknessMm: number;
  /** Kerf that the paths are drawn for, mm; the best guess there is. */
  readonly drawnKerfMm: number;
  /** Allowances of the ladder, mm a side, loose to tight. */
  readonly allowancesMm: readonly number[];
  /** What may be used of the machine's bed or the sheet, mm. */
  readonly widthMm: number;
  readonly heightMm: number;
  readonly gauge: boolean;
  readonly slats: boolean;
}

export interface CouponStep {
  readonly step: number;
  readonly allowanceMm: number;
  readonly shape: 'disc' | 'rounded square';
}

export interface Coupon {
  readonly sheet: CutSheet;
  readonly steps: readonly CouponStep[];
  readonly drawnKerfMm: number;
  /** Sizes as drawn, mm, that the readings are compared with. */
  readonly gaugeMm?: number;
  readonly slats?: { readonly drawnMm: number; readonly cuts: number };
}

/** Eight steps of 0.02 mm around what commonly presses; test pieces step by about 0.04 mm (common practice, no published source). */
export const FIRST_LADDER: readonly number[] = [-0.04, -0.02, 0, 0.02, 0.04, 0.06, 0.08, 0.1];

/** Bridges between cuts, mm: cuts closer than 0.5 mm can burn away (bureau rule; common practice, no published source). */
const WEB_MM = 3;
const LABEL_MM = 2.5;
const GAUGE_MM = 20;
const SLAT_MM = 4;
const SLAT_LENGTH_MM = 12;
const SLATS = 10;

/** A block of the coupon in its own frame, its lower left corner at the origin. */
interface Block {
  readonly part: string;
  readonly label: string;
  readonly turned: boolean;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly contours: readonly { readonly role: 'inside' | 'outside'; readonly curve: Curve }[];
  readonly marks: readonly MarkStroke[];
}

/** Discs and rounded squares in turn, so that neighbours are told apart by touch. */
export function stepShape(step: number): CouponStep['shape'] {
  return step % 2 === 1 ? 'disc' : 'rounded square';
}

/**
 * Draws the coupon. Throws RangeError where a single block is larger than the space, with both sizes.
 */
export function drawCoupon(options: CouponOptions): Coupon {
  const plugMm = Math.max(8, 2.5 * options.thicknessMm);
  const steps = options.allowancesMm.map(
    (allowanceMm, i): CouponStep => ({
      step: i + 1,
      allowanceMm,
      shape: stepShape(i + 1),
    }),
  );
  const blocksFor = (widthMm: number): Block[] => [
    ...socketPlates(steps, plugMm, { ...options, widthMm }),
    ...steps.map((step) => plug(step, plugMm, options.drawnKerfMm)),
    ...(options.gauge ? [gaugeBlock()] : []),
    ...(options.slats ? [slatsBlock('x'), slatsBlock('y')] : []),
  ];
  const placed = onSheet(blocksFor, options);
  const record: FitRecord = {
    kerfEntry: { xMm: options.drawnKerfMm, yMm: options.drawnKerfMm },
    kerfExit: { xMm: options.drawnKerfMm, yMm: options.drawnKerfMm },
    allowanceMm: 0,
  };
  return {
    sheet: {
      piece: `fit trial ${options.stock}`,
      stock: options.stock,
      widthMm: placed.widthMm,
      heightMm: placed.heightMm,
      parts: placed.parts,
      fit: { coupon: record },
      seams: [],
    },
    steps,
    drawnKerfMm: options.drawnKerfMm,
    ...(options.gauge ? { gaugeMm: GAUGE_MM } : {}),
    ...(options.slats ? { slats: { drawnMm: SLAT_MM * SLATS, cuts: SLATS } } : {}),
  };
}

function shapeCurve(shape: CouponStep['shape'], centre: Point, sizeMm: number, growMm: number): Curve {
  return shape === 'disc'
    ? circleCurve(centre, sizeMm / 2 + growMm)
    : roundedSquare(centre, sizeMm + 2 * growMm, sizeMm / 5 + growMm);
}

/** Plates of sockets, as many to a plate as the space is wide. */
function socketPlates(steps: readonly CouponStep[], plugMm: number, options: CouponOptions): Block[] {
  const cell = plugMm + WEB_MM;
  const perRow = Math.max(1, Math.floor((options.widthMm - 2 * WEB_MM - WEB_MM) / cell));
  const plates: Block[] = [];
  for (let first = 0; first < steps.length; first += perRow) {
    const row = steps.slice(first, first + perRow);
    const widthMm = row.length * cell + WEB_MM;
    const heightMm = plugMm + LABEL_MM + 3.5 * WEB_MM;
    const contours: Block['contours'][number][] = [];
    const marks: MarkStroke[] = [];
    row.forEach((step, i) => {
      const centre = { x: WEB_MM + i * cell + plugMm / 2, y: WEB_MM + plugMm / 2 };
      // The beam's middle runs half a kerf inside the socket's wall.
      contours.push({
        role: 'inside',
        curve: shapeCurve(step.shape, centre, plugMm, -options.drawnKerfMm / 2),
      });
      marks.push(...centred(String(step.step), { x: centre.x, y: plugMm + 2 * WEB_MM }));
    });
    contours.push({ role: 'outside', curve: roundedRectangle({ x: 0, y: 0 }, widthMm, heightMm, 1.5) });
    plates.push({
      part: `sockets-${plates.length + 1}`,
      label: '',
      turned: false,
      widthMm,
      heightMm,
      contours,
      marks,
    });
  }
  return plates;
}

function plug(step: CouponStep, plugMm: number, drawnKerfMm: number): Block {
  const grow = step.allowanceMm + drawnKerfMm / 2;
  const size = plugMm + 2 * grow;
  const centre = { x: size / 2, y: size / 2 };
  return {
    part: `plug-${step.step}`,
    label: String(step.step),
    turned: true,
    widthMm: size,
    heightMm: size,
    contours: [{ role: 'outside', curve: shapeCurve(step.shape, centre, plugMm, grow) }],
    marks: centred(String(step.step), { x: centre.x, y: centre.y - LABEL_MM / 2 }),
  };
}

/** A frame with a square hole; the square that falls out is the gauge's plug. Corners are round so that the jaws lie on flats. */
function gaugeBlock(): Block {
  const size = GAUGE_MM + 4 * WEB_MM;
  const height = size + LABEL_MM + WEB_MM;
  const centre = { x: size / 2, y: size / 2 };
  return {
    part: 'gauge',
    label: 'G',
    turned: false,
    widthMm: size,
    heightMm: height,
    contours: [
      { role: 'inside', curve: roundedSquare(centre, GAUGE_MM, 3) },
      { role: 'outside', curve: roundedRectangle({ x: 0, y: 0 }, size, height, 1.5) },
    ],
    marks: [
      ...centred('G', { x: centre.x, y: size - WEB_MM / 2 }),
      ...letteringStrokes('X', {
        at: { x: centre.x + GAUGE_MM / 2 - 4, y: centre.y - LABEL_MM / 2 },
        heightMm: LABEL_MM,
      }),
    ],
  };
}

/** Strips whose width lies along one axis. Each is cut all round once, so that no line is cut twice. */
function slatsBlock(axis: 'x' | 'y'): Block {
  const pitch = SLAT_MM + WEB_MM;
  const along = SLATS * pitch - WEB_MM;
  const letter = axis.toUpperCase();
  const contours: Block['contours'][number][] = [];
  const marks: MarkStroke[] = [];
  for (let i = 0; i < SLATS; i++) {
    const at = axis === 'x' ? { x: i * pitch, y: 0 } : { x: 0, y: i * pitch };
    const [w, h] = axis === 'x' ? [SLAT_MM, SLAT_LENGTH_MM] : [SLAT_LENGTH_MM, SLAT_MM];
    contours.push({ role: 'outside', curve: roundedRectangle(at, w, h, 0) });
    marks.push(...centred(letter, { x: at.x + w / 2, y: at.y + h / 2 - LABEL_MM / 2 }));
  }
  const [widthMm, heightMm] = axis === 'x' ? [along, SLAT_LENGTH_MM] : [SLAT_LENGTH_MM, along];
  return { part: `slats-${axis}`, label: letter, turned: false, widthMm, heightMm, contours, marks };
}

function centred(text: string, at: Point): MarkStroke[] {
  const width = letteringWidth(text, LABEL_MM);
  return letteringStrokes(text, { at: { x: at.x - width / 2, y: at.y }, heightMm: LABEL_MM });
}

/** The blocks on a sheet as small as they allow, within the space. */
function onSheet(
  blocksFor: (widthMm: number) => Block[],
  options: CouponOptions,
): { parts: PlacedPart[]; widthMm: number; heightMm: number } {
  const blocks = blocksFor(options.widthMm);
  for (const block of blocks) {
    if (block.widthMm + 2 * WEB_MM <= options.widthMm && block.heightMm + 2 * WEB_MM <= options.heightMm)
      continue;
    throw new RangeError(
      `The coupon's ${block.part} needs ${(block.widthMm + 2 * WEB_MM).toFixed(0)} x ${(block.heightMm + 2 * WEB_MM).toFixed(0)} mm; ` +
        `the space is ${options.widthMm} x ${options.heightMm} mm. Use a larger piece of the stock, or leave that part out.`,
    );
  }
  const layout = tightestLayout(blocksFor, options, WEB_MM);
  if (!layout) {
    const { heightMm } = layoutAt(blocks, options.widthMm, WEB_MM);
    throw new RangeError(
      `The coupon needs ${heightMm.toFixed(0)} mm of height at ${options.widthMm} mm of width; the space has ${options.heightMm} mm. ` +
        'Use fewer steps, leave the slats out, or give more space.',
    );
  }
  const { widthMm, heightMm } = layout;
  return {
    widthMm,
    heightMm,
    parts: layout.places.map(({ block, x, top }) => placed(block, x, heightMm - top - block.heightMm)),
  };
}

function placed(block: Block, dxMm: number, dyMm: number): PlacedPart {
  const move = translation(dxMm, dyMm);
  return {
    part: block.part,
    hand: 'single',
    label: block.label,
    tone: 'coupon',
    turned: block.turned,
    // Plugs are their own mirror images, so that a turned one needs no mirrored path.
    placement: { mirrored: false, angleDeg: 0, dxMm, dyMm },
    contours: block.contours.map(({ role, curve }) => ({ role, curve: transformCurve(curve, move) })),
    marks: block.marks.map((mark) => ({
      points: mark.points.map((point) => ({ x: point.x + dxMm, y: point.y + dyMm })),
    })),
  };
}
