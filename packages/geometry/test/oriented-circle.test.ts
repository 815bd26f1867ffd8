import { describe, expect, it } from 'vitest';
import {
  contactPoint,
  directionAt,
  footOn,
  type Loose,
  meetConditions,
  type OrientedCircle,
  offsetFrom,
} from '../src/oriented-circle.ts';

const circle = (cx: number, cy: number, signedRadius: number): OrientedCircle => ({
  x: cx,
  y: cy - signedRadius,
  theta: 0,
  k: 1 / signedRadius,
});
const line = (x: number, y: number, theta: number): OrientedCircle => ({ x, y, theta, k: 0 });
const loose = (c: OrientedCircle): Loose => ({
  circle: { ...c },
  covariance: Float64Array.from(
    c.k === 0 ? [0, 0, 0, 0, 0.01, 0, 0, 0, 1] : [0.01, 0, 0, 0, 0.01, 0, 0, 0, 1],
  ),
});
const centreOf = (c: OrientedCircle): { x: number; y: number } => ({
  x: c.x - Math.sin(c.theta) / c.k,
  y: c.y + Math.cos(c.theta) / c.k,
});

describe('oriented circles', () => {
  it('measure distance to first order, positive on the right', () => {
    const ccw = circle(0, 0, 5);
    expect(offsetFrom(ccw, 0, -5)).toBeCloseTo(0, 14);
    expect(offsetFrom(ccw, 5.001, 0)).toBeCloseTo(0.001, 6);
    expect(offsetFrom(circle(0, 0, -5), 5.001, 0)).toBeCloseTo(-0.001, 6);
    expect(offsetFrom(line(0, 0, 0), 3, -2)).toBe(2);
    const foot = footOn(ccw, 3.003, 4.004);
    expect(foot.x).toBeCloseTo(3, 12);
    expect(foot.y).toBeCloseTo(4, 12);
    const direction = { x: 0, y: 0 };
    directionAt(ccw, 5, 0, direction);
    expect(direction.x).toBeCloseTo(0, 14);
    expect(direction.y).toBeCloseTo(1, 14);
  });

  it('a circle moves to touch two lines, and the lines give way too', () => {
    const items = [loose(line(0, 0, 0)), loose(circle(9.01, 1.02, 1)), loose(line(10, 5, Math.PI / 2))];
    const rest = meetConditions(
      items,
      [
        { kind: 'contact', a: 0, b: 1 },
        { kind: 'contact', a: 1, b: 2 },
      ],
      false,
    );
    expect(rest).toBeLessThan(1e-12);
    const { circle: arc } = items[1]!;
    const c = centreOf(arc);
    // Plain geometry: the centre is a radius away from both lines.
    for (const { circle: l } of [items[0]!, items[2]!]) {
      const across = -Math.sin(l.theta) * (c.x - l.x) + Math.cos(l.theta) * (c.y - l.y);
      expect(across).toBeCloseTo(1 / arc.k, 11);
    }
    const touch = contactPoint(items[0]!.circle, arc);
    expect(Math.hypot(touch.x - c.x, touch.y - c.y)).toBeCloseTo(1 / arc.k, 11);
  });

  it('circles that turn the same way touch from inside, circles that turn opposite ways from outside', () => {
    for (const [a, b, gap] of [
      [circle(0, 0, 5), circle(3.01, 0, 2), 3],
      [circle(0, 0, 5), circle(7.02, 0, -2), 7],
    ] as const) {
      const items = [loose(a), loose(b)];
      expect(meetConditions(items, [{ kind: 'contact', a: 0, b: 1 }], false)).toBeLessThan(1e-12);
      const p = centreOf(items[0]!.circle);
      const q = centreOf(items[1]!.circle);
      const radii = [1 / items[0]!.circle.k, 1 / items[1]!.circle.k] as const;
      expect(Math.hypot(p.x - q.x, p.y - q.y)).toBeCloseTo(Math.abs(radii[0] - radii[1]), 11);
      expect(Math.hypot(p.x - q.x, p.y - q.y)).toBeCloseTo(gap, 1);
    }
  });

  it('a closed ring of four lines and four arcs meets all eight conditions', () => {
    const items = [
      loose(line(5, 0.001, 0.0001)),
      loose(circle(9, 1.002, 1.001)),
      loose(line(10, 5, Math.PI / 2)),
      loose(circle(9.003, 9, 1)),
      loose(line(5, 10, Math.PI)),
      loose(circle(1, 8.999, 0.998)),
      loose(line(0.002, 5, -Math.PI / 2)),
      loose(circle(1, 1, 1)),
    ];
    const ring = items.map((_, i) => ({ kind: 'contact', a: i, b: (i + 1) % 8 }) as const);
    expect(meetConditions(items, ring, true)).toBeLessThan(1e-12);
    // Both circles of two contacts with each other: a ring of two.
    const pair = [loose(circle(0, 0, 2)), loose(circle(1.01, 0, 1))];
    const both = [
      { kind: 'contact', a: 0, b: 1 },
      { kind: 'through', a: 1, x: 0, y: 0.01 },
    ] as const;
    expect(meetConditions(pair, both, false)).toBeLessThan(1e-12);
    expect(offsetFrom(pair[1]!.circle, 0, 0.01)).toBeCloseTo(0, 12);
  });
});
