import { readFileSync } from 'node:fs';
import { flattenCurve, rotation, transformCurve } from '@inlaywright/geometry';
import { areaCurves, checkPiece, mosaic, type Piece } from '@inlaywright/workshop';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { randomPiece, SEED } from '../../../workshop/test/mosaic/random-pieces.ts';
import { FormatError, readPiece, writePiece } from '../../src/index.ts';

function errorOf(text: string): FormatError {
  try {
    readPiece(text);
  } catch (error) {
    if (error instanceof FormatError) return error;
    throw error;
  }
  throw new Error('it was read');
}

/** A small piece file with some fields set (`areas.0.shape.widthMm`), or taken out where the value is undefined. */
function fileWith(changes: Record<string, unknown>): string {
  const file = {
    format: 'inlaywright-piece',
    version: 1,
    name: 'Seed pod',
    tones: [{ id: 'ground', name: 'Cherry', colour: '#a5633a', grainDeg: 90 }],
    areas: [
      {
        id: 'pod',
        tone: 'ground',
        shape: { kind: 'drop', centre: { x: 0, y: 0 }, widthMm: 25, lengthMm: 38 },
        cornerRadiiMm: 1,
      },
    ],
  };
  for (const [path, value] of Object.entries(changes)) {
    const keys = path.split('.');
    let at = file as Record<string, unknown>;
    for (const key of keys.slice(0, -1)) at = at[key] as Record<string, unknown>;
    at[keys.at(-1)!] = value;
  }
  return JSON.stringify(file);
}

describe('round trip', () => {
  it('gives the same piece back, and the same bytes for it', () => {
    fc.assert(
      fc.property(randomPiece, fc.boolean(), fc.boolean(), (random, pair, radii) => {
        const piece: Piece = {
          ...random,
          ...(pair ? { pair } : {}),
          areas: random.areas.map((area) => (radii ? { ...area, cornerRadiiMm: 0.25 } : area)),
        };
        const text = writePiece(piece);
        expect(readPiece(text)).toEqual(piece);
        expect(writePiece(readPiece(text))).toBe(text);
      }),
      { seed: SEED, numRuns: 200 },
    );
  });

  it('keeps outlines within 1e-6 mm when they are paths, and the parts they give', () => {
    fc.assert(
      fc.property(randomPiece, fc.double({ min: 0, max: 6, noNaN: true }), (random, angle) => {
        const piece: Piece = {
          ...random,
          areas: random.areas.map((area) => {
            const { curves, fillRule } = areaCurves(area);
            const turned = curves.map((curve) => transformCurve(curve, rotation(angle)));
            return { ...area, shape: { kind: 'path', curves: turned, fillRule } };
          }),
        };
        const again = readPiece(writePiece(piece));
        again.areas.forEach((area, i) => {
          const ours = areaCurves(area).curves.map((curve) => flattenCurve(curve));
          const theirs = areaCurves(piece.areas[i]!).curves.map((curve) => flattenCurve(curve));
          expect(ours.map((ring) => ring.length)).toEqual(theirs.map((ring) => ring.length));
          ours.forEach((ring, j) => {
            for (let k = 0; k < ring.length; k++)
              expect(Math.abs(ring[k]! - theirs[j]![k]!)).toBeLessThan(1e-6);
          });
        });
        const areas = (p: Piece) =>
          mosaic(p).parts.map((part) => [part.id, part.tone, Math.round(part.areaMm2 * 1000)]);
        expect(areas(again)).toEqual(areas(piece));
      }),
      { seed: SEED, numRuns: 60 },
    );
  });
});

describe('errors', () => {
  it('gives line and column of what is not JSON', () => {
    const error = errorOf('{\n  "format": "inlaywright-piece",\n  "version": 1,\n  "areas": [1, 2\n}');
    expect(error.code).toBe('piece-not-json');
    expect(error.where).toBe('line 5, column 1');
    expect(error.message).toContain('"," or "]" was expected, "}" was found');
  });

  it('tells another kind of file', () => {
    expect(errorOf('{"format":"inlaywright-fit","version":1}').message).toBe(
      'This is not a piece file: it names "inlaywright-fit", not "inlaywright-piece".',
    );
    expect(errorOf('[1]').code).toBe('piece-format');
    expect(errorOf('null').code).toBe('piece-format');
  });

  it('says which version reads a newer file', () => {
    const named = errorOf(fileWith({ version: 3, needs: '2.1.0', areas: 'new kind' }));
    expect(named.code).toBe('piece-version');
    expect(named.message).toBe(
      'The piece file has version 3; this program reads version 1. Inlaywright 2.1.0 or newer reads it.',
    );
    expect(errorOf(fileWith({ version: 2 })).message).toContain('A newer Inlaywright reads it.');
    expect(errorOf(fileWith({ version: 0 })).code).toBe('piece-invalid');
  });

  it.each([
    ['areas.0.shape.widthMm', undefined, 'area "pod", shape.widthMm: is missing'],
    ['areas.0.shape.widthMm', -3, 'area "pod", shape.widthMm: must be at least 0.01 mm, -3 was found'],
    ['areas.0.shape.widthMm', 0, 'area "pod", shape.widthMm: must be at least 0.01 mm, 0 was found'],
    ['areas.0.shape.widthMm', 1e6, 'area "pod", shape.widthMm: must be at most 2000 mm, 1000000 was found'],
    ['areas.0.shape.widthMm', '25', 'area "pod", shape.widthMm: must be a number, "25" was found'],
    ['areas.0.shape.width', 25, 'area "pod", shape: has the unknown field "width"'],
    ['areas.0.shape.kind', 'blob', 'area "pod", shape.kind: must name a kind of shape'],
    ['areas.0.cornerRadiiMm', [1, -1], 'area "pod", cornerRadiiMm'],
    ['areas.0.id', undefined, 'area number 1, id: is missing'],
    ['tones.0.colour', 'red', 'tone "ground", colour: must be #rrggbb, "red" was found'],
    ['tones.0.id', 'Red oak', 'tone "Red oak", id: must be made of a-z, 0-9 and -, "Red oak" was found'],
    ['extra', 1, 'the file: has the unknown field "extra"'],
    ['pair', 'yes', 'pair: must be a boolean, "yes" was found'],
  ])('names the area by its id, the field, and what was found (%s %j)', (field, value, expected) => {
    const error = errorOf(fileWith({ [field]: value }));
    expect(error.code).toBe('piece-invalid');
    expect(error.message).toContain(expected);
    expect(error.hint).toContain('docs/piece-file.md');
  });

  it('lists several issues, but not hundreds', () => {
    const wrong = { kind: 'disc', centre: { x: 0, y: 0 }, diameterMm: -1 };
    const areas = Array.from({ length: 100 }, (_, i) => ({ id: `a${i}`, tone: 'ground', shape: wrong }));
    const error = errorOf(fileWith({ areas }));
    expect(error.message).toContain('area "a0", shape.diameterMm');
    expect(error.message).toContain('area "a7", shape.diameterMm');
    expect(error.message).toContain('and 92 more');
  });

  it('gives the character in path data', () => {
    const error = errorOf(fileWith({ 'areas.0.shape': { kind: 'path', d: 'M 0 0 L 10 0 Q 5 5 0 0 Z' } }));
    expect(error.code).toBe('piece-path');
    expect(error.where).toBe('areas[0].shape.d, character 14');
    expect(error.message).toContain('The path of area "pod"');
    expect(error.message).toContain('Q is not used here; the commands are M, L, A, C and Z');
  });

  it('reads an open path, for the check to name it', () => {
    const shape = { kind: 'path', d: 'M 0 0 L 10 0 L 10 10' };
    const piece = readPiece(fileWith({ 'areas.0.shape': shape, 'areas.0.cornerRadiiMm': 0 }));
    expect(checkPiece(piece).map(({ code, areas }) => [code, areas])).toEqual([['path-open', ['pod']]]);
  });
});

describe('size', () => {
  it('reads and writes a file of 10 MB', () => {
    const petal =
      'M 0 0 C 1.234567 2.345678 3.456789 4.567891 5.678912 6.789123 L 0.5 7.25 A 4 4 0 0 1 0 0 Z';
    const d = Array.from({ length: 1000 }, () => petal).join(' ');
    const areas = Array.from({ length: 112 }, (_, i) => ({
      id: `a${i}`,
      tone: 'ground',
      shape: { kind: 'path', d },
    }));
    const text = fileWith({ areas });
    expect(text.length).toBeGreaterThan(10_000_000);
    const piece = readPiece(text);
    expect(piece.areas.length).toBe(112);
    const { shape } = piece.areas[111]!;
    expect(shape.kind === 'path' && shape.curves.length).toBe(1000);
    expect(writePiece(piece).length).toBeGreaterThan(9_000_000);
    // The same file with its last bracket missing.
    expect(errorOf(text.slice(0, -1)).where).toBe(`line 1, column ${text.length}`);
  });
});

describe('docs/piece-file.md', () => {
  const page = readFileSync(new URL('../../../../docs/piece-file.md', import.meta.url), 'utf8');
  const blocks = [...page.matchAll(/```json\n([\s\S]*?)```/g)].map((match) => match[1]!);

  it('shows a whole file that reads, passes the check and gives parts', () => {
    const piece = readPiece(blocks[0]!);
    expect(checkPiece(piece)).toEqual([]);
    expect(mosaic(piece).parts.length).toBeGreaterThan(3);
    expect(mosaic(piece).findings).toEqual([]);
    expect(writePiece(readPiece(writePiece(piece)))).toBe(writePiece(piece));
  });

  it('shows every kind of shape with exactly the fields the reader wants', () => {
    const shapes = JSON.parse(blocks[1]!) as { kind: string }[];
    const kinds = [
      'disc',
      'ellipse',
      'rectangle',
      'regular-polygon',
      'trapezoid',
      'drop',
      'crescent',
      'leaf',
      'ring',
      'star',
      'path',
    ];
    expect(shapes.map(({ kind }) => kind)).toEqual(kinds);
    for (const shape of shapes) {
      const text = fileWith({ areas: [{ id: 'x', tone: 'ground', shape }] });
      expect(checkPiece(readPiece(text))).toEqual([]);
      for (const field of Object.keys(shape).filter((key) => key !== 'angleDeg' && key !== 'fillRule')) {
        const { [field]: _, ...rest } = shape as Record<string, unknown>;
        expect(errorOf(fileWith({ 'areas.0.shape': rest })).code).toBe('piece-invalid');
      }
    }
  });
});
