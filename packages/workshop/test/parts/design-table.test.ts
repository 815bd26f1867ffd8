import { flattenCurve, openKernel } from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { openReferee, type Referee, type Ring, type Solid } from '../../../../bench/src/compensation-geos.ts';
import { areaCurves, type Shape } from '../../src/index.ts';
import { fitOf, freedBy, inDisc, make, origin, record, square } from './pieces.ts';

/**
 * The design table, a check with GEOS 3.13: an inlay in a disc, kerf 0.2 mm, allowance 0.03 mm; the aim is -0.030
 * everywhere and no air. Freed solids and gaps are GEOS's; of ours are only the written paths. docs/compensation.md
 * prints what is measured here.
 */
const KERF = 0.2;
const ALLOWANCE = 0.03;
/** How far from the aim a gap may be, mm: flattening of both paths and GEOS's buffers, about 0.1 um each. */
const MEASURED_MM = 3e-4;
const STEP_MM = 0.02;

const shapes: Readonly<Record<string, Shape>> = {
  'square, 10 mm': { kind: 'rectangle', centre: origin, widthMm: 10, heightMm: 10 },
  'sharp 5-point star, 7/3 mm': {
    kind: 'star',
    centre: origin,
    points: 5,
    outerDiameterMm: 14,
    innerDiameterMm: 6,
  },
  'sharp 12-point star, 7/4.5 mm': {
    kind: 'star',
    centre: origin,
    points: 12,
    outerDiameterMm: 14,
    innerDiameterMm: 9,
  },
};

describe('design table, a check with GEOS', () => {
  let referee: Referee;
  let window: Solid;
  beforeAll(async () => {
    await openKernel();
    referee = await openReferee();
    // All of the seams, nothing of the rim.
    window = referee.buffer(referee.solid([square(0.001)]), 8);
  });

  for (const [name, shape] of Object.entries(shapes)) {
    for (const share of ['inserted', 'both'] as const) {
      it(`${name}: -0.030 everywhere when the allowance is taken by ${share}`, () => {
        const made = make(inDisc(shape), fitOf(record(KERF, KERF, ALLOWANCE)), { share });
        const gaps = referee.gaps(
          freedBy(referee, made.cut('p2'), KERF),
          freedBy(referee, made.cut('p1'), KERF),
          window,
          STEP_MM,
        );
        expect(gaps.points).toBeGreaterThan(2000);
        expect(gaps.worstMm).toBeGreaterThan(-ALLOWANCE - MEASURED_MM);
        expect(gaps.airMm).toBeLessThan(-ALLOWANCE + MEASURED_MM);
      });
    }

    it(`${name}: the same at every depth for a beam of 0.24 mm at the entry and 0.16 at the exit, inlay turned`, () => {
      const made = make(inDisc(shape), fitOf(record(0.24, 0.16, ALLOWANCE)));
      expect(made.cut('p2').turned).toBe(true);
      for (const kerf of [0.24, 0.22, 0.2, 0.18, 0.16]) {
        const gaps = referee.gaps(
          freedBy(referee, made.cut('p2'), kerf),
          freedBy(referee, made.cut('p1'), 0.4 - kerf),
          window,
          STEP_MM,
        );
        expect(gaps.worstMm).toBeGreaterThan(-ALLOWANCE - MEASURED_MM);
        expect(gaps.airMm).toBeLessThan(-ALLOWANCE + MEASURED_MM);
      }
    });

    it(`${name}: not turned, the entry face opens and the exit face presses by half the taper of both`, () => {
      const made = make(inDisc(shape), fitOf(record(0.24, 0.16, ALLOWANCE)), { turn: 'none' });
      const at = (kerf: number) =>
        referee.gaps(
          freedBy(referee, made.cut('p2'), kerf),
          freedBy(referee, made.cut('p1'), kerf),
          window,
          STEP_MM,
        );
      // Each wall stands back by (0.24 - 0.2) / 2 at the entry, so the gap is -0.03 + 0.04.
      expect(Math.abs(at(0.24).airMm - 0.01)).toBeLessThan(MEASURED_MM);
      expect(Math.abs(at(0.16).worstMm + 0.07)).toBeLessThan(MEASURED_MM);
    });

    it(`${name}: easing, growing and no more leaves deeper interference and near contact, as the design measured`, () => {
      const [ring] = areaCurves({ id: 'a', name: 'a', tone: 'accent', shape }).curves.map(
        (curve): Ring => flattenCurve(curve),
      );
      const p = referee.solid([ring!]);
      const disc = referee.buffer(referee.solid([square(0.001)]), 10);
      const q = referee.difference(disc, p);
      const r = KERF / 2;
      const grown = referee.gaps(
        referee.closing(referee.buffer(p, ALLOWANCE), r),
        referee.closing(q, r),
        window,
        STEP_MM,
      );
      const pe = referee.difference(p, referee.closing(q, r));
      const qe = referee.difference(q, referee.closing(p, r));
      const p1 = referee.union(pe, referee.intersection(referee.buffer(pe, ALLOWANCE), q));
      const eased = referee.gaps(referee.closing(p1, r), referee.closing(qe, r), window, STEP_MM);
      expect(eased.worstMm).toBeLessThan(-ALLOWANCE - MEASURED_MM);
      expect(grown.worstMm).toBeLessThan(eased.worstMm);
      expect(eased.airMm).toBeGreaterThan(-ALLOWANCE + MEASURED_MM);
    });
  }
});
