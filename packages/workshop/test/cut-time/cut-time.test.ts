import { readFileSync } from 'node:fs';
import { circleCurve, polygonCurve } from '@inlaywright/geometry';
import { expect, test } from 'vitest';
import {
  arcSpeed,
  cornerSpeed,
  cutTime,
  pathTime,
  TYPICAL_MOTION,
  trapezoidTime,
} from '../../src/cut-time/cut-time.ts';

// Kinematics and corner formula with their sources and basis in the reference file.
const motion = JSON.parse(readFileSync(new URL('../reference/motion.json', import.meta.url), 'utf8'));

test('rest-to-rest times are the closed forms', () => {
  for (const check of motion.trapezoid.checks) {
    expect(trapezoidTime(check.L_mm, check.v_mm_s, check.a_mm_s2)).toBeCloseTo(check.t_s, 5);
  }
});

test('corner and arc speeds are the closed forms', () => {
  for (const check of motion.corner.checks) {
    const speed = cornerSpeed((check.theta_deg * Math.PI) / 180, check.a_mm_s2, check.delta_mm);
    expect(speed).toBeCloseTo(check.v_mm_s, 4);
  }
  for (const check of motion.arc.checks) expect(arcSpeed(check.r, check.a)).toBeCloseTo(check.v, 5);
});

test('a path is never quicker than its length at full speed, nor slower than with a stop at every joint', () => {
  const square = polygonCurve([
    { x: 0, y: 0 },
    { x: 10, y: 0 },
    { x: 10, y: 10 },
    { x: 0, y: 10 },
  ]);
  const time = pathTime(square.segments, TYPICAL_MOTION);
  expect(time).toBeGreaterThan(40 / TYPICAL_MOTION.cutMmPerS);
  expect(time).toBeLessThanOrEqual(
    4 * trapezoidTime(10, TYPICAL_MOTION.cutMmPerS, TYPICAL_MOTION.accelerationMmPerS2),
  );
  // A line cut into pieces that join straight on takes as long as the whole line.
  const point = (x: number) => ({ x, y: 0 });
  const whole = pathTime([{ kind: 'line', from: point(0), to: point(9) }], TYPICAL_MOTION);
  const pieces = [0, 1, 4, 4.5].map((x, i, all) => ({
    kind: 'line' as const,
    from: point(x),
    to: point(all[i + 1] ?? 9),
  }));
  expect(pathTime(pieces, TYPICAL_MOTION)).toBeCloseTo(whole, 9);
});

test('a small circle is limited by its radius, passes and pierces add up', () => {
  const fast = { ...TYPICAL_MOTION, cutMmPerS: 1000, pierceS: 0.5 };
  const circle = circleCurve({ x: 5, y: 0 }, 0.5);
  const limit = arcSpeed(0.5, fast.accelerationMmPerS2);
  expect(pathTime(circle.segments, fast)).toBeCloseTo(
    trapezoidTime(Math.PI, limit, fast.accelerationMmPerS2),
    9,
  );
  const two = cutTime([circle, circle], fast, 2);
  expect(two.pierceS).toBeCloseTo(2, 12);
  expect(two.cutS).toBeCloseTo(4 * pathTime(circle.segments, fast), 9);
  expect(two.totalS).toBeCloseTo(two.cutS + two.travelS + two.pierceS, 12);
});
