import fc from 'fast-check';
import {
  type Affine,
  type ArcSegment,
  type Curve,
  circleCurve,
  compose,
  distance,
  type Point,
  polygonCurve,
  rotation,
  type Segment,
  tangentAt,
  transformCurve,
  translation,
} from '../src/index.ts';

/** Every property about curves runs with this seed; fast-check prints it with the path when one fails. */
export const CURVE_SEED = 20261125;

export const withSeed = (numRuns: number) => ({ seed: CURVE_SEED, numRuns, endOnFailure: true });

const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

export const anyPoint: fc.Arbitrary<Point> = fc.record({ x: real(-50, 50), y: real(-50, 50) });

export const anyLine: fc.Arbitrary<Segment> = fc
  .tuple(anyPoint, anyPoint)
  .filter(([from, to]) => distance(from, to) > 0.01)
  .map(([from, to]) => ({ kind: 'line', from, to }));

export const anyArc: fc.Arbitrary<ArcSegment> = fc
  .record({
    centre: anyPoint,
    radius: real(0.05, 40),
    start: real(-Math.PI, Math.PI),
    sweep: fc.oneof(real(0.05, 6.2), real(-6.2, -0.05)),
  })
  .map(({ centre, radius, start, sweep }) => arcOf(centre, radius, start, sweep));

export const anyCubic: fc.Arbitrary<Segment> = fc
  .tuple(anyPoint, anyPoint, anyPoint, anyPoint)
  .filter(([from, c1, c2, to]) => distance(from, c1) + distance(c1, c2) + distance(c2, to) > 0.1)
  .map(([from, c1, c2, to]) => ({ kind: 'cubic', from, c1, c2, to }));

export const anySegment: fc.Arbitrary<Segment> = fc.oneof(anyLine, anyArc, anyCubic);

/** A turn and a move. */
export const anyPlacing: fc.Arbitrary<Affine> = fc
  .tuple(anyPoint, real(-Math.PI, Math.PI))
  .map(([p, angle]) => compose(translation(p.x, p.y), rotation(angle)));

export function arcOf(centre: Point, radius: number, start: number, sweep: number): ArcSegment {
  const at = (angle: number): Point => ({
    x: centre.x + radius * Math.cos(angle),
    y: centre.y + radius * Math.sin(angle),
  });
  return { kind: 'arc', from: at(start), to: at(start + sweep), centre, radius, sweep };
}

export function ellipse(a: number, b: number): Curve {
  return transformCurve(circleCurve({ x: 0, y: 0 }, 1), { a, b: 0, c: 0, d: b, e: 0, f: 0 });
}

/** A smooth closed curve of cubics through points at the given radii and rising angles (Catmull-Rom tangents). */
export function blob(radii: readonly number[]): Curve {
  const n = radii.length;
  const points = radii.map((radius, i) => {
    const angle = (2 * Math.PI * i) / n;
    return { x: radius * Math.cos(angle), y: radius * Math.sin(angle) };
  });
  const at = (i: number): Point => points[(i + n) % n]!;
  const tangent = (i: number): Point => ({
    x: (at(i + 1).x - at(i - 1).x) / 6,
    y: (at(i + 1).y - at(i - 1).y) / 6,
  });
  return {
    segments: points.map((from, i) => {
      const to = at(i + 1);
      const t0 = tangent(i);
      const t1 = tangent(i + 1);
      return {
        kind: 'cubic',
        from,
        c1: { x: from.x + t0.x, y: from.y + t0.y },
        c2: { x: to.x - t1.x, y: to.y - t1.y },
        to,
      };
    }),
  };
}

export const anyBlob: fc.Arbitrary<Curve> = fc
  .tuple(fc.array(real(0.75, 1.25), { minLength: 4, maxLength: 9 }), real(4, 25))
  .map(([radii, size]) => blob(radii.map((r) => r * size)));

/** Two equal arcs that meet in points at top and bottom. */
export function leaf(length: number, width: number): Curve {
  const h = length / 2;
  const w = width / 2;
  const radius = (h * h + w * w) / (2 * w);
  const sweep = 2 * Math.asin(h / radius);
  const bottom = { x: 0, y: -h };
  const top = { x: 0, y: h };
  return {
    segments: [
      { kind: 'arc', from: bottom, to: top, centre: { x: w - radius, y: 0 }, radius, sweep },
      { kind: 'arc', from: top, to: bottom, centre: { x: radius - w, y: 0 }, radius, sweep },
    ],
  };
}

/** A polygon with its corners rounded by arcs of one radius. */
export function rounded(points: readonly Point[], radius: number): Curve {
  const n = points.length;
  const arcs = points.map((corner, i): ArcSegment => {
    const before = points[(i + n - 1) % n]!;
    const after = points[(i + 1) % n]!;
    const inLength = distance(before, corner);
    const outLength = distance(corner, after);
    const u = { x: (corner.x - before.x) / inLength, y: (corner.y - before.y) / inLength };
    const v = { x: (after.x - corner.x) / outLength, y: (after.y - corner.y) / outLength };
    const sweep = Math.atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y);
    const reach = radius * Math.tan(Math.abs(sweep) / 2);
    const side = Math.sign(sweep) * radius;
    const from = { x: corner.x - reach * u.x, y: corner.y - reach * u.y };
    const to = { x: corner.x + reach * v.x, y: corner.y + reach * v.y };
    return {
      kind: 'arc',
      from,
      to,
      centre: { x: from.x - side * u.y, y: from.y + side * u.x },
      radius,
      sweep,
    };
  });
  return {
    segments: arcs.flatMap((arc, i): Segment[] => [
      arc,
      { kind: 'line', from: arc.to, to: arcs[(i + 1) % n]!.from },
    ]),
  };
}

export function starPoints(points: number, outer: number, inner: number): Point[] {
  return Array.from({ length: 2 * points }, (_, i) => {
    const angle = Math.PI / 2 + (Math.PI * i) / points;
    const radius = i % 2 === 0 ? outer : inner;
    return { x: radius * Math.cos(angle), y: radius * Math.sin(angle) };
  });
}

export function rectanglePoints(width: number, height: number): Point[] {
  return [
    { x: 0, y: 0 },
    { x: width, y: 0 },
    { x: width, y: height },
    { x: 0, y: height },
  ];
}

/** A ring's coordinates on the 1 nm grid, as region operations leave them. */
export function onGrid(ring: Float64Array): Float64Array {
  return ring.map((value) => Math.round(value * 1e6) / 1e6);
}

export function ringPoints(ring: Float64Array): Point[] {
  return Array.from({ length: ring.length / 2 }, (_, i) => ({ x: ring[2 * i]!, y: ring[2 * i + 1]! }));
}

export function ringCurve(ring: Float64Array): Curve {
  return polygonCurve(ringPoints(ring));
}

/** Tangent breaks at the joints of a closed curve, radians, with their places. */
export function tangentBreaks(curve: Curve): { at: Point; size: number }[] {
  return curve.segments.map((segment, i) => {
    const next = curve.segments[(i + 1) % curve.segments.length]!;
    const a = tangentAt(segment, 1);
    const b = tangentAt(next, 0);
    return { at: segment.to, size: Math.abs(Math.atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y)) };
  });
}

/** Distance from a point to a straight stretch, in plain words: the slow twin of the locator. */
export function distanceToStretch(p: Point, a: Point, b: Point): number {
  const ux = b.x - a.x;
  const uy = b.y - a.y;
  const square = ux * ux + uy * uy;
  const t = square === 0 ? 0 : Math.min(1, Math.max(0, ((p.x - a.x) * ux + (p.y - a.y) * uy) / square));
  return Math.hypot(p.x - a.x - t * ux, p.y - a.y - t * uy);
}
