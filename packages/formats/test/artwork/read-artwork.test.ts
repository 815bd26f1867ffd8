import {
  curveBounds,
  isCircle,
  openKernel,
  regionArea,
  regionFromCurves,
  signedArea,
} from '@inlaywright/geometry';
import { beforeAll, describe, expect, test } from 'vitest';
import { type Artwork, type ArtworkArea, FormatError, readArtwork } from '../../src/index.ts';
import { drawing, fixture } from './fixture.ts';

beforeAll(() => openKernel());

function areaOf(artwork: Artwork, id: string): ArtworkArea {
  const area = artwork.areas.find((candidate) => candidate.id === id);
  if (!area)
    throw new Error(`no area ${id} among ${artwork.areas.map((candidate) => candidate.id).join(', ')}`);
  return area;
}

function codes(artwork: Artwork): string[] {
  return artwork.warnings.map((warning) => warning.code);
}

describe('the frame', () => {
  test('is mm, y up, the origin in the middle of the page: the mirrored fixture', () => {
    const artwork = readArtwork(fixture('mirrored'));
    expect(artwork.viewport).toEqual({ widthMm: 40, heightMm: 30 });
    // The seed sits top right in the file: (32, 6) of a 40 x 30 page with y down.
    const seed = isCircle(areaOf(artwork, 'seed').curves[0]!, 1e-9);
    expect(seed?.centre.x).toBeCloseTo(12, 12);
    expect(seed?.centre.y).toBeCloseTo(9, 12);
    expect(seed?.radius).toBeCloseTo(3, 12);
    // The hook's upright stands left, its foot points right at the bottom.
    const hook = areaOf(artwork, 'hook').curves[0]!;
    expect(curveBounds(hook)).toEqual({ minX: -16, minY: -11, maxX: 2, maxY: 13 });
    const lowest = hook.segments.filter(({ from }) => from.y === -11).map(({ from }) => from.x);
    expect(lowest.sort((a, b) => a - b)).toEqual([-16, 2]);
    // Clockwise on the screen is clockwise in the model: the flip turns the picture, not the eye.
    expect(signedArea(hook)).toBeLessThan(0);
  });

  test('a viewBox whose corner is not the origin is moved, not cropped', () => {
    const svg =
      '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="100 200 10 10"><circle id="c" cx="105" cy="205" r="2"/></svg>';
    const circle = isCircle(areaOf(readArtwork(svg), 'c').curves[0]!, 1e-9)!;
    expect(Math.hypot(circle.centre.x, circle.centre.y)).toBeLessThan(1e-12);
    expect(circle.radius).toBeCloseTo(4, 12);
  });
});

describe('the size', () => {
  // CSS Values and Units 3, 6.2: 1 in = 2.54 cm = 96 px = 72 pt = 6 pc; 1 Q = 1/40 cm.
  test.each([
    ['25.4mm', 25.4, true],
    ['2cm', 20, true],
    ['1in', 25.4, true],
    ['72pt', 25.4, true],
    ['6pc', 25.4, true],
    ['40Q', 10, true],
    ['96px', 25.4, false],
    ['96', 25.4, false],
  ])('width="%s" is %f mm', (width, mm, stated) => {
    const artwork = readArtwork(
      `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${width}" viewBox="0 0 10 10"><rect width="10" height="5"/></svg>`,
    );
    expect(artwork.viewport.widthMm).toBeCloseTo(mm, 10);
    expect(codes(artwork).includes('size-assumed')).toBe(!stated);
    expect(regionArea(regionFromCurves(artwork.areas[0]!.curves, 'nonzero'))).toBeCloseTo((mm * mm) / 2, 4);
  });

  test.each([
    ['no size at all: the viewBox counts in px', 'viewBox="0 0 96 48"', 25.4, 12.7],
    ['percentages: as good as none', 'width="100%" height="100%" viewBox="0 0 96 48"', 25.4, 12.7],
    ['one side given: the other follows the viewBox', 'width="50mm" viewBox="0 0 96 48"', 50, 25],
    ['height given alone', 'height="50mm" viewBox="0 0 96 48"', 100, 50],
  ])('%s', (_, attributes, width, height) => {
    const { viewport } = readArtwork(
      `<svg xmlns="http://www.w3.org/2000/svg" ${attributes}><rect width="10" height="5"/></svg>`,
    );
    expect(viewport.widthMm).toBeCloseTo(width, 10);
    expect(viewport.heightMm).toBeCloseTo(height, 10);
  });

  test('without size and viewBox the page is the box around the content', () => {
    const artwork = readArtwork(
      '<svg xmlns="http://www.w3.org/2000/svg"><rect x="96" y="-48" width="96" height="48"/></svg>',
    );
    expect(artwork.viewport.widthMm).toBeCloseTo(25.4, 10);
    const bounds = curveBounds(artwork.areas[0]!.curves[0]!);
    expect(bounds.minX).toBeCloseTo(-12.7, 10);
    expect(bounds.maxY).toBeCloseTo(6.35, 10);
  });

  test('widthMm decides, and then nothing needs checking', () => {
    const svg =
      '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 12"><circle cx="12" cy="6" r="6"/></svg>';
    const artwork = readArtwork(svg, { widthMm: 30 });
    expect(artwork.viewport).toEqual({ widthMm: 30, heightMm: 15 });
    expect(isCircle(artwork.areas[0]!.curves[0]!, 1e-9)?.radius).toBeCloseTo(7.5, 12);
    expect(codes(artwork)).toEqual([]);
  });

  test('a width that is no width is refused', () => {
    for (const widthMm of [0, -3, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => readArtwork(fixture('mirrored'), { widthMm })).toThrow(FormatError);
    }
  });
});

describe('arcs stay arcs', () => {
  test('circles, rounded corners and path arcs under turns, mirrors and even scales', () => {
    const artwork = readArtwork(
      drawing(`<g transform="rotate(30 50 50) scale(-0.5 0.5) translate(-150 20)">
        <circle id="disc" cx="50" cy="40" r="10"/>
        <rect id="tile" x="40" y="60" width="30" height="20" rx="4"/>
        <path id="leaf" d="M80 40a20 20 0 0 1 0 30a20 20 0 0 1 0-30z"/>
      </g>`),
    );
    const kinds = (id: string): string[] => areaOf(artwork, id).curves[0]!.segments.map(({ kind }) => kind);
    expect(kinds('disc')).toEqual(['arc']);
    expect(kinds('tile')).toEqual(['line', 'arc', 'line', 'arc', 'line', 'arc', 'line', 'arc']);
    expect(kinds('leaf')).toEqual(['arc', 'arc']);
    for (const segment of areaOf(artwork, 'tile').curves[0]!.segments) {
      if (segment.kind === 'arc') expect(segment.radius).toBeCloseTo(2, 12);
    }
  });

  test('an ellipse that a transform makes round is an arc; a circle made oval is cubics within 0.05 um', () => {
    const artwork = readArtwork(
      drawing(`<ellipse id="round" transform="scale(1 2)" cx="50" cy="25" rx="20" ry="10"/>
        <circle id="oval" transform="scale(1 .5)" cx="50" cy="100" r="20"/>`),
    );
    expect(isCircle(areaOf(artwork, 'round').curves[0]!, 1e-9)?.radius).toBeCloseTo(20, 9);
    const oval = areaOf(artwork, 'oval').curves[0]!;
    expect(new Set(oval.segments.map(({ kind }) => kind))).toEqual(new Set(['cubic']));
    for (const segment of oval.segments) {
      if (segment.kind !== 'cubic') continue;
      const { from: a, c1: b, c2: c, to: d } = segment;
      for (let t = 0; t <= 1; t += 0.05) {
        const mix = (p: number, q: number, r: number, s: number): number =>
          (1 - t) ** 3 * p + 3 * (1 - t) ** 2 * t * q + 3 * (1 - t) * t * t * r + t ** 3 * s;
        const [x, y] = [mix(a.x, b.x, c.x, d.x), mix(a.y, b.y, c.y, d.y)];
        // Level of the ellipse with half axes 20 and 10; its gradient there is at most 2/10 per mm.
        expect(Math.abs(Math.hypot(x / 20, y / 10) - 1) * 10).toBeLessThan(5e-5);
      }
    }
  });

  test('curves are closed bitwise, whatever transform they went through', () => {
    for (const name of ['torture', 'transforms', 'path-commands', 'shapes', 'viewports', 'clips']) {
      for (const area of readArtwork(fixture(name), { strokes: true }).areas) {
        for (const { segments } of area.curves) {
          segments.forEach((segment, i) => {
            const next = segments[(i + 1) % segments.length]!;
            expect([segment.to.x, segment.to.y], `${name} ${area.id}`).toEqual([next.from.x, next.from.y]);
          });
        }
      }
    }
  });

  test('areas agree with closed forms', () => {
    const artwork = readArtwork(
      drawing(`<circle id="disc" cx="20" cy="20" r="10"/><ellipse id="oval" cx="50" cy="20" rx="12" ry="5"/>
        <rect id="tile" x="5" y="40" width="30" height="20" rx="6" ry="3"/>
        <path id="half" d="M60 60a10 5 0 0 1 20 0z"/>`),
    );
    const area = (id: string): number => Math.abs(signedArea(areaOf(artwork, id).curves[0]!));
    // Circle, ellipse pi a b, rectangle with elliptic corners w h - (4 - pi) rx ry.
    expect(area('disc')).toBeCloseTo(Math.PI * 100, 9);
    // Cubics within 0.05 um stand for elliptic arcs: the area is that times the arc's length off at most.
    expect(Math.abs(area('oval') - Math.PI * 60)).toBeLessThan(5e-5 * 60);
    expect(Math.abs(area('tile') - (600 - (4 - Math.PI) * 18))).toBeLessThan(5e-5 * 30);
    expect(Math.abs(area('half') - Math.PI * 25)).toBeLessThan(5e-5 * 30);
  });
});

describe('what areas are called', () => {
  const artwork = readArtwork(
    drawing(`<rect id="bed" width="10" height="10"/>
      <rect id="named" y="20" width="10" height="10"><title> Seed
        pod </title></rect>
      <rect y="40" width="10" height="10"/>
      <defs><circle id="berry" r="4"/></defs>
      <use href="#berry" x="50" y="50"/><use href="#berry" x="70" y="50" id="second"/>
      <rect id="bed" x="80" width="10" height="10"/><rect id="a b/c" x="80" y="80" width="10" height="10"/>`),
  );

  test('names come from the title, the id, or the kind and number', () => {
    expect(artwork.areas.map((area) => area.name)).toEqual([
      'bed',
      'Seed pod',
      'rect 3',
      'berry',
      'berry',
      'bed',
      'a b/c',
    ]);
  });

  test('ids are unique and tell instances apart', () => {
    const ids = artwork.areas.map((area) => area.id);
    expect(ids).toEqual(['bed', 'named', 'rect-3', 'use-1.berry', 'second.berry', 'bed-2', 'a-b-c']);
    expect(artwork.areas[2]!.element).toMatchObject({
      tag: 'rect',
      id: null,
      line: 4,
      label: 'rect 3 (line 4)',
    });
  });

  test('each distinct fill is listed once, in order, with a tone to suggest', () => {
    const { fills } = readArtwork(
      drawing(
        ['#FFF', 'white', 'rgb(255,255,255)', '#c00', '#b00000', '#000', 'rgba(0,0,0,.5)']
          .map((fill, i) => `<rect x="${10 * i}" width="9" height="9" fill="${fill}"/>`)
          .join(''),
      ),
    );
    expect(fills.map(({ key }) => key)).toEqual(['#ffffff', '#cc0000', '#b00000', '#000000']);
    expect(fills.map(({ toneId }) => toneId)).toEqual(['white', 'red', 'red-2', 'black']);
    expect(fills.map(({ toneName }) => toneName)).toEqual(['white', 'red', 'red 2', 'black']);
  });

  test('suggested tone ids stay unique when a number is part of a name', () => {
    const greens = Array.from(
      { length: 30 },
      (_, i) => `<rect x="${3 * i}" width="2" height="9" fill="rgb(0,${120 + i},0)"/>`,
    );
    const { fills } = readArtwork(drawing(greens.join('')));
    expect(new Set(fills.map(({ toneId }) => toneId)).size).toBe(30);
    for (const { toneId } of fills) expect(toneId).toMatch(/^[a-z0-9-]+$/);
  });
});

describe('fill rules', () => {
  const star = 'M50 10 73 80 14 36h72L27 80z';

  test('the rule of the element is the rule of the area', () => {
    const artwork = readArtwork(
      drawing(`<path id="full" d="${star}"/><path id="hollow" fill-rule="evenodd" d="${star}"/>`),
    );
    const area = (id: string): number => {
      const { curves, fillRule } = areaOf(artwork, id);
      return regionArea(regionFromCurves(curves, fillRule));
    };
    expect(areaOf(artwork, 'full').fillRule).toBe('nonzero');
    expect(areaOf(artwork, 'hollow').fillRule).toBe('evenodd');
    expect(area('hollow')).toBeLessThan(0.8 * area('full'));
  });
});

describe('strokes', () => {
  const svg = drawing(
    '<circle id="seed" cx="50" cy="50" r="20" stroke="red" stroke-width="4"/><path id="stem" d="M5 5h20" fill="none" stroke="blue"/><path id="plain" d="M60 5h20v9z" stroke="blue" stroke-width="0"/>',
  );

  test('are left out and named unless asked for', () => {
    const artwork = readArtwork(svg);
    expect(artwork.areas.map(({ id }) => id)).toEqual(['seed', 'plain']);
    const warning = artwork.warnings.find(({ code }) => code === 'strokes-not-outlined')!;
    expect(warning.severity).toBe('warning');
    expect(warning.message).toContain('2 visible strokes');
    expect(warning.elements.map(({ id }) => id)).toEqual(['seed', 'stem']);
    expect(warning.message).toContain('circle "seed" (line 1); path "stem" (line 1)');
  });

  test('become areas above their fill when asked for', () => {
    const artwork = readArtwork(svg, { strokes: true });
    expect(artwork.areas.map(({ id, fill, part }) => [id, fill, part])).toEqual([
      ['seed', '#000000', 'fill'],
      ['seed-stroke', '#ff0000', 'stroke'],
      ['stem-stroke', '#0000ff', 'stroke'],
      ['plain', '#000000', 'fill'],
    ]);
    expect(codes(artwork)).toEqual([]);
  });
});
