import {
  buildLocator,
  type Curve,
  curveLength,
  flattenCurve,
  isCircle,
  nearest,
  openKernel,
  type Point,
  pointAt,
  type Segment,
  signedArea,
  tangentAt,
} from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { areaCurves, plainFit, type Shape } from '../../src/index.ts';
import { curvesOf, fitOf, inDisc, make, origin, pieceOf } from './pieces.ts';

const ground = { shape: { kind: 'disc', centre: origin, diameterMm: 36 }, tone: 'ground' } as const;

const smooth: Readonly<Record<string, Shape>> = {
  ellipse: { kind: 'ellipse', centre: { x: 1, y: -2 }, widthMm: 24, heightMm: 15, angleDeg: 20 },
  leaf: { kind: 'leaf', centre: origin, lengthMm: 20, widthMm: 8, angleDeg: 15 },
  drop: { kind: 'drop', centre: origin, widthMm: 8, lengthMm: 14 },
  crescent: { kind: 'crescent', centre: origin, diameterMm: 14, biteDiameterMm: 12, biteOffsetMm: 3 },
  pebble: {
    kind: 'path',
    fillRule: 'nonzero',
    curves: [
      {
        segments: [
          {
            kind: 'cubic',
            from: { x: 0, y: -6 },
            c1: { x: 6, y: -6 },
            c2: { x: 10, y: -3 },
            to: { x: 10, y: 1 },
          },
          {
            kind: 'cubic',
            from: { x: 10, y: 1 },
            c1: { x: 10, y: 6 },
            c2: { x: 3, y: 8 },
            to: { x: -2, y: 7 },
          },
          {
            kind: 'cubic',
            from: { x: -2, y: 7 },
            c1: { x: -9, y: 5.6 },
            c2: { x: -9, y: -6 },
            to: { x: 0, y: -6 },
          },
        ],
      },
    ],
  },
};

/** Points of the drawn curve moved outward by the ellipse's point with the same normal: the exact path, densely. */
function exactPath(curve: Curve, rx: number, ry: number): Point[] {
  const left = signedArea(curve) > 0 ? 1 : -1;
  const points: Point[] = [];
  for (const segment of curve.segments as readonly Segment[]) {
    const steps = Math.ceil(curveLength({ segments: [segment] }) / 0.01);
    for (let i = 0; i <= steps; i++) {
      const p = pointAt(segment, i / steps);
      const t = tangentAt(segment, i / steps);
      const n = { x: left * t.y, y: -left * t.x };
      const h = Math.hypot(rx * n.x, ry * n.y);
      points.push({ x: p.x + (rx * rx * n.x) / h, y: p.y + (ry * ry * n.y) / h });
    }
  }
  return points;
}

function farthest(points: readonly Point[], curves: readonly Curve[]): number {
  const locator = buildLocator(curves);
  return points.reduce((most, p) => Math.max(most, nearest(locator, p).distance), 0);
}

describe('beam paths', () => {
  beforeAll(() => openKernel());

  it('cuts a ring hole of 1.5 mm with a kerf of 0.16 as one circle of 1.34 mm, to 10 nm', () => {
    const made = make(
      pieceOf(ground, {
        shape: { kind: 'disc', centre: { x: 3.123, y: 14.7 }, diameterMm: 1.5 },
        tone: 'piercing',
      }),
      plainFit(0.16, 0.03),
    );
    const [hole] = curvesOf(made, 'p1', 'inside');
    expect(hole!.segments).toHaveLength(1);
    const circle = isCircle(hole!, 1e-9)!;
    expect(Math.abs(2 * circle.radius - 1.34)).toBeLessThan(1e-5);
    expect(Math.hypot(circle.centre.x - 3.123, circle.centre.y - 14.7)).toBeLessThan(1e-5);
    const [rim] = curvesOf(made, 'p1', 'outside');
    expect(Math.abs(2 * isCircle(rim!, 1e-9)!.radius - 36.16)).toBeLessThan(1e-5);
  });

  it('keeps disc inlays circles on both sides: the pocket shrinks by half the kerf, the inlay grows by it and the allowance', () => {
    const made = make(inDisc({ kind: 'disc', centre: { x: 2, y: -1 }, diameterMm: 8 }), plainFit(0.16, 0.03));
    const pocket = isCircle(curvesOf(made, 'p1', 'inside')[0]!, 1e-9)!;
    const inlay = isCircle(curvesOf(made, 'p2', 'outside')[0]!, 1e-9)!;
    expect(Math.abs(pocket.radius - (4 - 0.08))).toBeLessThan(1e-5);
    expect(Math.abs(inlay.radius - (4 + 0.03 + 0.08))).toBeLessThan(1e-5);
    expect(Math.hypot(pocket.centre.x - inlay.centre.x, pocket.centre.y - inlay.centre.y)).toBeLessThan(1e-9);
  });

  it('calls outer boundaries outside and holes inside', () => {
    const made = make(
      pieceOf(
        ground,
        { shape: { kind: 'ring', centre: origin, outerDiameterMm: 20, innerDiameterMm: 12 }, tone: 'band' },
        { shape: { kind: 'disc', centre: { x: 0, y: 14 }, diameterMm: 1.5 }, tone: 'piercing' },
      ),
      plainFit(0.16, 0.03),
    );
    const roles = made.compensation.cuts.map(({ contours }) =>
      contours
        .map(({ role }) => role)
        .sort()
        .join(' '),
    );
    expect(roles).toEqual(['inside inside outside', 'outside', 'inside outside']);
    for (const { contours } of made.compensation.cuts) {
      for (const { role, curve } of contours) expect(signedArea(curve) > 0).toBe(role === 'outside');
    }
  });

  for (const [name, shape] of Object.entries(smooth)) {
    it(`stays within 2 um of the exact offset of a ${name}, both ways`, () => {
      const made = make(pieceOf({ shape, tone: 'ground' }), plainFit(0.16, 0.03));
      const drawn = areaCurves({ id: 'a', name: 'a', tone: 'ground', shape }).curves[0]!;
      const path = curvesOf(made, 'p1', 'outside')[0]!;
      expect(farthest(exactPath(drawn, 0.08, 0.08), [path])).toBeLessThan(0.002);
      // Back: points of the path lie at half a kerf from the drawing.
      const locator = buildLocator([drawn]);
      const dense = flattenCurve(path, 1e-6);
      for (let i = 0; i < dense.length; i += 2) {
        const d = nearest(locator, { x: dense[i]!, y: dense[i + 1]! }).distance;
        expect(Math.abs(d - 0.08)).toBeLessThan(0.002);
      }
    });

    it(`goes on smoothly round a ${name}: joints turn by less than 1 degree but at its corners`, () => {
      const made = make(pieceOf({ shape, tone: 'ground' }), plainFit(0.16, 0.03));
      const { segments } = curvesOf(made, 'p1', 'outside')[0]!;
      const turns = segments.map((segment, i) => {
        const before = tangentAt(segment, 1);
        const after = tangentAt(segments[(i + 1) % segments.length]!, 0);
        return Math.abs(
          Math.atan2(before.x * after.y - before.y * after.x, before.x * after.x + before.y * after.y),
        );
      });
      // Outward corners become arcs of half the kerf, so not one corner is left.
      expect(Math.max(...turns)).toBeLessThan(Math.PI / 180);
    });
  }

  it('writes smooth designs with at least 10 times fewer segments than their polygons', () => {
    let segments = 0;
    let vertices = 0;
    for (const shape of Object.values(smooth)) {
      const made = make(pieceOf(ground, { shape, tone: 'accent' }), plainFit(0.16, 0.03));
      for (const { contours } of made.compensation.cuts) {
        for (const { curve } of contours) {
          segments += curve.segments.length;
          vertices += flattenCurve(curve).length / 2;
        }
      }
    }
    expect(vertices / segments).toBeGreaterThan(10);
  });

  it('follows the exact path of an oval beam, 0.18 by 0.17 mm, within 2 um', () => {
    const kerf = { xMm: 0.18, yMm: 0.17 };
    const fit = fitOf({ kerfEntry: kerf, kerfExit: kerf, allowanceMm: 0 });
    for (const shape of [smooth.ellipse!, smooth.pebble!]) {
      const made = make(pieceOf({ shape, tone: 'ground' }), fit);
      const drawn = areaCurves({ id: 'a', name: 'a', tone: 'ground', shape }).curves[0]!;
      expect(farthest(exactPath(drawn, 0.09, 0.085), [curvesOf(made, 'p1', 'outside')[0]!])).toBeLessThan(
        0.002,
      );
    }
  });

  it('follows that of a beam twice as wide as high too', () => {
    const kerf = { xMm: 0.24, yMm: 0.12 };
    const fit = fitOf({ kerfEntry: kerf, kerfExit: kerf, allowanceMm: 0 });
    const made = make(pieceOf({ shape: smooth.ellipse!, tone: 'ground' }), fit);
    const drawn = areaCurves({ id: 'a', name: 'a', tone: 'ground', shape: smooth.ellipse! }).curves[0]!;
    expect(farthest(exactPath(drawn, 0.12, 0.06), [curvesOf(made, 'p1', 'outside')[0]!])).toBeLessThan(0.002);
  });
});
