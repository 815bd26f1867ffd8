import { openKernel } from '@inlaywright/geometry';
import { beforeAll, describe, expect, test } from 'vitest';
import { readPathData } from '../../src/artwork/path-data.ts';
import { readArtwork } from '../../src/index.ts';
import { drawing } from './fixture.ts';

beforeAll(() => openKernel());

function points(data: string): number[][][] {
  return readPathData(data).subpaths.map(({ start, segments }) => [
    [start.x, start.y],
    ...segments.map(({ to }) => [to.x, to.y]),
  ]);
}

describe('the grammar', () => {
  // SVG 2, section 9.3.
  test.each([
    [
      'implicit lines after a move',
      'M1 2 3 4 5 6',
      [
        [
          [1, 2],
          [3, 4],
          [5, 6],
        ],
      ],
    ],
    [
      'relative moves count from the last start after a close',
      'm10 10h5v5zm1 1h1',
      [
        [
          [10, 10],
          [15, 10],
          [15, 15],
          [10, 10],
        ],
        [
          [11, 11],
          [12, 11],
        ],
      ],
    ],
    [
      'drawing on after a close starts where the last subpath did',
      'M1 1h4v4z l-1 0',
      [
        [
          [1, 1],
          [5, 1],
          [5, 5],
          [1, 1],
        ],
        [
          [1, 1],
          [0, 1],
        ],
      ],
    ],
    [
      'numbers run together',
      'M.5.5-1-1+2+2 1e1 5e-1',
      [
        [
          [0.5, 0.5],
          [-1, -1],
          [2, 2],
          [10, 0.5],
        ],
      ],
    ],
    [
      'compact arc flags',
      'M0 0a5 5 0 0110 0a5 5 0 10-10 0',
      [
        [
          [0, 0],
          [10, 0],
          [0, 0],
        ],
      ],
    ],
    [
      'leading zeros',
      'M007 001L0.50 010',
      [
        [
          [7, 1],
          [0.5, 10],
        ],
      ],
    ],
    [
      'a form feed is white space',
      'M1\f2\fL3 4',
      [
        [
          [1, 2],
          [3, 4],
        ],
      ],
    ],
    [
      'a move alone draws nothing',
      'M1 1M2 2L3 3M4 4',
      [
        [
          [2, 2],
          [3, 3],
        ],
      ],
    ],
    ['nothing', '', []],
  ])('%s', (_, data, expected) => {
    expect(readPathData(data).error).toBeNull();
    expect(points(data)).toEqual(expected);
  });

  test('a close is a dot of its own after a move', () => {
    expect(readPathData('M5 5z').subpaths).toEqual([{ start: { x: 5, y: 5 }, segments: [], closed: true }]);
  });

  test('S and T reflect only what they may', () => {
    const [c] = readPathData('M0 0C0 10 10 10 10 0S20 -10 20 0').subpaths[0]!.segments.slice(1);
    expect(c).toMatchObject({ kind: 'cubic', c1: { x: 10, y: -10 } });
    const [, s] = readPathData('M0 0L10 0S20 10 20 0').subpaths[0]!.segments;
    expect(s).toMatchObject({ kind: 'cubic', c1: { x: 10, y: 0 } });
    const [, t] = readPathData('M0 0Q5 9 10 0T20 0').subpaths[0]!.segments;
    // The reflected control point is (15, -9): two thirds of the way from each end.
    expect(t).toMatchObject({ kind: 'cubic', c1: { x: expect.closeTo(10 + 10 / 3, 12), y: -6 } });
    const [, plain] = readPathData('M0 0C1 1 2 2 10 0T20 0').subpaths[0]!.segments;
    expect(plain).toMatchObject({ kind: 'cubic', c1: { x: 10, y: 0 } });
  });

  test('arcs: coinciding ends draw nothing, a radius of zero a line, small radii are scaled up, negative ones count by size', () => {
    expect(readPathData('M1 1a5 5 0 1 1 0 0').subpaths[0]!.segments).toEqual([]);
    expect(readPathData('M1 1a0 5 0 1 1 9 0').subpaths[0]!.segments[0]).toMatchObject({ kind: 'line' });
    const [grown] = readPathData('M0 0a1 1 0 0 1 10 0').subpaths[0]!.segments;
    expect(grown).toMatchObject({ kind: 'ellipse' });
    expect(grown?.kind === 'ellipse' && grown.unit.radius).toBeCloseTo(5, 12);
    const negative = readPathData('M0 0a-5-5 0 0 1 10 0');
    expect(negative.error).toBeNull();
    expect(negative.subpaths[0]!.segments[0]).toMatchObject({ kind: 'ellipse' });
  });
});

describe('broken data', () => {
  test.each([
    ['M0 0L10 0 10', 1, 'character'],
    ['M0 0L10 0L10 x10', 1, 'near "0 0L10 0L10 x10"'],
    ['M0 0 10 0 10 10z 5 5 L9 9', 1, 'a number follows the closing Z'],
    ['L0 0 10 10', 0, 'does not begin with a move'],
    ['M0 0L10 0 10 10 NaN 5', 1, 'near'],
    ['M0 0L10 0 1e999 0 5 5', 1, 'too large'],
    ['M0 0a5 5 0 2 0 5 5', 0, 'flag'],
    ['M0 0L10 10,', 1, ''],
    ['hello', 0, ''],
  ])('%s is drawn up to the error, which is told', (data, subpaths, reason) => {
    const reading = readPathData(data);
    expect(reading.subpaths).toHaveLength(subpaths);
    expect(reading.error).toContain(reason);
  });

  test('the warning names the path, the line and the place in the data, and the start is kept', () => {
    const artwork = readArtwork(drawing('\n<path id="leaf" d="M0 0H20V20H0z M40 40 L50 oops"/>'));
    expect(artwork.areas).toHaveLength(1);
    const warning = artwork.warnings.find(({ code }) => code === 'bad-path-data')!;
    expect(warning.message).toContain('path "leaf" (line 2)');
    expect(warning.message).toMatch(/at character 26, near "[^"]*oops"/);
  });
});
