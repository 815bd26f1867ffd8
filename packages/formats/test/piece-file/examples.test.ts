import { readdirSync, readFileSync } from 'node:fs';
import { components, difference, opening, openKernel, regionArea, regionBounds } from '@inlaywright/geometry';
import { areaCurves, checkPiece, mosaic, type Piece } from '@inlaywright/workshop';
import { beforeAll, describe, expect, it } from 'vitest';
import { readFit, readPiece, writePiece } from '../../src/index.ts';

const folder = new URL('../../../../examples/', import.meta.url);
const texts = new Map(
  readdirSync(folder)
    .filter((name) => name.endsWith('.json') && name !== 'fit-example.json')
    .map((name) => [name, readFileSync(new URL(name, folder), 'utf8')]),
);

beforeAll(async () => {
  await openKernel();
});

it('there are the six pieces of the garden shop', () => {
  expect([...texts.keys()].sort()).toEqual([
    'fern-brooch.json',
    'moon-phases.json',
    'seed-pod.json',
    'star-seed.json',
    'veined-leaf.json',
    'window-hoop.json',
  ]);
});

describe.each([...texts])('%s', (_, text) => {
  const piece: Piece = readPiece(text);

  it('is written as the program writes it', () => {
    expect(writePiece(piece)).toBe(text);
  });

  it('has nothing to be said about it, as drawn and as parts', () => {
    expect(checkPiece(piece)).toEqual([]);
    expect(mosaic(piece).findings).toEqual([]);
  });

  it('gives every tone a grain and uses every tone', () => {
    expect(piece.tones.every((tone) => tone.grainDeg !== undefined)).toBe(true);
    const used = new Set(mosaic(piece).parts.map(({ tone }) => tone));
    expect([...used].sort()).toEqual(piece.tones.map(({ id }) => id).sort());
  });

  it('hangs from a hole of 1.5 mm, its own diameter below the top, with wood around it', () => {
    const hole = piece.areas.find(({ id }) => id === 'ring-hole');
    if (piece.name === 'Fern brooch') return expect(hole).toBeUndefined();
    const { shape } = hole!;
    if (shape.kind !== 'disc') throw new Error('the ring hole is no disc');
    expect(shape.diameterMm).toBe(1.5);
    const m = mosaic(piece);
    // Common practice, no published source: the wall to the rim is about the hole's diameter.
    const top = regionBounds(m.outline).maxY;
    expect(top - (shape.centre.y + 0.75)).toBeGreaterThan(1.45);
    for (const ring of m.outline.rings) {
      for (let i = 0; i < ring.length; i += 2) {
        const wall = Math.hypot(ring[i]! - shape.centre.x, ring[i + 1]! - shape.centre.y) - 0.75;
        expect(wall).toBeGreaterThan(1.4);
      }
    }
    return undefined;
  });

  it('has no part narrower than 1 mm except where it runs out into a point', () => {
    for (const { region } of mosaic(piece).parts) {
      const wide = opening(region, 0.499);
      // What is narrower than 1 mm must not be a neck: taking it away leaves one piece ...
      expect(components(wide).filter((part) => regionArea(part) > 0.05)).toHaveLength(1);
      // ... and must be a tip: small.
      for (const tip of components(difference(region, wide))) expect(regionArea(tip)).toBeLessThan(0.6);
    }
  });
});

it('the demo piece has about 12 parts, 400 segments and 4,000 vertices', () => {
  const piece = readPiece(texts.get('seed-pod.json')!);
  const m = mosaic(piece);
  expect(m.parts).toHaveLength(12);
  const segments = piece.areas.flatMap((area) => areaCurves(area).curves.flatMap((curve) => curve.segments));
  expect(segments.length).toBeGreaterThan(350);
  expect(segments.length).toBeLessThan(450);
  const { minX, maxX, minY, maxY } = regionBounds(m.outline);
  expect([maxX - minX, maxY - minY].map((size) => Math.round(size * 10) / 10)).toEqual([25, 38]);
});

it('the fit example reads', () => {
  const fit = readFit(readFileSync(new URL('fit-example.json', folder), 'utf8'));
  expect(fit.default.allowanceMm).toBeGreaterThan(0);
  expect(Object.keys(fit.byTone)).toEqual(['accent']);
});
