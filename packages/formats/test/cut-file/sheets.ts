import {
  type ArcSegment,
  type Curve,
  circleCurve,
  type Point,
  polygonCurve,
  reverseCurve,
  type Segment,
} from '@inlaywright/geometry';
import type { CutSheet, FitRecord, PlacedPart } from '@inlaywright/workshop';
import fc from 'fast-check';

/** Printed by fast-check beside a counterexample; fixed, so that a failure repeats. */
export const SEED = 20_261_125;

/** The arc from `from` to `to` that turns by `sweep`, found by its own formula: half chord over sine of half the turn. */
export function arcBetween(from: Point, to: Point, sweep: number): ArcSegment {
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const radius = Math.abs(Math.hypot(dx, dy) / 2 / Math.sin(sweep / 2));
  const left = 1 / Math.tan(sweep / 2) / 2;
  const centre = { x: (from.x + to.x) / 2 - left * dy, y: (from.y + to.y) / 2 + left * dx };
  return { kind: 'arc', from, to, centre, radius, sweep };
}

/** A closed curve through the points; `sweeps[i]` bends the side that leaves point i, 0 keeps it straight. */
export function bentPolygon(points: readonly Point[], sweeps: readonly number[]): Curve {
  const segments = points.map((from, i): Segment => {
    const to = points[(i + 1) % points.length]!;
    const sweep = sweeps[i] ?? 0;
    return sweep === 0 ? { kind: 'line', from, to } : arcBetween(from, to, sweep);
  });
  return { segments };
}

export const FIT: FitRecord = {
  kerfEntry: { xMm: 0.18, yMm: 0.17 },
  kerfExit: { xMm: 0.13, yMm: 0.125 },
  allowanceMm: 0.03,
  scatterMm: 0.012,
  gradeGapMm: { min: -0.06, max: 0.01 },
};

/** A part of the tone `accent` with what a test gives. */
export function placedPart(
  part: string,
  contours: PlacedPart['contours'],
  rest: Partial<PlacedPart> = {},
): PlacedPart {
  return {
    part,
    hand: 'single',
    label: part.slice(1),
    tone: 'accent',
    turned: false,
    placement: { mirrored: false, angleDeg: 0, dxMm: 0, dyMm: 0 },
    contours,
    marks: [],
    ...rest,
  };
}

export function sheetOf(parts: readonly PlacedPart[], rest: Partial<CutSheet> = {}): CutSheet {
  return {
    piece: 'Seed pod',
    stock: 'holly-3mm',
    widthMm: 60,
    heightMm: 40,
    parts,
    fit: { accent: FIT },
    seams: [],
    ...rest,
  };
}

/** An L without any symmetry, its long leg level at the bottom, in mm of the sheet. */
export const ANGLE_PIECE: Curve = polygonCurve([
  { x: 5, y: 3 },
  { x: 30, y: 3 },
  { x: 30, y: 8 },
  { x: 12, y: 8 },
  { x: 12, y: 20 },
  { x: 5, y: 20 },
]);

/** Two parts of a seed pod with what the format can hold: lines, arcs, circles, marks, hands, turned, seams. */
export function seedPodSheet(): CutSheet {
  const leaf = bentPolygon(
    [
      { x: 40, y: 10 },
      { x: 40, y: 30 },
    ],
    [1.9, 1.9],
  );
  const hole = reverseCurve(circleCurve({ x: 8, y: 15.25 }, 0.8));
  const parts = [
    placedPart(
      'p1',
      [
        { role: 'inside', curve: hole },
        { role: 'outside', curve: ANGLE_PIECE },
      ],
      {
        hand: 'left',
        marks: [
          {
            points: [
              { x: 15, y: 4 },
              { x: 15, y: 6.5 },
              { x: 16.25, y: 6.5 },
            ],
          },
          {
            points: [
              { x: 18, y: 4 },
              { x: 18, y: 6 },
            ],
          },
        ],
      },
    ),
    placedPart('p2', [{ role: 'outside', curve: leaf }], {
      hand: 'left',
      turned: true,
      tone: 'vein',
      label: '2L',
      placement: { mirrored: true, angleDeg: 12.5, dxMm: 41.123456, dyMm: 1 / 3 },
    }),
    placedPart('p2', [{ role: 'outside', curve: circleCurve({ x: 52, y: 20 }, 4.5) }], {
      hand: 'right',
      turned: true,
      tone: 'vein',
      label: '2R',
    }),
  ];
  return sheetOf(parts, {
    fit: { accent: FIT, vein: { kerfEntry: FIT.kerfEntry, kerfExit: FIT.kerfExit, allowanceMm: -0.01 } },
    seams: [
      {
        id: 'p1-p2',
        a: 'p1',
        b: 'p2',
        lengthMm: 23.4567890123,
        stretches: [
          { closed: false, points: Float64Array.from([0, 0, 1.5, -2.000001, 3.25, 899.999999]) },
          { closed: true, points: Float64Array.from([-1, -1, 1, -1, 0, 1.25]) },
        ],
      },
    ],
  });
}

const coordinate = fc.double({ min: 40, max: 860, noNaN: true });
/** Turns of arcs: ordinary, near half and whole turns, nearly straight, and none. */
const sweep = fc.oneof(
  fc.constant(0),
  fc.double({ min: -6.2, max: 6.2, noNaN: true }).filter((s) => Math.abs(s) > 1e-3),
  fc.constantFrom(Math.PI, -Math.PI, Math.PI - 1e-7, Math.PI + 1e-7, 1e-5, -1e-4, 2 * Math.PI - 0.02),
);

/** Closed curves of lines and arcs around a centre, 0.03 to 30 mm across; arcs may cross, which writing must not mind. */
const bentCurve = fc
  .record({
    x: coordinate,
    y: coordinate,
    size: fc.oneof(
      fc.double({ min: 0.03, max: 0.3, noNaN: true }),
      fc.double({ min: 0.3, max: 15, noNaN: true }),
    ),
    corners: fc.array(fc.record({ reach: fc.double({ min: 0.4, max: 1, noNaN: true }), sweep }), {
      minLength: 3,
      maxLength: 9,
    }),
    clockwise: fc.boolean(),
  })
  .map(({ x, y, size, corners, clockwise }) => {
    const points = corners.map(({ reach }, i) => {
      const angle = (2 * Math.PI * i) / corners.length;
      return { x: x + size * reach * Math.cos(angle), y: y + size * reach * Math.sin(angle) };
    });
    // A nearly whole turn over the full chord would leave the sheet.
    const sweeps = corners.map((corner) =>
      Math.abs(corner.sweep) > 5 && size > 0.5 ? corner.sweep / 2 : corner.sweep,
    );
    const curve = bentPolygon(points, sweeps);
    return clockwise ? reverseCurve(curve) : curve;
  });

const circle = fc
  .record({
    x: coordinate,
    y: coordinate,
    radius: fc.double({ min: 0.01, max: 39, noNaN: true }),
    clockwise: fc.boolean(),
  })
  .map(({ x, y, radius, clockwise }) => {
    const curve = circleCurve({ x, y }, radius);
    return clockwise ? reverseCurve(curve) : curve;
  });

const contour = fc.oneof({ weight: 3, arbitrary: bentCurve }, { weight: 1, arbitrary: circle });

const stroke = fc
  .array(fc.record({ x: coordinate, y: coordinate }), { minLength: 2, maxLength: 5 })
  .filter((points) => Math.hypot(points[0]!.x - points[1]!.x, points[0]!.y - points[1]!.y) > 1e-3)
  .map((points) => ({ points }));

/** Sheets of 900 x 900 mm with one to four parts. */
export const randomSheet: fc.Arbitrary<CutSheet> = fc
  .array(
    fc.record({
      hand: fc.constantFrom<PlacedPart['hand'][]>('single', 'left', 'right'),
      turned: fc.boolean(),
      inside: fc.array(contour, { maxLength: 2 }),
      outside: contour,
      marks: fc.array(stroke, { maxLength: 2 }),
      angleDeg: fc.double({ noNaN: true, noDefaultInfinity: true }),
      label: fc.string({ unit: 'binary', maxLength: 6 }),
    }),
    { minLength: 1, maxLength: 4 },
  )
  .map((parts) =>
    sheetOf(
      parts.map(({ hand, turned, inside, outside, marks, angleDeg, label }, i) =>
        placedPart(
          `p${i + 1}`,
          [
            ...inside.map((curve) => ({ role: 'inside' as const, curve })),
            { role: 'outside' as const, curve: outside },
          ],
          { hand, turned, marks, label, placement: { mirrored: turned, angleDeg, dxMm: 1, dyMm: -0.1 } },
        ),
      ),
      { widthMm: 900, heightMm: 900 },
    ),
  );
