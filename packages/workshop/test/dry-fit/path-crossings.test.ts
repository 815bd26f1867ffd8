import {
  type Curve,
  circleCurve,
  nearest,
  openKernel,
  pointAt,
  polygonCurve,
  reverseCurve,
  transformCurve,
  translation,
  windingAt,
} from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { depthAt, stationOn, type WrittenPath, writtenPath } from '../../src/dry-fit/written-path.ts';
import { randomNumbers, randomOutline } from './random-shapes.ts';

beforeAll(async () => {
  await openKernel();
});

const SEED = 733;
const PROBE_MM = 0.001;
const SHORTEST_PROBED_MM = 0.01;

/** Contours that fail a probe, by probing every segment three times: the slow twin. */
function probed(path: WrittenPath): number[] {
  const place = new Float64Array(4);
  return path.contours.flatMap(({ first, count }, contour) => {
    for (let index = first; index < first + count; index++) {
      const length = path.lengthMm[index]!;
      if (length < SHORTEST_PROBED_MM) continue;
      for (const t of [0.5, (5 * PROBE_MM) / length, 1 - (5 * PROBE_MM) / length]) {
        stationOn(path, index, t, place);
        const [x, y, nx, ny] = place as unknown as [number, number, number, number];
        const left = windingAt(path.locator, x + PROBE_MM * nx, y + PROBE_MM * ny);
        const right = windingAt(path.locator, x - PROBE_MM * nx, y - PROBE_MM * ny);
        if (left !== 1 || right !== 0) return [contour];
      }
    }
    return [];
  });
}

/** A smooth blob of many short arcs and lines, as compensation writes them. */
function smoothBlob(random: () => number, radius: number): Curve {
  const phases = Array.from({ length: 3 }, () => 2 * Math.PI * random());
  const size = phases.map(() => 0.12 * random());
  const points = Array.from({ length: 90 }, (_, i) => {
    const angle = (2 * Math.PI * i) / 90;
    const r = radius * (1 + phases.reduce((sum, p, k) => sum + size[k]! * Math.cos((k + 2) * angle + p), 0));
    return { x: r * Math.cos(angle), y: r * Math.sin(angle) };
  });
  return polygonCurve(points);
}

function randomPaths(random: () => number): WrittenPath[] {
  const outside = (curve: Curve) => ({ role: 'outside' as const, curve });
  const inside = (curve: Curve) => ({ role: 'inside' as const, curve });
  const outline = randomOutline(random, 8);
  const blob = smoothBlob(random, 8);
  const hole = reverseCurve(circleCurve({ x: 0, y: 0 }, 1 + 9 * random()));
  const beside = transformCurve(smoothBlob(random, 3), translation(6 + 8 * random(), 0));
  return [
    ...(outline ? [writtenPath([outside(outline), inside(hole)])] : []),
    writtenPath([outside(blob), inside(hole)]),
    writtenPath([outside(blob), outside(beside)]),
  ];
}

describe(`crossings and clear segments (seed ${SEED})`, () => {
  it('are what probing every segment finds', () => {
    const random = randomNumbers(SEED);
    let crossed = 0;
    let whole = 0;
    let segments = 0;
    let clear = 0;
    for (let round = 0; round < 60; round++) {
      for (const path of randomPaths(random)) {
        const found = path.crossings.map(({ contour }) => contour);
        expect(found).toEqual(probed(path));
        if (found.length > 0) crossed++;
        else {
          whole++;
          segments += path.segments.length;
          clear += path.clear.reduce((sum, one) => sum + one, 0);
        }
      }
    }
    // Both kinds came up, and the short way was taken where it is meant to be.
    expect(crossed).toBeGreaterThan(20);
    expect(whole).toBeGreaterThan(60);
    expect(clear / segments).toBeGreaterThan(0.9);
  });

  it('leave the sign of a depth that of the winding number, close to crossings too', () => {
    const random = randomNumbers(SEED + 1);
    for (let round = 0; round < 40; round++) {
      for (const path of randomPaths(random)) {
        for (let k = 0; k < 150; k++) {
          // Half of the points near the path, at all distances down to a tenth of a micrometre.
          const on = pointAt(path.segments[Math.floor(random() * path.segments.length)]!, random());
          const off = k % 2 === 0 ? 3 : 10 ** (-6 * random());
          const x = on.x + off * (random() - 0.5);
          const y = on.y + off * (random() - 0.5);
          const { distance } = nearest(path.locator, { x, y });
          if (distance < 1e-8) continue;
          const expected = windingAt(path.locator, x, y) === 0 ? -distance : distance;
          expect(depthAt(path, x, y)).toBeCloseTo(expected, 12);
        }
      }
    }
  });
});
