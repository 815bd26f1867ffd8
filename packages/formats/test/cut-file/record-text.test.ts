import fc from 'fast-check';
import { expect, test } from 'vitest';
import { fnv1a64 } from '../../src/cut-file/geometry-hash.ts';
import { stretchPoints, stretchText } from '../../src/cut-file/stretch-text.ts';
import { SEED } from './sheets.ts';

test('the fingerprint is FNV-1a with 64 bits', () => {
  // Test vectors of the FNV reference code (L. C. Noll, test_fnv.c), from memory.
  expect(fnv1a64('')).toBe('cbf29ce484222325');
  expect(fnv1a64('a')).toBe('af63dc4c8601ec8c');
  expect(fnv1a64('foobar')).toBe('85944171f73967e8');
});

test('the fingerprint agrees with whole-number arithmetic', () => {
  const slow = (text: string): string => {
    let hash = 0xcbf29ce484222325n;
    for (const c of text) hash = ((hash ^ BigInt(c.charCodeAt(0))) * 0x100000001b3n) & 0xffffffffffffffffn;
    return hash.toString(16).padStart(16, '0');
  };
  fc.assert(
    fc.property(fc.string({ maxLength: 200 }), (text) => {
      expect(fnv1a64(text)).toBe(slow(text));
    }),
    { seed: SEED },
  );
});

test('points of a seam on the 1 nm grid come back exactly, over the whole size of a sheet and beyond', () => {
  const nm = fc.integer({ min: -900_000_000_000, max: 900_000_000_000 });
  fc.assert(
    fc.property(fc.array(fc.tuple(nm, nm)), (pairs) => {
      const points = Float64Array.from(pairs.flat().map((n) => n / 1e6));
      expect(stretchPoints(stretchText(points))).toEqual(points);
    }),
    { seed: SEED },
  );
});

test('other points come back within half a nanometre', () => {
  const mm = fc.double({ min: -1000, max: 1000, noNaN: true });
  fc.assert(
    fc.property(fc.array(fc.tuple(mm, mm)), (pairs) => {
      const points = Float64Array.from(pairs.flat());
      const back = stretchPoints(stretchText(points))!;
      expect(back.length).toBe(points.length);
      for (const [i, value] of back.entries()) expect(Math.abs(value - points[i]!)).toBeLessThan(0.51e-6);
    }),
    { seed: SEED },
  );
});

test('a smooth seam takes under seven characters a point', () => {
  // A half circle of 10 mm in chords of 0.2 mm, as a flattened seam has them.
  const points = new Float64Array(2 * 158);
  for (let i = 0; i < 158; i++) {
    points[2 * i] = 10 * Math.cos(i * 0.02);
    points[2 * i + 1] = 10 * Math.sin(i * 0.02);
  }
  expect(stretchText(points).length / 158).toBeLessThan(7);
});

test.each(['A', 'g', 'AAA', 'A A', 'A=A=', 'äA', '////////////////////AA'])(
  'the text %s is no list of points',
  (text) => {
    expect(stretchPoints(text)).toBeNull();
  },
);
