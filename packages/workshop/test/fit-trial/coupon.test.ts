import { type Curve, curveBounds } from '@inlaywright/geometry';
import { expect, test } from 'vitest';
import { type CouponOptions, drawCoupon, FIRST_LADDER } from '../../src/fit-trial/coupon.ts';

const options: CouponOptions = {
  stock: 'cherry-3mm',
  thicknessMm: 3,
  drawnKerfMm: 0.16,
  allowancesMm: FIRST_LADDER,
  widthMm: 140,
  heightMm: 160,
  gauge: true,
  slats: true,
};

function width(curve: Curve): number {
  const box = curveBounds(curve);
  return box.maxX - box.minX;
}

test('each plug is wider than its socket by twice the allowance and twice the kerf of the drawing', () => {
  const { sheet, steps } = drawCoupon(options);
  const sockets = sheet.parts
    .filter((part) => part.part.startsWith('sockets'))
    .flatMap((part) => part.contours.filter((contour) => contour.role === 'inside'));
  expect(sockets).toHaveLength(FIRST_LADDER.length);
  for (const step of steps) {
    const plug = sheet.parts.find((part) => part.part === `plug-${step.step}`)!;
    const difference = width(plug.contours[0]!.curve) - width(sockets[step.step - 1]!.curve);
    expect(difference).toBeCloseTo(2 * step.allowanceMm + 2 * options.drawnKerfMm, 9);
  }
});

test('paths keep 0.5 mm or more from each other and stay on the sheet', () => {
  const { sheet } = drawCoupon(options);
  const outer = sheet.parts.flatMap((part) =>
    part.contours.filter((c) => c.role === 'outside').map((c) => curveBounds(c.curve)),
  );
  expect(sheet.widthMm).toBeLessThanOrEqual(options.widthMm);
  expect(sheet.heightMm).toBeLessThanOrEqual(options.heightMm);
  outer.forEach((a, i) => {
    expect(Math.min(a.minX, a.minY)).toBeGreaterThan(0.5);
    expect(a.maxX).toBeLessThan(sheet.widthMm - 0.5);
    expect(a.maxY).toBeLessThan(sheet.heightMm - 0.5);
    for (const b of outer.slice(i + 1)) {
      const apart = Math.max(b.minX - a.maxX, a.minX - b.maxX, b.minY - a.maxY, a.minY - b.maxY);
      // Cuts closer than 0.5 mm can burn away: bureau rule, common practice, no published source.
      expect(apart).toBeGreaterThan(0.5);
    }
  });
});

test('every step, gauge and slat carries its mark inside its own outline', () => {
  const { sheet } = drawCoupon(options);
  for (const part of sheet.parts) {
    expect(part.marks.length, part.part).toBeGreaterThan(0);
    const boxes = part.contours.filter((c) => c.role === 'outside').map((c) => curveBounds(c.curve));
    for (const point of part.marks.flatMap((mark) => mark.points)) {
      const inside = boxes.some(
        (b) => point.x > b.minX && point.x < b.maxX && point.y > b.minY && point.y < b.maxY,
      );
      expect(inside, `${part.part} at ${point.x}, ${point.y}`).toBe(true);
    }
  }
});

test('a space too small is refused with both sizes', () => {
  expect(() => drawCoupon({ ...options, widthMm: 30 })).toThrow(/needs .* mm.*30 x 160/);
  expect(() => drawCoupon({ ...options, heightMm: 60 })).toThrow(/60 mm/);
});

test('a coupon takes little of the sheet, and fits where its blocks do', () => {
  const { sheet } = drawCoupon({ ...options, widthMm: 300, heightMm: 200 });
  const used = sheet.parts.reduce((sum, part) => {
    const boxes = part.contours.filter((c) => c.role === 'outside').map((c) => curveBounds(c.curve));
    const [left, right] = [Math.min(...boxes.map((b) => b.minX)), Math.max(...boxes.map((b) => b.maxX))];
    const [foot, top] = [Math.min(...boxes.map((b) => b.minY)), Math.max(...boxes.map((b) => b.maxY))];
    return sum + (right - left) * (top - foot);
  }, 0);
  // Whole rows, tallest first, used 0.21 of the sheet that they took at this width.
  expect(used / (sheet.widthMm * sheet.heightMm)).toBeGreaterThan(0.55);
  const narrow = drawCoupon({ ...options, widthMm: 200, heightMm: 80 });
  expect(narrow.sheet.heightMm).toBeLessThanOrEqual(80);
});
