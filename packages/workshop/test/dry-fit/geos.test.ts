import {
  type Curve,
  circleCurve,
  flattenCurve,
  openKernel,
  rotation,
  transformCurve,
} from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { openGeosWalls } from '../../../../bench/src/dry-fit-geos.ts';
import { dryFit } from '../../src/dry-fit/dry-fit.ts';
import { closedSeam, record, sheetOf } from './hand-made.ts';
import { randomNumbers, randomOutline } from './random-shapes.ts';

describe('the dry fit against GEOS 3.13 (geos-wasm 3.1.1)', () => {
  beforeAll(() => openKernel());

  it('takes the gaps that GEOS measures from buffered paths, within 0.5 um (seed 12)', async () => {
    const geos = await openGeosWalls();
    const random = randomNumbers(12);
    const flat = (curve: Curve): Float64Array => flattenCurve(curve, 0.00002);
    let samples = 0;
    let worst = 0;
    for (let pieces = 0; pieces < 8; ) {
      const outline = randomOutline(random, 4);
      if (!outline) continue;
      pieces++;
      const pocket = transformCurve(outline, rotation(0.015));
      const rim = circleCurve({ x: 0, y: 0 }, 7);
      const sheet = sheetOf(
        [
          { part: 'p1', outside: rim, holes: [pocket] },
          { part: 'p2', tone: 'accent', turned: true, outside: outline },
        ],
        { ground: record(0.21, 0.13), accent: record(0.17, 0.15) },
        [closedSeam('p2', 'p1', outline)],
      );
      const seam = dryFit([sheet]).seams[0]!;
      // Mid-depth: the mean of both faces.
      const ground = geos.wall([flat(rim), flat(pocket)], (0.21 + 0.13) / 4, 64);
      const inlay = geos.wall([flat(outline)], (0.17 + 0.15) / 4, 64);
      for (const { at, wall, middleMm } of seam.samples) {
        const other = wall === 'a' ? inlay : ground;
        worst = Math.max(worst, Math.abs(middleMm - other.gap(at.x, at.y)));
        samples++;
      }
      ground.free();
      inlay.free();
    }
    expect(samples).toBeGreaterThan(1000);
    expect(worst).toBeLessThan(0.0005);
  });
});
