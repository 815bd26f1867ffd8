import { openKernel } from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { openReferee, type Referee, type Solid } from '../../../../bench/src/compensation-geos.ts';
import type { Shape } from '../../src/index.ts';
import { fitOf, freedBy, inDisc, make, origin, square } from './pieces.ts';

/** Kerfs that differ in the two axes of the machine: the beam is an upright ellipse. A check with GEOS 3.13. */
const ALLOWANCE = 0.03;

const shapes: Readonly<Record<string, Shape>> = {
  'a square': { kind: 'rectangle', centre: origin, widthMm: 10, heightMm: 10 },
  'a star': {
    kind: 'star',
    centre: origin,
    points: 5,
    outerDiameterMm: 14,
    innerDiameterMm: 6,
    angleDeg: 10,
  },
};

describe('oval beams, a check with GEOS', () => {
  let referee: Referee;
  let window: Solid;
  beforeAll(async () => {
    await openKernel();
    referee = await openReferee();
    window = referee.buffer(referee.solid([square(0.001)]), 8);
  });

  const gapsOf = (shape: Shape, x: number, y: number) => {
    const kerf = { xMm: x, yMm: y };
    const made = make(inDisc(shape), fitOf({ kerfEntry: kerf, kerfExit: kerf, allowanceMm: ALLOWANCE }));
    return referee.gaps(
      freedBy(referee, made.cut('p2'), x, y),
      freedBy(referee, made.cut('p1'), x, y),
      window,
      0.02,
    );
  };

  for (const [name, shape] of Object.entries(shapes)) {
    it(`${name}: -0.030 everywhere for 0.2 by 0.19 mm, within 1 um`, () => {
      const gaps = gapsOf(shape, 0.2, 0.19);
      expect(gaps.worstMm).toBeGreaterThan(-ALLOWANCE - 0.001);
      expect(gaps.airMm).toBeLessThan(-ALLOWANCE + 0.001);
    });

    it(`${name}: -0.030 everywhere for 0.24 by 0.12 mm, within 3 um`, () => {
      const gaps = gapsOf(shape, 0.24, 0.12);
      expect(gaps.worstMm).toBeGreaterThan(-ALLOWANCE - 0.003);
      expect(gaps.airMm).toBeLessThan(-ALLOWANCE + 0.003);
    });
  }
});
