import { type Curve, circleCurve, type Point, polygonCurve, reverseCurve } from '@inlaywright/geometry';
import { describe, expect, it } from 'vitest';
import {
  type Area,
  checkPiece,
  type Finding,
  mosaic,
  type Piece,
  type Shape,
  WorkshopError,
} from '../../src/index.ts';
import { findSelfCrossing } from '../../src/piece/self-crossing.ts';

const tones = [
  { id: 'ground', name: 'Cherry', colour: '#a8643c', grainDeg: 90 },
  { id: 'accent', name: 'Holly', colour: '#ece5d0' },
];
const ground: Area = {
  id: 'ground',
  name: 'Ground',
  tone: 'ground',
  shape: { kind: 'disc', centre: { x: 0, y: 0 }, diameterMm: 30 },
};

function pieceOf(...areas: Area[]): Piece {
  return { name: 'Test', tones, areas };
}

function path(id: string, curves: readonly Curve[], more: Partial<Area> = {}): Area {
  return { id, name: id, tone: 'accent', shape: { kind: 'path', curves, fillRule: 'nonzero' }, ...more };
}

function polygon(...points: [number, number][]): Curve {
  return polygonCurve(points.map(([x, y]) => ({ x, y })));
}

/** Lines from point to point, not back to the first. */
function strokes(...points: [number, number][]): Curve {
  const at = points.map(([x, y]): Point => ({ x, y }));
  return { segments: at.slice(1).map((to, i) => ({ kind: 'line' as const, from: at[i]!, to })) };
}

function only(piece: Piece): Finding {
  const findings = checkPiece(piece);
  expect(findings.map(({ code }) => code)).toHaveLength(1);
  return findings[0]!;
}

const good = polygon([0, 0], [5, 0], [5, 5]);

describe('a sound piece', () => {
  it('has no findings', () => {
    expect(
      checkPiece(
        pieceOf(ground, path('leaf', [good]), {
          ...ground,
          id: 'hole',
          tone: 'piercing',
          shape: { kind: 'disc', centre: { x: 0, y: 12 }, diameterMm: 1.5 },
        }),
      ),
    ).toEqual([]);
  });
});

describe('outlines', () => {
  it('open: names the area, where it ends and how far from its start', () => {
    const finding = only(pieceOf(ground, path('leaf', [strokes([0, 0], [5, 0], [5, 3])])));
    expect(finding).toMatchObject({
      code: 'path-open',
      severity: 'error',
      areas: ['leaf'],
      at: { x: 5, y: 3 },
    });
    expect(finding.message).toBe(
      'The path of area "leaf" is open: it ends at (5.00, 3.00), 5.83 mm from its start.',
    );
  });

  it('broken: names the segment after which it jumps', () => {
    const curve: Curve = {
      segments: [...strokes([0, 0], [5, 0]).segments, ...strokes([5, 1], [5, 5], [0, 0]).segments],
    };
    const finding = only(pieceOf(ground, path('leaf', [good, curve])));
    expect(finding.code).toBe('path-broken');
    expect(finding.message).toBe(
      'Curve 1 of area "leaf" is broken: segment 0 ends at (5.00, 0.00), segment 1 starts 1.00 mm away.',
    );
  });

  it('a number that is none, or beyond any machine', () => {
    const nan = only(pieceOf(ground, path('leaf', [polygon([0, 0], [5, Number.NaN], [5, 5])])));
    expect(nan).toMatchObject({ code: 'path-number', severity: 'error', areas: ['leaf'] });
    expect(nan.message).toContain('Segment 0 of the path of area "leaf" has the coordinate NaN');
    const far = only(pieceOf(ground, path('leaf', [polygon([0, 0], [5000, 0], [5, 5])])));
    expect(far.message).toContain(
      'has the coordinate 5000; coordinates are numbers between -2000 and 2000 mm',
    );
    const infinite = only(
      pieceOf(
        ground,
        path('leaf', [
          {
            segments: [
              {
                kind: 'cubic',
                from: { x: 0, y: 0 },
                c1: { x: Number.POSITIVE_INFINITY, y: 0 },
                c2: { x: 1, y: 1 },
                to: { x: 0, y: 0 },
              },
            ],
          },
        ]),
      ),
    );
    expect(infinite.message).toContain('has the coordinate Infinity');
  });

  it('nothing drawn', () => {
    expect(only(pieceOf(ground, path('leaf', []))).code).toBe('path-empty');
    expect(only(pieceOf(ground, path('leaf', [{ segments: [] }]))).code).toBe('path-empty');
  });

  it('no area: there and back again', () => {
    const finding = only(pieceOf(ground, path('vein', [polygon([1, 2], [5, 2])])));
    expect(finding).toMatchObject({
      code: 'path-no-area',
      severity: 'warning',
      areas: ['vein'],
      at: { x: 1, y: 2 },
    });
    expect(finding.message).toContain('Area "vein" at (1.00, 2.00) encloses no area');
  });

  it('the same curve twice, also from another start and the other way round', () => {
    const again = polygon([5, 5], [0, 0], [5, 0]);
    for (const twin of [good, again, reverseCurve(again)]) {
      const finding = only(pieceOf(ground, path('leaf', [good, twin])));
      expect(finding).toMatchObject({ code: 'path-duplicate', severity: 'warning', areas: ['leaf'] });
      expect(finding.message).toContain('Curves 0 and 1 of area "leaf" at');
    }
  });

  it('the same outline in two areas', () => {
    const finding = only(pieceOf(ground, path('lower', [good]), path('upper', [good], { tone: 'ground' })));
    expect(finding).toMatchObject({ code: 'area-duplicate', severity: 'warning', areas: ['lower', 'upper'] });
  });

  it('crossing itself: with the place', () => {
    const finding = only(pieceOf(ground, path('bow', [polygon([-4, -2], [4, 2], [4, -2], [-4, 2])])));
    expect(finding).toMatchObject({ code: 'path-self-crossing', severity: 'warning', areas: ['bow'] });
    expect(finding.at!.x).toBeCloseTo(0, 9);
    expect(finding.at!.y).toBeCloseTo(0, 9);
    expect(finding.message).toContain('The outline of area "bow" crosses itself at (0.00, 0.00)');
  });

  it('two curves of one area that cross; one within the other is no crossing', () => {
    const a = circleCurve({ x: 0, y: 0 }, 3);
    const crossing = only(pieceOf(ground, path('discs', [a, circleCurve({ x: 2, y: 0 }, 3)])));
    expect(crossing.at!.x).toBeCloseTo(1, 2);
    expect(Math.abs(crossing.at!.y)).toBeCloseTo(Math.sqrt(8), 2);
    expect(checkPiece(pieceOf(ground, path('rings', [a, circleCurve({ x: 0, y: 0 }, 2)])))).toEqual([]);
  });
});

describe('findSelfCrossing', () => {
  const ring = (...points: number[]) => Float64Array.from(points);

  it('finds crossings through a vertex on an edge and through a shared vertex', () => {
    // A vertex of the second lobe lies on an edge of the first, passing through it.
    expect(findSelfCrossing([ring(0, 0, 10, 0, 10, 4, 5, 0, 2, -3, 0, 4)])).toEqual({ x: 5, y: 0 });
    // Figure of eight through one shared vertex.
    expect(findSelfCrossing([ring(0, 0, 4, 4, 4, -4, 0, 0, -4, 4, -4, -4)])).toEqual({ x: 0, y: 0 });
  });

  it('lets outlines touch', () => {
    // A vertex on an edge, coming back on the same side.
    expect(findSelfCrossing([ring(0, 0, 10, 0, 10, 4, 5, 0, 0, 4)])).toBeUndefined();
    // Two lobes that share a vertex without crossing.
    expect(findSelfCrossing([ring(0, 0, 4, 4, 4, -4, 0, 0, -4, -4, -4, 4)])).toBeUndefined();
    expect(
      findSelfCrossing([ring(0, 0, 10, 0, 10, 10, 0, 10), ring(10, 0, 20, 0, 20, 10, 10, 10)]),
    ).toBeUndefined();
  });
});

describe('the piece as a whole', () => {
  it('nothing in it, or piercings only', () => {
    expect(only(pieceOf()).message).toBe('The piece "Test" has no areas.');
    expect(only(pieceOf({ ...ground, tone: 'piercing' })).message).toBe(
      'The piece "Test" has piercings only.',
    );
  });

  it('a tone nobody defined, with those that are', () => {
    const finding = only(pieceOf(ground, path('leaf', [good], { tone: 'acent' })));
    expect(finding).toMatchObject({ code: 'tone-unknown', severity: 'error', areas: ['leaf'] });
    expect(finding.message).toContain('Area "leaf" has the tone "acent"');
    expect(finding.hint).toBe('Use one of: ground, accent, piercing.');
  });

  it('ids used twice, reserved or malformed', () => {
    expect(only(pieceOf(ground, path('ground', [good]))).code).toBe('area-id-duplicate');
    const toned = (id: string): Piece => ({
      ...pieceOf(ground),
      tones: [...tones, { id, name: 'x', colour: '#000000' }],
    });
    expect(only(toned('accent')).code).toBe('tone-duplicate');
    expect(only(toned('piercing')).code).toBe('tone-reserved');
    expect(only(toned('Bog Oak')).code).toBe('tone-id');
    expect(only({ ...pieceOf(ground), tones: [{ ...tones[0]!, grainDeg: Number.NaN }] }).code).toBe(
      'tone-grain',
    );
  });

  it('a shape whose numbers make none, and a radius that does not fit', () => {
    const bite: Shape = {
      kind: 'crescent',
      centre: { x: 0, y: 0 },
      diameterMm: 10,
      biteDiameterMm: 6,
      biteOffsetMm: 20,
    };
    const finding = only(pieceOf(ground, { ...ground, id: 'moon', shape: bite }));
    expect(finding).toMatchObject({ code: 'shape-impossible', severity: 'error', areas: ['moon'] });
    const radius = only(pieceOf(ground, path('leaf', [good], { cornerRadiiMm: 4 })));
    expect(radius).toMatchObject({ code: 'corner-radius-lowered', severity: 'warning', areas: ['leaf'] });
  });

  it('finds everything at once', () => {
    const findings = checkPiece(
      pieceOf(ground, path('ground', [strokes([0, 0], [1, 1], [2, 0])], { tone: 'x' })),
    );
    expect(findings.map(({ code }) => code)).toEqual(['area-id-duplicate', 'tone-unknown', 'path-open']);
  });

  it('the partition refuses what has errors, with all of them, and goes on with warnings', () => {
    const bad = pieceOf(ground, path('ground', [strokes([0, 0], [1, 1], [2, 0])], { tone: 'x' }));
    try {
      mosaic(bad);
      throw new Error('not refused');
    } catch (error) {
      if (!(error instanceof WorkshopError)) throw error;
      expect(error.code).toBe('piece-invalid');
      expect(error.message).toBe('Two areas have the id "ground". (and 2 more)');
      expect((error.details.findings as Finding[]).length).toBe(3);
    }
    const bow = path('bow', [polygon([-4, -2], [4, 2], [4, -2], [-4, 2])]);
    expect(mosaic(pieceOf(ground, bow)).parts.map(({ tone }) => tone)).toEqual([
      'ground',
      'accent',
      'accent',
    ]);
  });
});
