import { isCircle, openKernel, regionArea, regionBounds, regionFromCurves } from '@inlaywright/geometry';
import { beforeAll, describe, expect, test } from 'vitest';
import { readArtwork } from '../../src/index.ts';
import { drawing } from './fixture.ts';

beforeAll(() => openKernel());

/** The region of the only stroke of a drawing whose units are mm. */
function strokeRegion(element: string): ReturnType<typeof regionFromCurves> {
  const artwork = readArtwork(drawing(element, 'fill="none" stroke="black" overflow="visible"'), {
    strokes: true,
  });
  const [area, ...more] = artwork.areas.filter(({ part }) => part === 'stroke');
  if (!area || more.length > 0) throw new Error(`${artwork.areas.length} areas`);
  return regionFromCurves(area.curves, area.fillRule);
}

function strokeArea(element: string): number {
  return regionArea(strokeRegion(element));
}

/** Flattening at 0.5 um loses at most that times the length of all edges. */
const near = (value: number, expected: number, edgeMm: number): void => {
  expect(Math.abs(value - expected)).toBeLessThan(0.0006 * edgeMm + 1e-5);
};

describe('areas of strokes in closed form', () => {
  test('a line with each cap', () => {
    const line = (cap: string): number =>
      strokeArea(`<path d="M20 50h40" stroke-width="6" stroke-linecap="${cap}"/>`);
    near(line('butt'), 240, 0);
    near(line('square'), 240 + 36, 0);
    near(line('round'), 240 + Math.PI * 9, 20);
  });

  test('a right angle with each join', () => {
    const corner = (join: string, limit = 4): number =>
      strokeArea(
        `<path d="M20 20h30v30" stroke-width="6" stroke-linejoin="${join}" stroke-miterlimit="${limit}"/>`,
      );
    // Two legs of 30 x 6 that share a 3 x 3 square at the corner, plus the join outside it.
    const legs = 360 - 9;
    near(corner('bevel'), legs + 4.5, 0);
    near(corner('miter'), legs + 9, 0);
    near(corner('round'), legs + (Math.PI * 9) / 4, 5);
    // At 90 degrees the mitre is sqrt(2) half widths long (SVG 2, 13.4.5).
    near(corner('miter', 1.41), legs + 4.5, 0);
    near(corner('miter', 1.42), legs + 9, 0);
    near(corner('arcs'), legs + 9, 0);
  });

  test('a mitre cut short', () => {
    // Limit 1.2 on a right angle, half width 3: cut at 3.6 from the corner; the tip at 3 sqrt(2) loses a right triangle.
    const height = 3 * Math.SQRT2 - 3.6;
    const area = strokeArea(
      '<path d="M20 20h30v30" stroke-width="6" stroke-linejoin="miter-clip" stroke-miterlimit="1.2"/>',
    );
    near(area, 360 - 9 + 9 - height * height, 0);
  });

  test('a closed polygon with round joins: Steiner, outside and inside', () => {
    // Convex polygon, perimeter P, offset r: outside P r + pi r^2; inside P r - r^2 sum cot(angle/2), for a triangle with
    // right angle and two of 45 degrees.
    const [a, r] = [40, 2];
    const perimeter = a * (2 + Math.SQRT2);
    const inside = perimeter * r - r * r * (1 + 2 / Math.tan(Math.PI / 8));
    const area = strokeArea(
      `<path d="M20 20h${a}l-${a} ${a}z" stroke-width="${2 * r}" stroke-linejoin="round"/>`,
    );
    near(area, perimeter * r + Math.PI * r * r + inside, 15);
  });

  test('a circle is two circles, exactly; a stroke wider than its radius leaves a disc', () => {
    const rims = (element: string): (number | undefined)[] => {
      const [area] = readArtwork(drawing(element, 'fill="none" stroke="black"'), { strokes: true }).areas;
      return area!.curves.map((curve) => isCircle(curve, 1e-9)?.radius);
    };
    expect(rims('<circle cx="50" cy="50" r="20" stroke-width="6"/>')).toEqual(
      [23, 17].map((r) => expect.closeTo(r, 10)),
    );
    expect(rims('<circle cx="50" cy="50" r="2" stroke-width="6"/>')).toEqual([expect.closeTo(5, 10)]);
    expect(
      rims('<circle transform="rotate(20) scale(.5)" cx="90" cy="90" r="20" stroke-width="6"/>'),
    ).toEqual([11.5, 8.5].map((r) => expect.closeTo(r, 10)));
  });

  test('an arc of a circle is a sector of a ring', () => {
    // A half turn at radius 20, width 6: pi/2 (23^2 - 17^2).
    near(
      strokeArea('<path d="M30 50a20 20 0 0 1 40 0" stroke-width="6"/>'),
      (Math.PI / 2) * (23 ** 2 - 17 ** 2),
      130,
    );
  });

  test('an arc tighter than the pen keeps both lobes', () => {
    // Radius 1, half width 3, a half turn: the outer end sweeps a half disc of radius 4, the inner end, past the centre,
    // a half disc of radius 2 on the other side.
    near(strokeArea('<path d="M49 50a1 1 0 0 1 2 0" stroke-width="6"/>'), (Math.PI / 2) * (16 + 4), 30);
  });

  test('a curve and its mirror image have the same stroke, and its width everywhere', () => {
    const curve = '<path d="M10 50C30 0 60 100 90 40" stroke-width="4"/>';
    const region = strokeRegion(curve);
    expect(regionArea(strokeRegion(`<g transform="translate(100) scale(-1 1)">${curve}</g>`))).toBeCloseTo(
      regionArea(region),
      4,
    );
    // Length times width, where the curve nowhere bends tighter than the pen: length by Simpson's rule on the cubic.
    const speed = (t: number): number => {
      const d = (p: number[]): number =>
        3 * ((1 - t) ** 2 * (p[1]! - p[0]!) + 2 * (1 - t) * t * (p[2]! - p[1]!) + t * t * (p[3]! - p[2]!));
      return Math.hypot(d([10, 30, 60, 90]), d([50, 0, 100, 40]));
    };
    let length = 0;
    const n = 2000;
    for (let i = 0; i <= n; i++)
      length += (speed(i / n) * (i === 0 || i === n ? 1 : i % 2 === 1 ? 4 : 2)) / (3 * n);
    near(regionArea(region), 4 * length, 250);
  });
});

describe('strokes under transforms', () => {
  test('are bent with the shape: the area scales by the determinant', () => {
    const ring = '<circle cx="20" cy="20" r="10" stroke-width="4"/>';
    near(strokeArea(`<g transform="scale(2 .5)">${ring}</g>`), Math.PI * (144 - 64), 200);
    near(strokeArea(`<g transform="skewX(30)">${ring}</g>`), Math.PI * (144 - 64), 200);
    const line = regionBounds(
      strokeRegion('<g transform="scale(1 3)"><path d="M10 10h50" stroke-width="2"/></g>'),
    );
    expect(line.maxY - line.minY).toBeCloseTo(6, 5);
  });

  test('unless they are told not to scale', () => {
    const line = '<path d="M10 10h20" stroke-width="2" vector-effect="non-scaling-stroke"/>';
    const { minY, maxY } = regionBounds(strokeRegion(`<g transform="scale(1 3)">${line}</g>`));
    // 2 px of the page at 96 to the inch.
    expect(maxY - minY).toBeCloseTo((2 * 25.4) / 96, 5);
  });
});

describe('dashes', () => {
  const dashed = (attributes: string): number =>
    strokeArea(`<path d="M10 50h60" stroke-width="2" ${attributes}/>`) / 2;

  test.each([
    ['stroke-dasharray="8 4"', 40],
    ['stroke-dasharray="10"', 30],
    ['stroke-dasharray="5 3 2"', 30],
    ['stroke-dasharray="8 4" stroke-dashoffset="10"', 40],
    ['stroke-dasharray="50 50" stroke-dashoffset="-30"', 30],
    ['stroke-dasharray="50 50" stroke-dashoffset="20"', 30],
    ['stroke-dasharray="0 5"', 0],
    ['stroke-dasharray="0"', 60],
    ['stroke-dasharray="none"', 60],
    ['stroke-dasharray="10%,10%"', 30],
    ['stroke-dasharray="2 2" pathLength="12"', 30],
  ])('%s paints %f mm of 60', (attributes, length) => {
    if (length === 0) expect(() => dashed(attributes)).toThrow('0 areas');
    else expect(dashed(attributes)).toBeCloseTo(length, 4);
  });

  test('a negative length or an error gives a solid stroke and a word about it', () => {
    const artwork = readArtwork(
      drawing('<path id="x" d="M10 50h60" stroke="black" stroke-dasharray="5 -2"/>'),
      { strokes: true },
    );
    expect(artwork.warnings.map(({ code }) => code)).toContain('bad-number');
    expect(artwork.areas).toHaveLength(1);
  });

  test('the pattern goes round corners and starts anew in every subpath', () => {
    // 30 + 30 round the corner: dashes 0-20, 25-45, 50-60; the middle one holds the corner, mitred.
    expect(strokeArea('<path d="M10 10h30v30" stroke-width="2" stroke-dasharray="20 5"/>')).toBeCloseTo(
      2 * 50,
      4,
    );
    expect(strokeArea('<path d="M10 10h30M10 30h30" stroke-width="2" stroke-dasharray="20 5"/>')).toBeCloseTo(
      2 * 50,
      4,
    );
  });

  test.each([20, 2, 0.2])('end where they should on a circle of radius %f', (r) => {
    // Four dashes of a fifth of the way round: area is length times width. 2e-4 for chords and dash ends.
    const dash = (2 * Math.PI * r) / 5;
    const attributes = `stroke-width="${r / 10}" stroke-dasharray="${dash} ${dash / 4}"`;
    const area = strokeArea(`<circle cx="50" cy="50" r="${r}" ${attributes}/>`);
    expect(Math.abs(area / ((4 * dash * r) / 10) - 1)).toBeLessThan(0.0006 / (r / 10) + 2e-4);
    const { rings } = strokeRegion(`<circle cx="50" cy="50" r="${r}" ${attributes}/>`);
    expect(rings).toHaveLength(4);
    // The second dash starts a quarter of the way round, on the negative y axis of the model, y down in the file.
    const ends = rings.flatMap((ring) =>
      Array.from({ length: ring.length / 2 }, (_, i) => ({ x: ring[2 * i]!, y: ring[2 * i + 1]! })),
    );
    const nearest = Math.min(...ends.map((p) => Math.hypot(p.x, p.y + 0.95 * r)));
    expect(nearest).toBeLessThan(0.0006 + 2e-4 * r);
  });

  test('on a closed outline the last dash runs on into the first', () => {
    // A square of 20: dashes of 30, gaps of 10; 0-30 and 40-70; the way back from 80 is gap. With 75-80 painted it joins.
    const square = (dashes: string): number => {
      const { rings } = strokeRegion(
        `<rect x="20" y="20" width="20" height="20" stroke-width="2" stroke-dasharray="${dashes}"/>`,
      );
      return rings.length;
    };
    expect(square('30 10')).toBe(2);
    expect(square('30 45')).toBe(1);
    // Solid all round: two rims.
    expect(square('100 5')).toBe(2);
  });

  test('a pattern too fine to be seen is solid rather than endless', () => {
    expect(dashed('stroke-dasharray="1e-7"')).toBeCloseTo(60, 4);
  });
});

describe('dots', () => {
  test.each([
    ['M50 50h0', 'round', Math.PI * 9],
    ['M50 50h0', 'square', 36],
    ['M50 50z', 'round', Math.PI * 9],
  ])('%s with %s caps', (d, cap, area) => {
    near(strokeArea(`<path d="${d}" stroke-width="6" stroke-linecap="${cap}"/>`), area, 20);
  });

  test('without caps they leave nothing, and that is said', () => {
    const artwork = readArtwork(
      drawing('<path id="dot" d="M50 50h0" stroke="red"/><line id="l" stroke="red" x1="5" x2="5"/>'),
      { strokes: true },
    );
    expect(artwork.areas).toEqual([]);
    expect(artwork.warnings.find(({ code }) => code === 'no-extent')?.elements.map(({ id }) => id)).toEqual([
      'dot',
      'l',
    ]);
  });
});
