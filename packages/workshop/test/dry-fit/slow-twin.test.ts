import {
  type Curve,
  circleCurve,
  compose,
  openKernel,
  type Region,
  reverseCurve,
  ringArea,
  rotation,
  transformCurve,
  translation,
} from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { DEPTHS } from '../../src/dry-fit/assemble.ts';
import { dryFit } from '../../src/dry-fit/dry-fit.ts';
import { closedSeam, record, sheetOf } from './hand-made.ts';
import { randomNumbers, randomOutline } from './random-shapes.ts';
import { slowGap, slowSolid } from './slow-gap.ts';

const SLOW_STEP_MM = 0.02;

interface SlowFigures {
  readonly mean: number;
  readonly worst: number;
  readonly tightest: number;
}

/** Gap figures by walking the polygons of both walls in small steps. */
function slowFigures(walls: readonly { ring: Float64Array; other: Region }[]): SlowFigures {
  let weight = 0;
  let sum = 0;
  let worst = Number.NEGATIVE_INFINITY;
  let tightest = Number.POSITIVE_INFINITY;
  for (const { ring, other } of walls) {
    for (let i = 0; i < ring.length; i += 2) {
      const j = (i + 2) % ring.length;
      const dx = ring[j]! - ring[i]!;
      const dy = ring[j + 1]! - ring[i + 1]!;
      const length = Math.hypot(dx, dy);
      const count = Math.max(1, Math.ceil(length / SLOW_STEP_MM));
      for (let k = 0; k <= count; k++) {
        const gap = slowGap(other, ring[i]! + (k / count) * dx, ring[i + 1]! + (k / count) * dy);
        const load = ((k === 0 || k === count ? 0.5 : 1) * length) / count;
        sum += load * gap;
        weight += load;
        worst = Math.max(worst, gap);
        tightest = Math.min(tightest, gap);
      }
    }
  }
  return { mean: sum / weight, worst, tightest };
}

/** Nothing but the outer boundary of a ground with one pocket. */
function pocketRings(solid: Region): Float64Array[] {
  return solid.rings.filter((ring) => ringArea(ring) < 0);
}

describe('the dry fit against polygons offset and measured by brute force', () => {
  beforeAll(() => openKernel());

  it('agrees within 1 um on random inlays in badly cut pockets (seed 77)', () => {
    const random = randomNumbers(77);
    let pieces = 0;
    let samples = 0;
    let worstSample = 0;
    const worstMean = { fine: 0, usual: 0 };
    const worstExtreme = { fine: 0, usual: 0 };
    while (pieces < 12) {
      const outline = randomOutline(random, 4);
      if (!outline) continue;
      pieces++;
      // The pocket's path is the inlay's, turned a little and moved: gaps of both signs, and corners past corners.
      const nudge = compose(
        translation(0.1 * (random() - 0.5), 0.1 * (random() - 0.5)),
        rotation(0.02 * (random() - 0.5)),
      );
      const pocket = transformCurve(outline, nudge);
      const fit = { ground: record(0.08, 0.04), accent: record(0.16, 0.1) };
      const turned = pieces % 2 === 0;
      const sheet = sheetOf(
        [
          { part: 'p1', outside: circleCurve({ x: 0, y: 0 }, 8), holes: [pocket] },
          { part: 'p2', tone: 'accent', turned, outside: outline },
        ],
        fit,
        [closedSeam('p2', 'p1', outline)],
      );
      const seams = {
        fine: dryFit([sheet], undefined, { stepMm: 0.02 }).seams[0]!,
        usual: dryFit([sheet]).seams[0]!,
      };
      const ground: Curve[] = [circleCurve({ x: 0, y: 0 }, 8), reverseCurve(pocket)];
      DEPTHS.forEach((depth, level) => {
        const inlaySolid = slowSolid([outline], (0.16 - 0.06 * (turned ? 1 - depth : depth)) / 2);
        const groundSolid = slowSolid(ground, (0.08 - 0.04 * depth) / 2);
        const slow = slowFigures([
          ...inlaySolid.rings.map((ring) => ({ ring, other: groundSolid })),
          ...pocketRings(groundSolid).map((ring) => ({ ring, other: inlaySolid })),
        ]);
        for (const step of ['fine', 'usual'] as const) {
          const { gapShowMm, gapMiddleMm, gapBackMm } = seams[step];
          const fast = [gapShowMm, gapMiddleMm, gapBackMm][level]!;
          worstMean[step] = Math.max(worstMean[step], Math.abs(fast.mean - slow.mean));
          worstExtreme[step] = Math.max(
            worstExtreme[step],
            Math.abs(fast.worst - slow.worst),
            Math.abs(fast.tightest - slow.tightest),
          );
        }
        if (level !== 1) return;
        for (const sample of seams.fine.samples) {
          const other = sample.wall === 'a' ? inlaySolid : groundSolid;
          worstSample = Math.max(
            worstSample,
            Math.abs(sample.middleMm - slowGap(other, sample.at.x, sample.at.y)),
          );
          samples++;
        }
      });
    }
    expect(samples).toBeGreaterThan(20_000);
    expect(worstSample).toBeLessThan(0.0002);
    expect(worstExtreme.fine).toBeLessThan(0.0002);
    expect(worstExtreme.usual).toBeLessThan(0.0002);
    expect(worstMean.fine).toBeLessThan(0.0002);
    // Stations 0.25 mm apart see a gap that swings by 0.1 mm over a wall of 30 mm this well.
    expect(worstMean.usual).toBeLessThan(0.0015);
  });

  it('agrees within 1 um where the kerf differs between the axes (seed 78)', () => {
    const random = randomNumbers(78);
    const kerf = { xMm: 0.18, yMm: 0.1 };
    const oval = record(0, 0, { kerfEntry: kerf, kerfExit: kerf });
    let pieces = 0;
    let worst = 0;
    while (pieces < 6) {
      const outline = randomOutline(random, 4);
      if (!outline) continue;
      pieces++;
      const pocket = transformCurve(outline, translation(0.04, -0.03));
      const build = (fit: typeof oval) =>
        sheetOf(
          [
            { part: 'p1', outside: circleCurve({ x: 0, y: 0 }, 8), holes: [pocket] },
            { part: 'p2', tone: 'accent', outside: outline },
          ],
          { ground: fit, accent: fit },
          [closedSeam('p2', 'p1', outline)],
          () => 0,
        );
      const fast = dryFit([build(oval)], undefined, { stepMm: 0.02 }).seams[0]!;
      // Upright ellipse: stretched in y by kx / ky it is the disk of kx, stretched back the walls are the walls.
      const stretch = kerf.xMm / kerf.yMm;
      const stretched = (curve: Curve): Curve =>
        transformCurve(curve, { a: 1, b: 0, c: 0, d: stretch, e: 0, f: 0 });
      const pressed = (region: Region): Region => ({
        rings: region.rings.map((ring) => ring.map((value, i) => (i % 2 === 1 ? value / stretch : value))),
      });
      const inlaySolid = pressed(slowSolid([stretched(outline)], kerf.xMm / 2));
      const groundSolid = pressed(
        slowSolid([stretched(circleCurve({ x: 0, y: 0 }, 8)), reverseCurve(stretched(pocket))], kerf.xMm / 2),
      );
      const slow = slowFigures([
        ...inlaySolid.rings.map((ring) => ({ ring, other: groundSolid })),
        ...pocketRings(groundSolid).map((ring) => ({ ring, other: inlaySolid })),
      ]);
      worst = Math.max(
        worst,
        Math.abs(fast.gapShowMm.mean - slow.mean),
        Math.abs(fast.gapShowMm.worst - slow.worst),
        Math.abs(fast.gapShowMm.tightest - slow.tightest),
      );
    }
    expect(worst).toBeLessThan(0.001);
  });
});
