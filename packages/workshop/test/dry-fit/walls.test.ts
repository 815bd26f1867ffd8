import { type Curve, circleCurve, openKernel, polygonCurve, reverseCurve } from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { nearestOnRound } from '../../src/dry-fit/nearest-wall-point.ts';
import { gapToRound } from '../../src/dry-fit/round-wall.ts';
import { depthAt, writtenPath } from '../../src/dry-fit/written-path.ts';
import { randomNumbers, randomOutline } from './random-shapes.ts';
import { slowGap, slowSolid } from './slow-gap.ts';

const outside = (curve: Curve) => ({ role: 'outside' as const, curve });
const inside = (curve: Curve) => ({ role: 'inside' as const, curve });
const wallOf = (curves: Parameters<typeof writtenPath>[0], radiusMm: number) => ({
  kind: 'round' as const,
  path: writtenPath(curves),
  radiusMm,
});

const square = (half: number): Curve =>
  polygonCurve([
    { x: -half, y: -half },
    { x: half, y: -half },
    { x: half, y: half },
    { x: -half, y: half },
  ]);

describe('the wall that a round beam leaves', () => {
  beforeAll(() => openKernel());

  it('of a disc is a disc', () => {
    const wall = wallOf([outside(circleCurve({ x: 2, y: -1 }, 5))], 0.1);
    for (const r of [0.5, 4, 4.8999, 4.9, 4.95, 5, 5.3, 9]) {
      for (let k = 0; k < 12; k++) {
        const angle = 0.1 + k;
        const gap = gapToRound(wall, 2 + r * Math.cos(angle), -1 + r * Math.sin(angle));
        expect(gap).toBeCloseTo(r - 4.9, 9);
      }
    }
  });

  it('of a square keeps sharp corners: air off a corner is measured to the corner', () => {
    const wall = wallOf([outside(square(5))], 0.2);
    // R is the square of half side 4.8 exactly.
    const exact = (x: number, y: number): number => {
      const dx = Math.abs(x) - 4.8;
      const dy = Math.abs(y) - 4.8;
      return dx > 0 && dy > 0 ? Math.hypot(dx, dy) : Math.max(dx, dy);
    };
    for (const [x, y] of [
      [4.9, 4.9],
      [-5, 5],
      [5.4, -4.85],
      [4.8, 4.9],
      [0, 5],
      [4.7, 4.75],
      [7, 7],
      [-4.85, -3],
    ] as const) {
      expect([x, y, gapToRound(wall, x, y)]).toEqual([x, y, expect.closeTo(exact(x, y), 9)]);
    }
  });

  it('of a square pocket has round corners, filled where the beam cannot reach', () => {
    const wall = wallOf([outside(square(9)), inside(square(5))], 0.2);
    // The pocket that is left free: the square of half side 5 grown by a disk of 0.2.
    for (const [x, y, gap] of [
      [5, 5, 0.2],
      [5.2, 0, 0],
      [5.1, 5.1, 0.2 - Math.hypot(0.1, 0.1)],
      [5.2, 5.2, 0.2 - Math.hypot(0.2, 0.2)],
      [5.3, -5.3, 0.2 - Math.hypot(0.3, 0.3)],
      [0, 0, 5.2],
    ] as const) {
      expect([x, y, gapToRound(wall, x, y)]).toEqual([x, y, expect.closeTo(gap, 9)]);
    }
  });

  it('does not depend on the direction in which a file runs its contours', () => {
    const wall = wallOf([outside(reverseCurve(square(9))), inside(square(5))], 0.2);
    const again = wallOf([outside(square(9)), inside(reverseCurve(square(5)))], 0.2);
    for (const [x, y] of [
      [5.1, 5.1],
      [8.9, 8.9],
      [7, 0],
      [0, 0],
    ] as const) {
      expect(gapToRound(wall, x, y)).toBe(gapToRound(again, x, y));
    }
  });

  it('takes no harm from a path that crosses itself within a micrometre', () => {
    // The corner at (5, 5) is written as a loop: past the corner, back, and on.
    const looped = polygonCurve([
      { x: -5, y: -5 },
      { x: 5, y: -5 },
      { x: 5, y: 5.0004 },
      { x: 5.0003, y: 5.0002 },
      { x: 4.9997, y: 5 },
      { x: -5, y: 5 },
    ]);
    const wall = wallOf([outside(looped)], 0.2);
    const clean = wallOf([outside(square(5))], 0.2);
    for (const [x, y] of [
      [5.3, 5.4],
      [5.01, 5.3],
      [4.9, 4.9],
      [4.7, 4.72],
      [4.2, 4],
    ] as const) {
      expect(Math.abs(gapToRound(wall, x, y) - gapToRound(clean, x, y))).toBeLessThan(0.001);
    }
  });

  it('is infinitely far where the beam leaves nothing', () => {
    const wall = wallOf([outside(circleCurve({ x: 0, y: 0 }, 0.09))], 0.1);
    expect(gapToRound(wall, 0.3, 0)).toBe(Number.POSITIVE_INFINITY);
    expect(nearestOnRound(wall, 0, 0, { x: 0, y: 0, distance: 0 }).distance).toBe(Number.POSITIVE_INFINITY);
  });

  it('agrees with polygon offsets within 0.2 um at random points of random shapes (seed 4021)', () => {
    const random = randomNumbers(4021);
    let shapes = 0;
    let points = 0;
    let atCorners = 0;
    let worst = 0;
    while (shapes < 60) {
      const outline = randomOutline(random, 6);
      const hole = randomOutline(random, 1.6);
      if (!outline || !hole) continue;
      shapes++;
      const h = 0.03 + 0.27 * random();
      const wall = wallOf([outside(outline), inside(hole)], h);
      const solid = slowSolid([outline, reverseCurve(hole)], h);
      const anchors = [...outline.segments, ...hole.segments].map((segment) => segment.from);
      for (let k = 0; k < 60; k++) {
        const near = anchors[k % anchors.length]!;
        const spread = k % 2 === 0 ? 0.5 : 12;
        const x = near.x + spread * (random() - 0.5);
        const y = near.y + spread * (random() - 0.5);
        const fast = gapToRound(wall, x, y);
        worst = Math.max(worst, Math.abs(fast - slowGap(solid, x, y)));
        points++;
        // Proof that the corner rule was used: the level set alone would say less.
        if (fast > h - depthAt(wall.path, x, y) + 1e-6) atCorners++;
      }
    }
    expect(points).toBe(3600);
    expect(atCorners).toBeGreaterThan(200);
    expect(worst).toBeLessThan(0.0002);
  });
});
