import {
  type Curve,
  components,
  offset,
  openKernel,
  type Point,
  symmetricDifference,
} from '@inlaywright/geometry';
import fc from 'fast-check';
import { beforeAll, describe, expect, it, test } from 'vitest';
import { openReferee, type Referee } from '../../../../bench/src/compensation-geos.ts';
import { plainFit, type Shape } from '../../src/index.ts';
import type { PathSegment as Segment } from '../../src/parts/beam-path-segments.ts';
import { byRegions } from '../../src/parts/compensate.ts';
import { planOf } from '../../src/parts/compensate-plan.ts';
import { SEED } from '../mosaic/random-pieces.ts';
import { type Laid, type Made, make, origin, pathRings, pieceOf, polygonShape } from './pieces.ts';

/** Every part keeps an outside, and every written contour is simple. GEOS (geos-wasm) says what is a valid polygon. */

let referee: Referee;

beforeAll(async () => {
  await openKernel();
  referee = await openReferee();
});

const fit = plainFit(0.16, 0.03);

function expectWholeAndSimple(made: Made): void {
  for (const cut of made.compensation.cuts) {
    expect(cut.contours.filter(({ role }) => role === 'outside')).toHaveLength(1);
    expect(referee.isValid(referee.solid(pathRings(cut))), `polygon of ${cut.part}`).toBe(true);
  }
}

/** The arc of that radius, at most half a circle, turning left. */
function arcTo(from: Point, to: Point, radius: number): Segment {
  const half = Math.hypot(to.x - from.x, to.y - from.y) / 2;
  const high = Math.sqrt(radius * radius - half * half);
  const centre = {
    x: (from.x + to.x) / 2 - (high * (to.y - from.y)) / (2 * half),
    y: (from.y + to.y) / 2 + (high * (to.x - from.x)) / (2 * half),
  };
  return { kind: 'arc', from, to, centre, radius, sweep: 2 * Math.asin(half / radius) };
}

function pathShape(curve: Curve): Shape {
  return { kind: 'path', curves: [curve], fillRule: 'nonzero' };
}

function inSquare(sideMm: number, ...inlays: Laid[]): ReturnType<typeof pieceOf> {
  const ground: Shape = { kind: 'rectangle', centre: origin, widthMm: sideMm, heightMm: sideMm };
  return pieceOf({ shape: ground, tone: 'ground' }, ...inlays);
}

/** A slanting stick with rounded ends, its arcs almost tangent to its sides, as drawings have them after rounding. */
function stick(widthMm: number): Shape {
  const radius = 15;
  const corners: [number, number, boolean][] = [
    [383.5, 241, true],
    [372.687, 245.406, false],
    [245.407, 372.686, true],
    [245.407, 393.876, false],
    [256, 404.5, true],
    [277.22, 404.5, false],
    [404.5, 277.22, true],
    [404.5, 256, false],
    [393.906, 245.406, true],
  ];
  const scale = widthMm / 573.44;
  const at = ([x, y]: [number, number, boolean]): Point => ({ x: (x - 256) * scale, y: (256 - y) * scale });
  const segments = corners.map((corner, i): Segment => {
    const from = at(corner);
    const to = at(corners[(i + 1) % corners.length]!);
    return corner[2] ? arcTo(from, to, radius * scale) : { kind: 'line', from, to };
  });
  return pathShape({ segments });
}

test('a stick whose ends are almost tangent to its sides keeps its inlay at 60 widths from 20 to 60 mm', () => {
  for (let k = 0; k < 60; k++) {
    const widthMm = 20 + (40 * k) / 59;
    const made = make(inSquare(widthMm * 0.9, { shape: stick(widthMm), tone: 'accent' }), fit);
    expect(made.compensation.cuts).toHaveLength(2);
    expectWholeAndSimple(made);
    for (const { aim } of made.compensation.cuts.slice(1)) {
      const grown = offset(made.parts.parts[1]!.region, 0.03);
      expect(components(offset(symmetricDifference(aim, grown), -0.003))).toEqual([]);
    }
  }
});

/** A polygon with rounded corners, all coordinates rounded, so that no arc is quite tangent to its lines. */
function roundedPolygon(radii: readonly number[], cornerMm: number, digits: number): Shape | null {
  const n = radii.length;
  const corner = (i: number): Point => {
    const angle = (2 * Math.PI * (i % n)) / n;
    return { x: radii[i % n]! * Math.cos(angle), y: radii[i % n]! * Math.sin(angle) };
  };
  const unit = 10 ** digits;
  const rounded = ({ x, y }: Point): Point => ({
    x: Math.round(x * unit) / unit,
    y: Math.round(y * unit) / unit,
  });
  const ends: { arrive: Point; leave: Point }[] = [];
  for (let i = 0; i < n; i++) {
    const [p, q, r] = [corner(i + n - 1), corner(i), corner(i + 1)];
    const before = Math.hypot(q.x - p.x, q.y - p.y);
    const after = Math.hypot(r.x - q.x, r.y - q.y);
    const u = { x: (q.x - p.x) / before, y: (q.y - p.y) / before };
    const v = { x: (r.x - q.x) / after, y: (r.y - q.y) / after };
    const turn = Math.atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y);
    const back = cornerMm * Math.tan(turn / 2);
    // Turning left, with room for the arc on both sides.
    if (turn < 0.05 || back > 0.45 * Math.min(before, after)) return null;
    const end = {
      arrive: rounded({ x: q.x - back * u.x, y: q.y - back * u.y }),
      leave: rounded({ x: q.x + back * v.x, y: q.y + back * v.y }),
    };
    // Rounding may have made one of the two ends, or moved them farther apart than the arc can reach.
    const chord = Math.hypot(end.leave.x - end.arrive.x, end.leave.y - end.arrive.y);
    if (chord === 0 || chord >= 2 * cornerMm) return null;
    ends.push(end);
  }
  const segments = ends.flatMap(({ arrive, leave }, i): Segment[] => {
    const next = ends[(i + 1) % n]!.arrive;
    return [arcTo(arrive, leave, cornerMm), { kind: 'line', from: leave, to: next }];
  });
  return pathShape({ segments });
}

test('a speck in an aim does not become a loop of the beam', () => {
  // Found by seed 13 of the property below.
  const radii = [3.0734059712041883, 2.0838501828882374, 3.848548835690111, 3.5823736220789044];
  const shape = roundedPolygon([...radii, 3.1863215853912856, 3.8023405756161557], 0.9496081368325602, 2)!;
  expectWholeAndSimple(make(inSquare(12, { shape, tone: 'accent' }), fit, { share: 'both' }));
});

test('a path does not step back where an arc meets a line', () => {
  // Found by seed 12 of the property below.
  const radii = [3.021892480387978, 3.3181343450071994, 3.6166440631466026, 2.550381709740532];
  const shape = roundedPolygon(radii, 0.9999999999999983, 2)!;
  expectWholeAndSimple(make(inSquare(12, { shape, tone: 'accent' }), plainFit(0.16, -0.03)));
});

describe(`rounded polygons with almost tangent joints (seed ${SEED})`, () => {
  it('loses no inlay, writes simple contours, and aims at what whole regions aim at', () => {
    let seen = 0;
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 2, max: 4, noNaN: true }), { minLength: 3, maxLength: 8 }),
        fc.double({ min: 0.15, max: 1, noNaN: true }),
        fc.constantFrom(2, 3, 4),
        fc.constantFrom(0.03, -0.03, 0.05),
        fc.constantFrom('inserted' as const, 'both' as const),
        (radii, cornerMm, digits, allowanceMm, share) => {
          const shape = roundedPolygon(radii, cornerMm, digits);
          if (!shape) return;
          seen++;
          const record = plainFit(0.16, allowanceMm);
          const made = make(inSquare(12, { shape, tone: 'accent' }), record, { share });
          expectWholeAndSimple(made);
          const plan = planOf(made.parts, record, share, [false, false]);
          const slow = byRegions(made.parts, plan);
          made.compensation.cuts.forEach(({ aim }, p) => {
            const apart = symmetricDifference(aim, slow.parts[p]!.aim);
            expect(components(offset(apart, -0.002))).toEqual([]);
          });
        },
      ),
      { seed: SEED, numRuns: 150, endOnFailure: true },
    );
    expect(seen).toBeGreaterThan(50);
  });
});

/** A wing from the middle: a triangle that opens by the angle round the direction, both in degrees. */
function wing(directionDeg: number, openDeg: number, lengthMm: number): Shape {
  const at = (deg: number): [number, number] => [
    lengthMm * Math.cos((deg * Math.PI) / 180),
    lengthMm * Math.sin((deg * Math.PI) / 180),
  ];
  return polygonShape([0, 0], at(directionDeg - openDeg / 2), at(directionDeg + openDeg / 2));
}

/** Two arcs of 70 degrees from the middle outward and back. */
function leaf(directionDeg: number, lengthMm: number): Shape {
  const angle = (directionDeg * Math.PI) / 180;
  const tip = { x: lengthMm * Math.cos(angle), y: lengthMm * Math.sin(angle) };
  const radius = lengthMm / 2 / Math.sin((35 * Math.PI) / 180);
  return pathShape({ segments: [arcTo(origin, tip, radius), arcTo(tip, origin, radius)] });
}

/** Nothing presses by more than the allowance, and all of the seam by that much; solids and gaps are GEOS's. */
function expectPress(made: Made, inlay: string): void {
  const free = (id: string) => referee.freed([pathRings(made.cut(id))], 0.08, 0.08);
  const window = referee.solid([[-9, -9, 9, -9, 9, 9, -9, 9]]);
  const region = made.parts.parts.find(({ id }) => id === inlay)!.region;
  const around = referee.buffer(referee.solid(region.rings.slice(0, 1)), 0.06);
  const { worstMm } = referee.gaps(free('p1'), free(inlay), referee.intersection(window, around), 0.05);
  expect(worstMm).toBeGreaterThan(-0.033);
  const seam = made.parts.seams.find(({ a, b }) => a === inlay || b === inlay)!;
  const pressed = referee.area(referee.intersection(free('p1'), free(inlay)));
  // Rounded tips shorten the line that presses.
  expect(pressed).toBeGreaterThan(0.03 * (seam.lengthMm - 4));
  expect(pressed).toBeLessThan(0.03 * (seam.lengthMm + 0.1));
}

describe('pockets that meet in a single point', () => {
  it.each([15, 30, 60, 90, 120, 150])('two wings of %i degrees are two pockets', (openDeg) => {
    const made = make(
      inSquare(
        20,
        { shape: wing(0, openDeg, 7), tone: 'accent' },
        { shape: wing(180, openDeg, 7), tone: 'accent' },
      ),
      fit,
    );
    expect(made.compensation.cuts).toHaveLength(3);
    expectWholeAndSimple(made);
    expect(made.cut('p1').contours.filter(({ role }) => role === 'inside')).toHaveLength(2);
    for (const inlay of ['p2', 'p3']) expectPress(made, inlay);
  });

  it('three leaves from one node are three pockets', () => {
    const leaves = [90, 210, 330].map((deg): Laid => ({ shape: leaf(deg, 7), tone: 'accent' }));
    const made = make(inSquare(20, ...leaves), fit);
    expect(made.compensation.cuts).toHaveLength(4);
    expectWholeAndSimple(made);
    expect(made.cut('p1').contours.filter(({ role }) => role === 'inside')).toHaveLength(3);
    for (const inlay of ['p2', 'p3', 'p4']) expectPress(made, inlay);
  });

  it('holds for wings with an inlay of their own', () => {
    const heart: Shape = { kind: 'disc', centre: { x: 4.5, y: 0 }, diameterMm: 2 };
    const made = make(
      inSquare(
        20,
        { shape: wing(0, 70, 7), tone: 'accent' },
        { shape: wing(180, 70, 7), tone: 'accent' },
        { shape: heart, tone: 'bog-oak' },
      ),
      fit,
    );
    expect(made.compensation.cuts).toHaveLength(4);
    expectWholeAndSimple(made);
    expect(made.cut('p1').contours.filter(({ role }) => role === 'inside')).toHaveLength(2);
  });
});

test.each([
  ['in a slot that closes', 6],
  ['between two parts it draws back from', 30],
])('a strip that its draw-back consumes, %s, is cut as drawn and put up for decision', (_, lengthMm) => {
  const thin: Shape = { kind: 'rectangle', centre: origin, widthMm: lengthMm, heightMm: 0.5 };
  const made = make(inSquare(20, { shape: thin, tone: 'accent' }), plainFit(0.16, -0.3));
  expectWholeAndSimple(made);
  const strip = made.parts.parts.find(({ tone }) => tone === 'accent')!;
  const gone = made.compensation.findings.filter(({ code }) => code === 'part-vanishes');
  expect(gone.map(({ severity, parts }) => [severity, parts?.[0]])).toEqual([['decision', strip.id]]);
  expect(referee.area(referee.solid(pathRings(made.cut(strip.id))))).toBeGreaterThan(strip.areaMm2);
});
