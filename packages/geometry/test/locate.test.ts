import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  buildLocator,
  buildRingLocator,
  type Curve,
  circleCurve,
  distance,
  emptyFoot,
  flattenCurve,
  flattenSegments,
  footInto,
  loneSegments,
  nearest,
  nearestHit,
  nearestInto,
  type Point,
  pointAt,
  pointsWithin,
  polygonCurve,
  reverseCurve,
  roughDistance,
  type Segment,
  segmentBounds,
  segmentsInBox,
  signedDistance,
  tangentAt,
  transformCurve,
  translation,
  windingAt,
  windingNumber,
} from '../src/index.ts';
import {
  anyArc,
  anyBlob,
  anyPoint,
  anySegment,
  arcOf,
  CURVE_SEED,
  distanceToStretch,
  ellipse,
  leaf,
  rectanglePoints,
  ringCurve,
  ringPoints,
  rounded,
  withSeed,
} from './curve-shapes.ts';

/** Distance to a segment in plain words: closed forms for lines and arcs, fine chords for cubics. */
function plainDistance(p: Point, segment: Segment): number {
  if (segment.kind === 'line') return distanceToStretch(p, segment.from, segment.to);
  if (segment.kind === 'arc') {
    const { centre, radius, sweep } = segment;
    const angle = Math.atan2(p.y - centre.y, p.x - centre.x);
    const start = Math.atan2(segment.from.y - centre.y, segment.from.x - centre.x);
    const turn = 2 * Math.PI;
    const ahead = (((sweep < 0 ? start - angle : angle - start) % turn) + turn) % turn;
    const ends = Math.min(distance(p, segment.from), distance(p, segment.to));
    return ahead <= Math.abs(sweep) ? Math.min(ends, Math.abs(distance(p, centre) - radius)) : ends;
  }
  const line = ringPoints(flattenSegments([segment], 0.00001));
  return Math.min(...line.slice(1).map((q, i) => distanceToStretch(p, line[i]!, q)));
}

/** Winding number by summing angles over a fine polyline: the slow twin. */
function plainWinding(p: Point, curve: Curve): number {
  const points = ringPoints(flattenCurve(curve, 0.0001));
  let sum = 0;
  points.forEach((a, i) => {
    const b = points[(i + 1) % points.length]!;
    sum += Math.atan2(
      (a.x - p.x) * (b.y - p.y) - (a.y - p.y) * (b.x - p.x),
      (a.x - p.x) * (b.x - p.x) + (a.y - p.y) * (b.y - p.y),
    );
  });
  return Math.round(sum / (2 * Math.PI));
}

const manySegments = fc.array(fc.array(anySegment, { minLength: 1, maxLength: 6 }), {
  minLength: 1,
  maxLength: 8,
});

describe(`nearest (seed ${CURVE_SEED})`, () => {
  it('finds what trying every segment finds', () => {
    fc.assert(
      fc.property(manySegments, fc.array(anyPoint, { minLength: 5, maxLength: 20 }), (chains, points) => {
        const curves = chains.map((segments) => ({ segments }));
        const locator = buildLocator(curves);
        for (const p of points) {
          const hit = nearest(locator, p);
          const all = chains.map((segments) => segments.map((segment) => plainDistance(p, segment)));
          const least = Math.min(...all.flat());
          expect(Math.abs(hit.distance - least)).toBeLessThan(0.00006);
          const segment = chains[hit.curve]![hit.segment]!;
          expect(Math.abs(all[hit.curve]![hit.segment]! - hit.distance)).toBeLessThan(0.00006);
          expect(distance(p, hit.point)).toBeCloseTo(hit.distance, 9);
          if (segment.kind === 'cubic') continue;
          expect(Math.abs(hit.distance - least)).toBeLessThan(hit.distance === least ? 1 : 0.00006);
          expect(distance(pointAt(segment, hit.t), hit.point)).toBeLessThan(1e-9);
        }
      }),
      withSeed(60),
    );
  });

  it('is exact on lines and arcs', () => {
    fc.assert(
      fc.property(fc.array(anyArc, { minLength: 1, maxLength: 5 }), anyPoint, (arcs, p) => {
        const hit = nearest(buildLocator([{ segments: arcs }]), p);
        expect(hit.distance).toBeCloseTo(Math.min(...arcs.map((arc) => plainDistance(p, arc))), 10);
      }),
      withSeed(300),
    );
  });

  it('does not depend on the result of the query before, and says when nothing is near enough', () => {
    fc.assert(
      fc.property(anyBlob, fc.array(anyPoint, { minLength: 2, maxLength: 30 }), (blob, points) => {
        const locator = buildLocator([blob, leaf(40, 14), circleCurve({ x: 3, y: 4 }, 6)]);
        const kept = nearestHit();
        for (const p of points) {
          expect(nearestInto(locator, p.x, p.y, kept)).toBe(true);
          expect(kept).toEqual(nearest(locator, p));
          const limit = kept.distance * 0.999;
          expect(nearest(locator, p, limit).curve).toBe(-1);
          expect(nearest(locator, p, kept.distance * 1.001)).toEqual(kept);
        }
      }),
      withSeed(50),
    );
  });

  it('takes the first of several as near: seam curves lie on top of each other', () => {
    const square = polygonCurve(rectanglePoints(10, 10));
    const locator = buildLocator([square, square, reverseCurve(square)]);
    const hit = nearest(locator, { x: 4, y: 1 });
    expect([hit.curve, hit.segment, hit.t]).toEqual([0, 0, 0.4]);
    const corner = nearest(locator, { x: -1, y: -1 });
    expect([corner.curve, corner.segment, corner.t]).toEqual([0, 0, 0]);
    // The hint of the last query must not win a tie.
    const kept = { ...nearest(locator, { x: 4, y: 1 }), piece: 9 };
    nearestInto(locator, 4, 1, kept);
    expect(kept.curve).toBe(0);
  });

  it('from the centre of a circle is a radius away', () => {
    const hit = nearest(buildLocator([circleCurve({ x: 2, y: 3 }, 4)]), { x: 2, y: 3 });
    expect(hit.distance).toBe(4);
    expect(distance(hit.point, { x: 2, y: 3 })).toBeCloseTo(4, 12);
  });

  it('of nothing is nothing', () => {
    const none = buildLocator([]);
    expect(nearest(none, { x: 0, y: 0 }).curve).toBe(-1);
    expect(signedDistance(none, { x: 0, y: 0 })).toMatchObject({
      inside: false,
      distance: Number.POSITIVE_INFINITY,
    });
    expect(segmentsInBox(none, { minX: -1, minY: -1, maxX: 1, maxY: 1 })).toEqual([]);
  });

  it('over rings gives ring and edge numbers', () => {
    const ring = flattenCurve(leaf(40, 14), 0.01);
    const locator = buildRingLocator([Float64Array.from([100, 100, 101, 100, 101, 101]), ring]);
    const hit = nearest(locator, { x: ring[10]!, y: ring[11]! });
    expect(hit.curve).toBe(1);
    expect([4, 5]).toContain(hit.segment);
    expect(hit.distance).toBe(0);
    const p = { x: 7, y: 3 };
    expect(nearest(locator, p).distance).toBeCloseTo(
      nearest(buildLocator([ringCurve(ring)]), p).distance,
      12,
    );
  });
});

describe(`quick forms of nearest (seed ${CURVE_SEED})`, () => {
  it('footInto finds the same place, and the side where there is one', () => {
    let sides = 0;
    const spread = fc.record({
      x: fc.integer({ min: -600, max: 600 }).map((n) => n / 41),
      y: fc.integer({ min: -600, max: 600 }).map((n) => n / 43),
    });
    const triangle = polygonCurve([
      { x: -9, y: -2 },
      { x: 7, y: -8 },
      { x: 3, y: 9 },
    ]);
    const rings = [circleCurve({ x: 1, y: 2 }, 6), reverseCurve(circleCurve({ x: -2, y: 1 }, 3)), triangle];
    fc.assert(
      fc.property(manySegments, fc.array(spread, { minLength: 1, maxLength: 8 }), (some, points) => {
        const chains = [...some, ...rings.map(({ segments }) => segments)];
        const locator = buildLocator(chains.map((segments) => ({ segments })));
        const foot = emptyFoot();
        for (const p of points) {
          footInto(locator, p.x, p.y, foot);
          const hit = nearest(locator, p);
          expect(foot.distance).toBeCloseTo(hit.distance, 9);
          expect(distance(foot, p)).toBeCloseTo(hit.distance, 9);
          // Among places equally near but for rounding either may come out.
          if (foot.piece !== hit.piece) continue;
          expect([foot.curve, foot.segment]).toEqual([hit.curve, hit.segment]);
          expect(distance(foot, hit.point)).toBeLessThan(1e-9);
          const segment = chains[hit.curve]![hit.segment]!;
          if (foot.side === 0 || segment.kind === 'cubic' || hit.distance < 1e-6) continue;
          const ahead = tangentAt(segment, hit.t);
          const left = ahead.x * (p.y - hit.point.y) - ahead.y * (p.x - hit.point.x);
          expect(Math.sign(left)).toBe(foot.side);
          sides++;
        }
      }),
      withSeed(200),
    );
    expect(sides).toBeGreaterThan(100);
  });

  it('roughDistance is exact between its bounds and tells which bound was passed', () => {
    fc.assert(
      fc.property(manySegments, fc.array(anyPoint, { minLength: 1, maxLength: 8 }), (chains, points) => {
        const locator = buildLocator(chains.map((segments) => ({ segments })));
        const guess = { piece: -1 };
        for (const p of points) {
          const exact = nearest(locator, p).distance;
          if (exact < 1e-6) continue;
          for (const [enough, limit] of [
            [0, Number.POSITIVE_INFINITY],
            [0.9 * exact, 1.1 * exact + 1],
            [1.5 * exact + 1, Number.POSITIVE_INFINITY],
            [0.1 * exact, 0.9 * exact],
          ] as const) {
            const rough = roughDistance(locator, p.x, p.y, guess, enough, limit);
            if (exact > limit) expect(rough).toBe(Number.POSITIVE_INFINITY);
            else if (exact < enough) expect(rough).toBeLessThanOrEqual(enough);
            else expect(rough).toBeCloseTo(exact, 9);
          }
        }
      }),
      withSeed(200),
    );
  });

  it('loneSegments marks those that no box of a stranger touches', () => {
    const square = (x: number, side: number): Curve =>
      polygonCurve([
        { x, y: 0 },
        { x: x + side, y: 0 },
        { x: x + side, y: side },
        { x, y: side },
      ]);
    // The second square stands 0.1 off the right edge of the first; opposite edges are strangers, but far.
    const locator = buildLocator([square(0, 10), square(10.1, 5)]);
    expect([...loneSegments(locator, [4, 4], 0.05)]).toEqual([1, 1, 1, 1, 1, 1, 1, 1]);
    expect([...loneSegments(locator, [4, 4], 0.2)]).toEqual([0, 0, 1, 1, 0, 1, 0, 0]);
  });
});

describe(`inside (seed ${CURVE_SEED})`, () => {
  const shapes: Curve[] = [
    leaf(40, 14),
    ellipse(19, 12.5),
    circleCurve({ x: 3, y: -4 }, 6),
    reverseCurve(circleCurve({ x: 0, y: 2 }, 3)),
    rounded(rectanglePoints(20, 12), 2),
    polygonCurve(rectanglePoints(9, 7)),
  ];

  it('agrees with summed angles away from the curves', () => {
    fc.assert(
      fc.property(anyBlob, fc.subarray(shapes), anyPoint, (blob, some, far) => {
        const p = { x: far.x / 2.5, y: far.y / 2.5 };
        const curves = [blob, ...some];
        const locator = buildLocator(curves);
        fc.pre(nearest(locator, p).distance > 0.001);
        const expected = curves.reduce((sum, curve) => sum + plainWinding(p, curve), 0);
        expect(windingNumber(locator, p)).toBe(expected);
        expect(windingAt(locator, p.x, p.y)).toBe(expected);
        const signed = signedDistance(locator, p);
        expect(signed.inside).toBe(expected !== 0);
        expect(signed.distance).toBe((signed.inside ? -1 : 1) * signed.nearest.distance);
      }),
      withSeed(300),
    );
  });

  it('counts joints once: rays through corners, extremes, level edges and arc ends', () => {
    const square = buildLocator([polygonCurve(rectanglePoints(10, 10))]);
    for (const y of [0, 5, 10]) {
      expect(windingAt(square, -1, y)).toBe(0);
      expect(windingAt(square, 11, y)).toBe(0);
    }
    expect(windingAt(square, 5, 5)).toBe(1);
    const circle = buildLocator([circleCurve({ x: 0, y: 0 }, 5)]);
    for (const [x, y] of [
      [-6, 0],
      [6, 0],
      [-6, 5],
      [-6, -5],
      [1, 5.0001],
      [-3, 4.1],
    ] as const) {
      expect(windingAt(circle, x, y)).toBe(0);
    }
    for (const [x, y] of [
      [0, 0],
      [-4.9, 0],
      [4.9, 0],
      [0, 4.999],
      [0, -4.999],
    ] as const) {
      expect(windingAt(circle, x, y)).toBe(1);
    }
    const diamond = buildLocator([
      polygonCurve([
        { x: 0, y: -5 },
        { x: 5, y: 0 },
        { x: 0, y: 5 },
        { x: -5, y: 0 },
      ]),
    ]);
    expect([-6, -4, 4, 6].map((x) => windingAt(diamond, x, 0))).toEqual([0, 1, 1, 0]);
  });

  it('holes run clockwise count as outside', () => {
    const ring = buildLocator([circleCurve({ x: 0, y: 0 }, 5), reverseCurve(circleCurve({ x: 0, y: 0 }, 2))]);
    expect(signedDistance(ring, { x: 0, y: 0 })).toMatchObject({ inside: false, distance: 2, winding: 0 });
    expect(signedDistance(ring, { x: 3, y: 0 })).toMatchObject({ inside: true, distance: -1 });
    expect(signedDistance(ring, { x: 7, y: 0 })).toMatchObject({ inside: false, distance: 2 });
  });
});

describe(`boxes and neighbourhoods (seed ${CURVE_SEED})`, () => {
  it('segmentsInBox lists every segment that enters the box, and none whose box is apart', () => {
    fc.assert(
      fc.property(manySegments, anyPoint, fc.double({ min: 1, max: 20, noNaN: true }), (chains, p, size) => {
        const box = { minX: p.x - size, minY: p.y - size, maxX: p.x + size, maxY: p.y + size };
        const found = segmentsInBox(buildLocator(chains.map((segments) => ({ segments }))), box);
        const isFound = (c: number, s: number): boolean =>
          found.some(({ curve, segment }) => curve === c && segment === s);
        chains.forEach((segments, c) => {
          segments.forEach((segment, s) => {
            const own = segmentBounds(segment);
            const apart =
              own.minX > box.maxX || own.maxX < box.minX || own.minY > box.maxY || own.maxY < box.minY;
            if (apart) expect(isFound(c, s)).toBe(false);
            const enters = Array.from({ length: 201 }, (_, i) => pointAt(segment, i / 200)).some(
              (q) => q.x > box.minX && q.x < box.maxX && q.y > box.minY && q.y < box.maxY,
            );
            if (enters) expect(isFound(c, s)).toBe(true);
          });
        });
        const keys = found.map(({ curve, segment }) => curve * 1000 + segment);
        expect(keys).toEqual([...new Set(keys)].sort((a, b) => a - b));
      }),
      withSeed(60),
    );
  });

  it('pointsWithin gives each near segment once, at its nearest place', () => {
    fc.assert(
      fc.property(
        fc.array(anyArc, { minLength: 1, maxLength: 8 }),
        anyPoint,
        fc.double({ min: 1, max: 30, noNaN: true }),
        (arcs, p, reach) => {
          const found = pointsWithin(buildLocator([{ segments: arcs }]), p, reach);
          const expected = arcs
            .map((arc, i) => ({ i, d: plainDistance(p, arc) }))
            .filter(({ d }) => d <= reach);
          expect(found.map(({ segment }) => segment)).toEqual(expected.map(({ i }) => i));
          found.forEach((hit, k) => {
            expect(hit.distance).toBeCloseTo(expected[k]!.d, 9);
          });
        },
      ),
      withSeed(150),
    );
  });

  it('has the bounds of its curves', () => {
    const locator = buildLocator([
      leaf(40, 14),
      transformCurve(circleCurve({ x: 0, y: 0 }, 1), translation(30, 5)),
    ]);
    expect(locator.bounds.minY).toBe(-20);
    expect(locator.bounds.maxX).toBe(31);
    const half = buildLocator([{ segments: [arcOf({ x: 0, y: 0 }, 2, -1, 2)] }]);
    expect(half.bounds.maxX).toBe(2);
    expect(half.bounds.minX).toBeCloseTo(2 * Math.cos(1), 12);
  });
});
