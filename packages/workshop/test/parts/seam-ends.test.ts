import {
  buildRingLocator,
  difference,
  nearest,
  offset,
  openKernel,
  type Region,
  regionFromRings,
  union,
} from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { openReferee, type Referee, type Solid } from '../../../../bench/src/compensation-geos.ts';
import { plainFit } from '../../src/index.ts';
import {
  freedBy,
  type Laid,
  type Made,
  make,
  origin,
  pathRegion,
  pieceOf,
  polygonShape,
  square,
} from './pieces.ts';

const KERF = 0.2;
const ALLOWANCE = 0.03;
const GEOS_MM = 3e-4;

const disc: Laid = { shape: { kind: 'disc', centre: origin, diameterMm: 20 }, tone: 'ground' };
const ringHole: Laid = { shape: { kind: 'disc', centre: { x: 0, y: 7 }, diameterMm: 1.5 }, tone: 'piercing' };
const bar = (angleDeg: number): Laid => ({
  shape: { kind: 'rectangle', centre: { x: 8, y: 0 }, widthMm: 8, heightMm: 4, angleDeg },
  tone: 'accent',
});

/** Seam ends on the rim of the piece, and points of the rim with their distance from the nearest seam end. */
function rimPoints({ parts }: Made): { x: number; y: number; fromEnd: number }[] {
  const ends = parts.seams.flatMap(({ stretches }) =>
    stretches
      .filter(({ closed }) => !closed)
      .flatMap(({ points }) => {
        const n = points.length;
        return [
          { x: points[0]!, y: points[1]! },
          { x: points[n - 2]!, y: points[n - 1]! },
        ];
      }),
  );
  return parts.rims.flatMap(({ stretches }) =>
    stretches.flatMap(({ points }) => {
      const out = [];
      for (let i = 0; i < points.length; i += 2) {
        const x = points[i]!;
        const y = points[i + 1]!;
        const fromEnd = ends.reduce((least, end) => Math.min(least, Math.hypot(end.x - x, end.y - y)), 1e9);
        out.push({ x, y, fromEnd });
      }
      return out;
    }),
  );
}

function aims({ compensation }: Made): Region {
  return union(compensation.cuts.map(({ aim }) => regionFromRings(aim.rings, 'nonzero')));
}

/** All parts as the beam frees them, laid where they belong. */
function assembled({ compensation }: Made): Region {
  return union(compensation.cuts.map((cut) => offset(pathRegion(cut), -KERF / 2, { tolerance: 1e-4 })));
}

const pieces: Readonly<Record<string, readonly Laid[]>> = {
  'an inlay that reaches the outline square': [disc, bar(0)],
  'an inlay that reaches the outline aslant': [disc, bar(35)],
  'an inlay that reaches the outline at two places': [
    disc,
    { shape: { kind: 'rectangle', centre: origin, widthMm: 30, heightMm: 3, angleDeg: 10 }, tone: 'accent' },
  ],
  'a petal that adds to the outline': [
    disc,
    {
      shape: { kind: 'leaf', centre: { x: 9, y: 1 }, lengthMm: 9, widthMm: 5, angleDeg: 60 },
      tone: 'accent',
      extendsOutline: true,
    },
  ],
  'an inlay cut by a piercing': [
    disc,
    { shape: { kind: 'rectangle', centre: { x: 0, y: 5 }, widthMm: 8, heightMm: 4 }, tone: 'accent' },
    ringHole,
  ],
  'an inlay around a piercing': [
    disc,
    { shape: { kind: 'disc', centre: { x: 0, y: 7 }, diameterMm: 4 }, tone: 'accent' },
    ringHole,
  ],
  'a band along the rim': [
    { shape: { kind: 'disc', centre: origin, diameterMm: 20 }, tone: 'band' },
    { shape: { kind: 'disc', centre: origin, diameterMm: 16 }, tone: 'ground' },
  ],
};

describe('where seams run out into rims', () => {
  beforeAll(() => openKernel());

  for (const [name, laid] of Object.entries(pieces)) {
    it(`keeps the rim of the assembled aim where it was drawn, to 1 um, for ${name}`, () => {
      const made = make(pieceOf(...laid), plainFit(KERF, ALLOWANCE));
      const locator = buildRingLocator(aims(made).rings);
      const points = rimPoints(made);
      expect(points.length).toBeGreaterThan(100);
      for (const { x, y } of points) expect(nearest(locator, { x, y }).distance).toBeLessThan(0.001);
    });

    it(`frees rims of true size away from seam ends, and near them neither horn nor notch beyond the allowance, for ${name}`, () => {
      for (const allowance of [ALLOWANCE, -ALLOWANCE]) {
        const made = make(pieceOf(...laid), plainFit(KERF, allowance));
        const freed = assembled(made);
        const locator = buildRingLocator(freed.rings);
        for (const { x, y, fromEnd } of rimPoints(made)) {
          if (fromEnd > 0.3) expect(nearest(locator, { x, y }).distance).toBeLessThan(0.0015);
        }
        const drawn = difference(made.parts.outline, made.parts.piercings);
        expect(difference(freed, offset(drawn, ALLOWANCE + 0.002)).rings).toEqual([]);
        const inner = offset(drawn, -ALLOWANCE - 0.002);
        // Inside, loose seams are open: only rims are asked for.
        const rimBand = difference(inner, offset(drawn, -ALLOWANCE - 0.01));
        const missing = difference(rimBand, union([freed, ...seamBands(made, 2 * ALLOWANCE)]));
        expect(missing.rings).toEqual([]);
      }
    });
  }
});

/** What lies within `reach` of a seam. */
function seamBands({ parts }: Made, reach: number): Region[] {
  return parts.seams.flatMap(({ stretches }) =>
    stretches.flatMap(({ points, closed }) => {
      const bands: Region[] = [];
      for (let i = 0; i + (closed ? 0 : 2) < points.length; i += 2) {
        const j = (i + 2) % points.length;
        const thin = regionFromRings(
          [
            Float64Array.from([
              points[i]!,
              points[i + 1]!,
              points[j]!,
              points[j + 1]!,
              points[j]! + 1e-5,
              points[j + 1]! + 1e-5,
              points[i]! + 1e-5,
              points[i + 1]! + 1e-5,
            ]),
          ],
          'nonzero',
        );
        bands.push(offset(thin, reach, { tolerance: 1e-3 }));
      }
      return bands;
    }),
  );
}

describe('seams that meet and seams within seams, a check with GEOS', () => {
  let referee: Referee;
  beforeAll(async () => {
    await openKernel();
    referee = await openReferee();
  });

  const gapsIn = (made: Made, p: string, q: string, window: Solid) =>
    referee.gaps(freedBy(referee, made.cut(p), KERF), freedBy(referee, made.cut(q), KERF), window, 0.01);

  it('a band round an inlay: both of its seams press by the allowance everywhere', () => {
    const made = make(
      pieceOf(
        disc,
        { shape: { kind: 'ellipse', centre: origin, widthMm: 12, heightMm: 9 }, tone: 'band' },
        {
          shape: { kind: 'star', centre: origin, points: 5, outerDiameterMm: 7, innerDiameterMm: 4 },
          tone: 'accent',
        },
      ),
      plainFit(KERF, ALLOWANCE),
    );
    const near = referee.buffer(referee.solid([square(0.001)]), 9);
    for (const [p, q] of [['p2', 'p1']] as const) {
      // The band's own hole lies more than 1 mm inside its outer seam.
      const window = referee.difference(near, referee.buffer(referee.solid([square(0.001)]), 4.2));
      const gaps = gapsIn(made, p, q, window);
      expect(gaps.worstMm).toBeGreaterThan(-ALLOWANCE - 0.001);
      expect(gaps.airMm).toBeLessThan(-ALLOWANCE + 0.001);
    }
    const gaps = gapsIn(made, 'p3', 'p2', referee.buffer(referee.solid([square(0.001)]), 3.8));
    expect(gaps.worstMm).toBeGreaterThan(-ALLOWANCE - GEOS_MM);
    expect(gaps.airMm).toBeLessThan(-ALLOWANCE + GEOS_MM);
  });

  it('three parts that meet at a point: nowhere deeper than the allowance, and no air up to the point', () => {
    // Two inlays side by side, straight on the ground: every angle at their meeting is 90 or 180 degrees.
    const made = make(
      pieceOf(
        disc,
        { shape: polygonShape([-4, 0], [0, 0], [0, 3], [-4, 3]), tone: 'light' },
        { shape: polygonShape([0, 0], [4, 0], [4, 3], [0, 3]), tone: 'dark' },
      ),
      plainFit(KERF, ALLOWANCE),
    );
    const window = referee.solid([square(1.2)]);
    // Each pair is measured where it shares a seam; the other two meet it at the window's middle.
    const halves = {
      'p2 p1': referee.solid([[-1.2, -1, -0.05, -1, -0.05, 1, -1.2, 1]]),
      'p3 p1': referee.solid([[0.05, -1, 1.2, -1, 1.2, 1, 0.05, 1]]),
      'p3 p2': referee.solid([[-1, 0.05, 1, 0.05, 1, 1.2, -1, 1.2]]),
    };
    for (const [pair, half] of Object.entries(halves)) {
      const [p, q] = pair.split(' ') as [string, string];
      const gaps = gapsIn(made, p, q, referee.intersection(half, window));
      expect(gaps.worstMm).toBeGreaterThan(-ALLOWANCE - GEOS_MM);
      expect(gaps.airMm).toBeLessThan(-ALLOWANCE + GEOS_MM);
    }
    // At the point itself: no part reaches deeper into another than the allowance, and nothing is left open.
    const solids = ['p1', 'p2', 'p3'].map((id) => freedBy(referee, made.cut(id), KERF));
    for (const [p, q] of [
      [0, 1],
      [0, 2],
      [1, 2],
    ] as const) {
      const overlap = referee.intersection(solids[p]!, solids[q]!);
      expect(referee.area(referee.buffer(overlap, -ALLOWANCE / 2 - 0.0055))).toBe(0);
    }
    const all = solids.reduce((a, b) => referee.union(a, b));
    expect(referee.area(referee.difference(window, all))).toBeLessThan(1e-6);
  });

  it('an inlay on two others: the top one presses on both alike, across the seam below it', () => {
    const made = make(
      pieceOf(
        disc,
        { shape: { kind: 'disc', centre: { x: -3, y: 0 }, diameterMm: 8 }, tone: 'light' },
        {
          shape: { kind: 'rectangle', centre: { x: 2, y: 1 }, widthMm: 7, heightMm: 4, angleDeg: 12 },
          tone: 'dark',
        },
      ),
      plainFit(KERF, ALLOWANCE),
    );
    const pocket = referee.union(
      freedBy(referee, made.cut('p1'), KERF),
      freedBy(referee, made.cut('p2'), KERF),
    );
    const window = referee.buffer(referee.solid([[-1, -0.5, 5, 0.5, 5, 1.5, -1, 1.5]]), 2.2);
    const gaps = referee.gaps(freedBy(referee, made.cut('p3'), KERF), pocket, window, 0.01);
    expect(gaps.airMm).toBeLessThan(-ALLOWANCE + 0.001);
  });

  it('negative allowances leave that much air everywhere, to the very end of the seam on the rim', () => {
    const made = make(pieceOf(disc, bar(35)), plainFit(KERF, -ALLOWANCE));
    const gaps = gapsIn(made, 'p2', 'p1', referee.buffer(referee.solid([square(0.001)]), 11));
    // Where a seam meets the rim aslant the gap ends in an arc about its end that the beam cannot follow wholly.
    expect(gaps.worstMm).toBeGreaterThan(ALLOWANCE - 0.003);
  });

  it('is settled by chains, in as many lines and arcs as there are', () => {
    const made = make(pieceOf(disc, bar(35)), plainFit(KERF, ALLOWANCE));
    // The rim, three sides, two eased corners, the round joins at both ends of the rim and where the growth ends.
    expect(made.cut('p2').contours[0]!.curve.segments.length).toBeLessThanOrEqual(12);
    // The rim in one, three sides, two joins at its ends; the eased corners are corners of the path.
    expect(made.cut('p1').contours[0]!.curve.segments.length).toBeLessThanOrEqual(6);
  });

  it('confines growth to what a neighbour has: across a web narrower than the allowance, and reports it', () => {
    const near: Laid = { shape: { kind: 'disc', centre: { x: 4.98, y: 0 }, diameterMm: 10 }, tone: 'accent' };
    const made = make(pieceOf(disc, near), plainFit(KERF, ALLOWANCE));
    const drawn = difference(made.parts.outline, made.parts.piercings);
    expect(difference(aims(made), offset(drawn, 0.001)).rings).toEqual([]);
    const found = made.compensation.findings.filter(({ code }) => code === 'allowance-too-wide');
    expect(found.map(({ parts }) => parts)).toEqual([['p1']]);
    expect(found[0]!.figureMm).toBeCloseTo(0.02, 3);
    expect(found[0]!.at!.x).toBeCloseTo(9.99, 2);
  });

  it('keeps aims out of a piercing that an eased point reaches through its part to', () => {
    // A triangle with a piercing that touches its point: two legs that meet there in nothing.
    const legs = polygonShape([0, 6], [-4, -4], [4, -4]);
    const between = polygonShape([0, 6], [-2, -3], [2, -3]);
    const made = make(
      pieceOf(disc, { shape: legs, tone: 'accent' }, { shape: between, tone: 'piercing' }),
      plainFit(KERF, 0),
    );
    for (const id of made.parts.parts.map((part) => part.id)) {
      const aim = regionFromRings(made.cut(id).aim.rings, 'nonzero');
      const drawn = difference(made.parts.outline, made.parts.piercings);
      expect(difference(aim, offset(drawn, 0.001)).rings).toEqual([]);
    }
  });
});
