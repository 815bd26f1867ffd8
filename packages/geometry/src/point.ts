/**
 * Points and affine maps of the plane. y points up; formats flip at their edge. Angles in radians, counter-clockwise.
 */
import { GeometryError } from './errors.ts';

/** A point or vector in the plane. y points up; formats flip at their edge. */
export interface Point {
  readonly x: number;
  readonly y: number;
}

/** The affine map x' = a x + c y + e, y' = b x + d y + f. */
export interface Affine {
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly d: number;
  readonly e: number;
  readonly f: number;
}

export const identity: Affine = { a: 1, b: 0, c: 0, d: 1, e: 0, f: 0 };

/** The map that applies `inner` first, then `outer`. */
export function compose(outer: Affine, inner: Affine): Affine {
  return {
    a: outer.a * inner.a + outer.c * inner.b,
    b: outer.b * inner.a + outer.d * inner.b,
    c: outer.a * inner.c + outer.c * inner.d,
    d: outer.b * inner.c + outer.d * inner.d,
    e: outer.a * inner.e + outer.c * inner.f + outer.e,
    f: outer.b * inner.e + outer.d * inner.f + outer.f,
  };
}

/** Factor by which the map multiplies signed areas; negative when it mirrors. */
export function determinant(m: Affine): number {
  return m.a * m.d - m.b * m.c;
}

/**
 * The inverse map.
 * @throws GeometryError `singular-transform` when the map flattens the plane to a line or point.
 */
export function invert(m: Affine): Affine {
  const det = determinant(m);
  if (!Number.isFinite(1 / det)) {
    throw new GeometryError(
      'singular-transform',
      `The transform [${m.a} ${m.b} ${m.c} ${m.d} ${m.e} ${m.f}] has determinant ${det} and cannot be inverted: ` +
        'it maps the plane onto a line or a point. Give it a scale other than zero in both directions.',
      { transform: m },
    );
  }
  return {
    a: m.d / det,
    b: -m.b / det,
    c: -m.c / det,
    d: m.a / det,
    e: (m.c * m.f - m.d * m.e) / det,
    f: (m.b * m.e - m.a * m.f) / det,
  };
}

export function apply(m: Affine, p: Point): Point {
  return { x: m.a * p.x + m.c * p.y + m.e, y: m.b * p.x + m.d * p.y + m.f };
}

/** Counter-clockwise turn by `angle` radians about `centre` (the origin when absent). */
export function rotation(angle: number, centre?: Point): Affine {
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  const x = centre?.x ?? 0;
  const y = centre?.y ?? 0;
  return { a: cos, b: sin, c: -sin, d: cos, e: x - cos * x + sin * y, f: y - sin * x - cos * y };
}

export function translation(dx: number, dy: number): Affine {
  return { a: 1, b: 0, c: 0, d: 1, e: dx, f: dy };
}

/** Scaling about the origin; negative factors mirror. `sy` is `sx` when absent. */
export function scaling(sx: number, sy: number = sx): Affine {
  return { a: sx, b: 0, c: 0, d: sy, e: 0, f: 0 };
}

export function distance(p: Point, q: Point): number {
  return Math.hypot(q.x - p.x, q.y - p.y);
}
