import { flattenCurve, openKernel } from '@inlaywright/geometry';
import { beforeAll, expect, test } from 'vitest';
import { plainFit } from '../../src/fit/plain-fit.ts';
import { defaultMakeOptions, make } from '../../src/make/make.ts';
import type { Area, Shape } from '../../src/piece/piece.ts';

beforeAll(() => openKernel());

const centre = { x: 0, y: 0 };
const tones = ['ground', 'accent'].map((id) => ({ id, name: id, colour: '#888888' }));

function area(tone: string, shape: Shape, cornerRadiiMm = 0): Area {
  return { id: `${tone} ${shape.kind}`, name: shape.kind, tone, shape, cornerRadiiMm };
}

/** Smooth designs of wearable size, and how many written segments they may have at most. */
const smooth: [string, Area[]][] = [
  ['an ellipse', [area('ground', { kind: 'ellipse', centre, widthMm: 38, heightMm: 25 })]],
  [
    'an ellipse in an ellipse',
    [
      area('ground', { kind: 'ellipse', centre, widthMm: 38, heightMm: 25 }),
      area('accent', { kind: 'ellipse', centre, widthMm: 20, heightMm: 14 }),
    ],
  ],
  ['a leaf', [area('ground', { kind: 'leaf', centre, lengthMm: 38, widthMm: 20 })]],
  [
    'a drop with a disc',
    [
      area('ground', { kind: 'drop', centre, lengthMm: 38, widthMm: 25 }, 2),
      area('accent', { kind: 'disc', centre: { x: 0, y: -6 }, diameterMm: 12 }),
    ],
  ],
];

test.each(smooth)('%s is written with ten times fewer segments than its flattened path', (_, areas) => {
  const { compensation } = make({ name: 'smooth', tones, areas }, plainFit(0.16, 0.03), defaultMakeOptions);
  const curves = compensation.cuts.flatMap((cut) => cut.contours.map((contour) => contour.curve));
  const written = curves.reduce((sum, curve) => sum + curve.segments.length, 0);
  const edges = curves.reduce((sum, curve) => sum + flattenCurve(curve).length / 2, 0);
  expect(edges / written).toBeGreaterThanOrEqual(10);
});
