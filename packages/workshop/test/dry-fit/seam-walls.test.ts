import { type Curve, polygonCurve } from '@inlaywright/geometry';
import { describe, expect, it } from 'vitest';
import { seamWalls } from '../../src/dry-fit/seam-walls.ts';
import { writtenPath } from '../../src/dry-fit/written-path.ts';
import type { Seam } from '../../src/mosaic/model.ts';
import { circle, closedSeam, openSeam } from './hand-made.ts';

const REACH = 1.4;

/** A square from (0, 0) to (10, 10), its path 0.1 outside with sharp corners, starting at the lower left. */
const square: Curve = polygonCurve([
  { x: -0.1, y: -0.1 },
  { x: 10.1, y: -0.1 },
  { x: 10.1, y: 10.1 },
  { x: -0.1, y: 10.1 },
]);
const path = writtenPath([{ role: 'outside', curve: square }]);
const SIDE = 10.2;

const wallsOf = (seams: readonly Seam[], of = path) => seamWalls(of, 'p1', seams, REACH);

describe('the wall of a seam', () => {
  it('runs from the place where the line starts to the place where it ends', () => {
    const { spans, lostMm } = wallsOf([
      openSeam('p1', 'p2', [
        [2, 0],
        [10, 0],
        [10, 7],
      ]),
    ]);
    expect(lostMm.size).toBe(0);
    expect(spans).toHaveLength(1);
    // 0.02 inside both ends of the line.
    expect(spans[0]!.startMm).toBeCloseTo(2.1 + 0.02, 9);
    expect(spans[0]!.endMm).toBeCloseTo(SIDE + 7.1 - 0.02, 9);
  });

  it('may pass the start of the contour', () => {
    const { spans } = wallsOf([
      openSeam('p1', 'p2', [
        [0, 4],
        [0, 0],
        [6, 0],
      ]),
    ]);
    expect(spans[0]!.startMm).toBeCloseTo(3 * SIDE + 6.1 + 0.02, 9);
    expect(spans[0]!.endMm).toBeCloseTo(4 * SIDE + 6.1 - 0.02, 9);
  });

  it('is found from either side of the line', () => {
    // p0 lies below the square: the same line has p1 on its right.
    const seam = openSeam('p0', 'p1', [
      [10, 0],
      [2, 0],
    ]);
    expect([seam.a, seam.b]).toEqual(['p0', 'p1']);
    const { spans } = wallsOf([seam]);
    expect(spans[0]!.startMm).toBeCloseTo(2.1 + 0.02, 9);
    expect(spans[0]!.endMm).toBeCloseTo(10.1 - 0.02, 9);
  });

  it('shares the corner with the wall that follows in the drawing, and with no other', () => {
    const { spans } = wallsOf([
      openSeam('p1', 'p2', [
        [0, 0],
        [10, 0],
      ]),
      openSeam('p1', 'p3', [
        [10, 0],
        [10, 10],
      ]),
      openSeam('p1', 'p4', [
        [9.7, 10],
        [0, 10],
      ]),
    ]);
    const [below, right, above] = spans;
    expect(below!.endMm).toBeCloseTo(right!.startMm, 9);
    expect(below!.endMm).toBeCloseTo(SIDE, 9);
    expect([below!.meetsAtStart, below!.meetsAtEnd]).toEqual([false, true]);
    expect([right!.meetsAtStart, right!.meetsAtEnd]).toEqual([true, false]);
    // Between p3 and p4 lies 0.3 mm of rim.
    expect(above!.startMm - right!.endMm).toBeGreaterThan(0.3);
    expect([above!.meetsAtStart, above!.meetsAtEnd]).toEqual([false, false]);
  });

  it('is a whole contour for a closed line, the one that runs along it', () => {
    const plate = writtenPath([
      { role: 'outside', curve: circle(12) },
      { role: 'inside', curve: circle(2.9, -4, 0) },
      { role: 'inside', curve: circle(2.9, 4, 0) },
    ]);
    const { spans } = wallsOf([closedSeam('p9', 'p1', circle(3, 4, 0))], plate);
    expect(spans).toHaveLength(1);
    expect(spans[0]!.contour).toBe(2);
    expect([spans[0]!.startMm, spans[0]!.endMm]).toEqual([0, expect.closeTo(2 * Math.PI * 2.9, 9)]);
  });

  it('stays on its own side of a part thinner than the reach', () => {
    // A sliver 0.3 high: its upper and its lower wall are equally near to everything.
    const sliver = writtenPath([
      {
        role: 'outside',
        curve: polygonCurve([
          { x: -0.1, y: -0.1 },
          { x: 10.1, y: -0.1 },
          { x: 10.1, y: 0.4 },
          { x: -0.1, y: 0.4 },
        ]),
      },
    ]);
    // The upper line is drawn 0.35 too low, nearer to the lower wall.
    const { spans } = wallsOf(
      [
        openSeam('p1', 'p2', [
          [9, -0.05],
          [1, -0.05],
        ]),
      ],
      sliver,
    );
    expect(spans[0]!.startMm).toBeCloseTo(10.2 + 0.5 + 1.1 + 0.02, 9);
  });

  it('is found from further inside where an end has no cut along it, and says how much is lost', () => {
    // The line goes on 3.5 mm beyond the square, as a seam does at a tip that the beam takes away: 1.4 mm are in reach.
    const { spans, lostMm } = wallsOf([
      openSeam('p1', 'p2', [
        [-3.5, 0],
        [10, 0],
        [10, 7],
      ]),
    ]);
    expect(spans).toHaveLength(1);
    // The place 3 mm inside the line lies 0.5 mm beyond the square: its lower left corner is the nearest.
    expect(spans[0]!.startMm).toBeCloseTo(0, 9);
    expect(spans[0]!.endMm).toBeCloseTo(SIDE + 7.1 - 0.02, 9);
    expect(lostMm.get('p1-p2')).toBe(3);
    expect(spans[0]!.meetsAtStart).toBe(false);
  });

  it('is lost, with its length, where no cut lies near', () => {
    const far = openSeam('p1', 'p2', [
      [20, 0],
      [26, 0],
    ]);
    const { spans, lostMm } = wallsOf([far]);
    expect(spans).toEqual([]);
    expect([...lostMm]).toEqual([['p1-p2', 6]]);
  });
});
