import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  circleCurve,
  curveBounds,
  curveLength,
  isCircle,
  polygonCurve,
  reverseCurve,
  rotation,
  scaling,
  signedArea,
  splitSegment,
  transformCurve,
} from '../src/index.ts';
import {
  anyBlob,
  anyPlacing,
  CURVE_SEED,
  ellipse,
  leaf,
  rectanglePoints,
  rounded,
  withSeed,
} from './curve-shapes.ts';

describe('curves', () => {
  it('a circle is one arc of 2 pi that starts at the right', () => {
    const { segments } = circleCurve({ x: 1, y: 2 }, 3);
    expect(segments).toEqual([
      {
        kind: 'arc',
        from: { x: 4, y: 2 },
        to: { x: 4, y: 2 },
        centre: { x: 1, y: 2 },
        radius: 3,
        sweep: 2 * Math.PI,
      },
    ]);
    expect(curveBounds({ segments })).toEqual({ minX: -2, minY: -1, maxX: 4, maxY: 5 });
    expect(curveLength({ segments })).toBeCloseTo(6 * Math.PI, 12);
  });

  it('a polygon passes over repeated points', () => {
    const p = { x: 0, y: 0 };
    const curve = polygonCurve([p, p, { x: 1, y: 0 }, { x: 1, y: 1 }, p]);
    expect(curve.segments).toHaveLength(3);
    expect(signedArea(curve)).toBe(0.5);
  });

  it("a rounded rectangle has the area and length of Steiner's formula", () => {
    // Inner rectangle grown by a disk: A + P r + pi r^2, P + 2 pi r (Steiner 1840).
    const curve = rounded(rectanglePoints(30, 20), 3);
    expect(signedArea(curve)).toBeCloseTo(24 * 14 + 76 * 3 + 9 * Math.PI, 9);
    expect(curveLength(curve)).toBeCloseTo(76 + 6 * Math.PI, 9);
  });

  it(`joints stay bitwise under maps and reversal (seed ${CURVE_SEED})`, () => {
    fc.assert(
      fc.property(anyBlob, anyPlacing, (blob, placing) => {
        for (const curve of [blob, leaf(40, 14), ellipse(12, 7)]) {
          for (const image of [
            transformCurve(curve, placing),
            reverseCurve(curve),
            transformCurve(curve, scaling(2, 0.7)),
          ]) {
            image.segments.forEach((segment, i) => {
              expect(segment.to).toEqual(image.segments[(i + 1) % image.segments.length]!.from);
            });
          }
        }
      }),
      withSeed(30),
    );
  });
});

describe('isCircle', () => {
  const circle = circleCurve({ x: 1, y: 2 }, 3);

  it('knows a circle however it is cut, turned, run or mirrored', () => {
    const [arc] = circle.segments;
    const [a, rest] = splitSegment(arc!, 0.3);
    const [b, c] = splitSegment(rest, 0.5);
    for (const curve of [circle, { segments: [a, b, c] }, reverseCurve(circle)]) {
      const found = isCircle(curve, 1e-9);
      expect(found?.radius).toBeCloseTo(3, 12);
      expect(found?.centre.x).toBeCloseTo(1, 12);
      expect(found?.centre.y).toBeCloseTo(2, 12);
    }
    const mirrored = isCircle(transformCurve(circle, scaling(-2, 2)), 1e-9);
    expect(mirrored?.centre.x).toBeCloseTo(-2, 12);
    expect(mirrored?.radius).toBeCloseTo(6, 12);
    expect(isCircle(transformCurve(circle, rotation(1)), 1e-9)?.radius).toBeCloseTo(3, 12);
  });

  it('knows what is none', () => {
    expect(isCircle(ellipse(3, 3.1), 0.001)).toBeNull();
    expect(isCircle(leaf(10, 4), 0.001)).toBeNull();
    expect(isCircle(rounded(rectanglePoints(6, 6), 2.9), 0.001)).toBeNull();
    expect(isCircle({ segments: [] }, 0.001)).toBeNull();
    const [half] = splitSegment(circle.segments[0]!, 0.5);
    expect(isCircle({ segments: [half] }, 0.001)).toBeNull();
    const wide = circleCurve({ x: 1, y: 2 }, 3.01).segments[0]!;
    const [, other] = splitSegment(wide, 0.5);
    expect(isCircle({ segments: [half, other] }, 0.001)).toBeNull();
    expect(isCircle({ segments: [half, other] }, 0.02)?.radius).toBeCloseTo(3.005, 6);
  });
});
