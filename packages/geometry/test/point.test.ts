import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type Affine,
  apply,
  compose,
  determinant,
  identity,
  invert,
  rotation,
  scaling,
  translation,
} from '../src/index.ts';
import { anyPoint, CURVE_SEED, withSeed } from './curve-shapes.ts';

const entry = fc.double({ min: -5, max: 5, noNaN: true });
const anyAffine: fc.Arbitrary<Affine> = fc
  .record({ a: entry, b: entry, c: entry, d: entry, e: entry, f: entry })
  .filter((m) => Math.abs(determinant(m)) > 0.01);

describe(`affine maps (seed ${CURVE_SEED})`, () => {
  it('compose applies the inner map first', () => {
    fc.assert(
      fc.property(anyAffine, anyAffine, anyPoint, (outer, inner, p) => {
        const q = apply(compose(outer, inner), p);
        const r = apply(outer, apply(inner, p));
        expect(q.x).toBeCloseTo(r.x, 9);
        expect(q.y).toBeCloseTo(r.y, 9);
      }),
      withSeed(200),
    );
  });

  it('a map followed by its inverse leaves points where they are', () => {
    fc.assert(
      fc.property(anyAffine, anyPoint, (m, p) => {
        const q = apply(compose(invert(m), m), p);
        expect(Math.hypot(q.x - p.x, q.y - p.y)).toBeLessThan(1e-9);
      }),
      withSeed(200),
    );
  });

  it('a quarter turn takes x to y, counter-clockwise, about any centre', () => {
    const q = apply(rotation(Math.PI / 2, { x: 2, y: 1 }), { x: 5, y: 1 });
    expect(q.x).toBeCloseTo(2, 12);
    expect(q.y).toBeCloseTo(4, 12);
    expect(apply(identity, { x: 3, y: 4 })).toEqual({ x: 3, y: 4 });
    expect(apply(compose(translation(1, 2), scaling(2)), { x: 1, y: 1 })).toEqual({ x: 3, y: 4 });
  });

  it('refuses to invert a map onto a line', () => {
    expect(() => invert(scaling(1, 0))).toThrow(
      expect.objectContaining({ code: 'singular-transform', details: { transform: scaling(1, 0) } }),
    );
  });
});
