import { type Affine, type Curve, flattenCurve, polygonCurve, transformCurve } from '@inlaywright/geometry';
import fc from 'fast-check';
import type { FlatArea } from '../../../../bench/src/mosaic-geos.ts';
import { type Area, areaCurves, PIERCING, type Piece, type Shape } from '../../src/index.ts';

/** Every property runs with this seed, so that a failure can be run again; fast-check prints path and case. */
export const SEED = 20261125;

export const tones = ['ground', 'accent', 'highlight', 'line'].map((id) => ({
  id,
  name: id,
  colour: '#808080',
}));

/** Sizes and places on a coarse grid now and then, so that edges coincide, corners touch and circles are tangent. */
const length = (min: number, max: number) =>
  fc.oneof(fc.double({ min, max, noNaN: true }), fc.integer({ min: Math.ceil(min), max: Math.floor(max) }));
const place = fc.record({ x: length(-15, 15), y: length(-15, 15) });
const angle = fc.oneof(
  fc.constant(0),
  fc.constantFrom(30, 45, 90),
  fc.double({ min: 0, max: 360, noNaN: true }),
);

const shape: fc.Arbitrary<Shape> = fc.oneof(
  fc.record({ kind: fc.constant('disc' as const), centre: place, diameterMm: length(1, 20) }),
  fc.record({
    kind: fc.constant('ellipse' as const),
    centre: place,
    angleDeg: angle,
    widthMm: length(1, 20),
    heightMm: length(1, 20),
  }),
  fc.record({
    kind: fc.constant('rectangle' as const),
    centre: place,
    angleDeg: angle,
    widthMm: length(1, 25),
    heightMm: length(1, 25),
  }),
  fc.record({
    kind: fc.constant('regular-polygon' as const),
    centre: place,
    angleDeg: angle,
    sides: fc.integer({ min: 3, max: 9 }),
    diameterMm: length(2, 20),
  }),
  fc.tuple(place, angle, length(2, 12), length(1, 12)).map(([centre, angleDeg, widthMm, more]) => ({
    kind: 'drop' as const,
    centre,
    angleDeg,
    widthMm,
    lengthMm: widthMm + more,
  })),
  fc.tuple(place, angle, length(2, 8), length(2, 10)).map(([centre, angleDeg, widthMm, more]) => ({
    kind: 'leaf' as const,
    centre,
    angleDeg,
    widthMm,
    lengthMm: widthMm + more,
  })),
  fc
    .tuple(place, length(4, 16), fc.double({ min: 0.2, max: 0.8, noNaN: true }))
    .map(([centre, outerDiameterMm, share]) => ({
      kind: 'ring' as const,
      centre,
      outerDiameterMm,
      innerDiameterMm: outerDiameterMm * share,
    })),
  fc
    .tuple(
      place,
      angle,
      fc.integer({ min: 3, max: 9 }),
      length(4, 16),
      fc.double({ min: 0.3, max: 0.8, noNaN: true }),
    )
    .map(([centre, angleDeg, points, outerDiameterMm, share]) => ({
      kind: 'star' as const,
      centre,
      angleDeg,
      points,
      outerDiameterMm,
      innerDiameterMm: outerDiameterMm * share,
    })),
  fc
    .tuple(
      place,
      angle,
      length(4, 16),
      fc.double({ min: 0.6, max: 1.2, noNaN: true }),
      fc.double({ min: 0.2, max: 0.8, noNaN: true }),
    )
    .map(([centre, angleDeg, diameterMm, bite, share]) => {
      const biteDiameterMm = diameterMm * bite;
      const least = Math.abs(diameterMm - biteDiameterMm) / 2;
      const most = (diameterMm + biteDiameterMm) / 2;
      return {
        kind: 'crescent' as const,
        centre,
        angleDeg,
        diameterMm,
        biteDiameterMm,
        biteOffsetMm: least + share * (most - least) + 0.001,
      };
    }),
);

const areaBody = fc.record({
  shape,
  tone: fc.oneof(
    { weight: 6, arbitrary: fc.constantFrom(...tones.map((tone) => tone.id)) },
    { weight: 1, arbitrary: fc.constant(PIERCING) },
  ),
  extendsOutline: fc.boolean(),
  duplicate: fc.integer({ min: 0, max: 9 }),
});

/** A ground and up to nine areas of any shape on, beside and beyond it; one in ten repeats an outline. */
export const randomPiece: fc.Arbitrary<Piece> = fc
  .tuple(
    fc.constantFrom<Shape>(
      { kind: 'disc', centre: { x: 0, y: 0 }, diameterMm: 30 },
      { kind: 'rectangle', centre: { x: 0, y: 0 }, widthMm: 30, heightMm: 20 },
      { kind: 'drop', centre: { x: 0, y: 0 }, widthMm: 25, lengthMm: 38 },
    ),
    fc.array(areaBody, { minLength: 1, maxLength: 9 }),
  )
  .map(([ground, bodies]) => {
    const areas: Area[] = [{ id: 'a0', name: 'ground', shape: ground, tone: 'ground' }];
    bodies.forEach(({ shape: own, tone, extendsOutline, duplicate }, i) => {
      // A piercing that repeats the ground would leave nothing.
      const repeated = duplicate === 0 && tone !== PIERCING ? areas[i]!.shape : own;
      areas.push({
        id: `a${i + 1}`,
        name: '',
        shape: repeated,
        tone,
        ...(extendsOutline && tone !== PIERCING ? { extendsOutline } : {}),
      });
    });
    return { name: 'random', tones, areas };
  });

/** The piece as paths, mapped: for laws that hold under every motion. */
export function mappedPiece(piece: Piece, m: Affine): Piece {
  return {
    ...piece,
    areas: piece.areas.map((area) => {
      const { curves, fillRule } = areaCurves(area);
      const { cornerRadiiMm: _, ...rest } = area;
      return {
        ...rest,
        shape: { kind: 'path', fillRule, curves: curves.map((curve) => transformCurve(curve, m)) },
      };
    }),
  };
}

export function flatAreas(piece: Piece): FlatArea[] {
  return piece.areas.map((area) => {
    const { curves, fillRule } = areaCurves(area);
    return {
      tone: area.tone,
      rings: curves.map((curve: Curve) => flattenCurve(curve)),
      fillRule,
      piercing: area.tone === PIERCING,
      extendsOutline: area.extendsOutline === true,
    };
  });
}

const scribble = fc
  .record({
    points: fc.array(fc.record({ x: fc.integer({ min: -9, max: 9 }), y: fc.integer({ min: -9, max: 9 }) }), {
      minLength: 3,
      maxLength: 12,
    }),
    fillRule: fc.constantFrom('nonzero' as const, 'evenodd' as const),
  })
  .map(({ points, fillRule }) => ({ kind: 'path' as const, curves: [polygonCurve(points)], fillRule }))
  .filter(({ curves }) => curves[0]!.segments.length > 1);

/** Outlines that cross themselves, on whole numbers: edges overlap and many cross in one point. */
export const scribbles: fc.Arbitrary<Piece> = fc
  .array(scribble, { minLength: 1, maxLength: 3 })
  .map((shapes) => ({
    name: 'scribbles',
    tones,
    areas: [
      {
        id: 'ground',
        name: '',
        tone: 'ground',
        shape: { kind: 'rectangle', centre: { x: 0, y: 0 }, widthMm: 20, heightMm: 20 },
      },
      ...shapes.map((shape, i) => ({ id: `s${i}`, name: '', tone: tones[i + 1]!.id, shape })),
    ],
  }));
