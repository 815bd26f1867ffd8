import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  aboutCentroid,
  apply,
  type Curve,
  circleCurve,
  compose,
  curveLength,
  flattenCurve,
  type MassProperties,
  massProperties,
  polygonCurve,
  reverseCurve,
  rotation,
  type Segment,
  signedArea,
  transformCurve,
  translation,
} from '../src/index.ts';
import {
  anyBlob,
  anyPlacing,
  arcOf,
  CURVE_SEED,
  ellipse,
  leaf,
  ringCurve,
  withSeed,
} from './curve-shapes.ts';

interface Section {
  readonly name: string;
  readonly params: Readonly<Record<string, number>>;
  readonly values: Readonly<Record<string, number>>;
}

// Closed forms of the textbooks' back covers (Roark; Beer & Johnston); the file says source and basis of each.
const reference: { sections: Section[] } = JSON.parse(
  readFileSync(new URL('./reference/section-properties.json', import.meta.url), 'utf8'),
);

function section(name: string): Section {
  const found = reference.sections.find((entry) => entry.name.startsWith(name));
  if (!found) throw new Error(`no section ${name}`);
  return found;
}

/** The file gives six decimals. */
const SIX = 5;

function line(x0: number, y0: number, x1: number, y1: number): Segment {
  return { kind: 'line', from: { x: x0, y: y0 }, to: { x: x1, y: y1 } };
}

describe('sections of the reference file', () => {
  const seen = new Set<string>();
  const values = (name: string): Section => {
    const entry = section(name);
    seen.add(entry.name);
    return entry;
  };

  it('circle', () => {
    const { params, values: v } = values('circle');
    const m = massProperties([circleCurve({ x: 0, y: 0 }, params.r!)]);
    expect(m.area).toBeCloseTo(v.A!, SIX);
    expect(m.ix).toBeCloseTo(v.Ix!, SIX);
    expect(m.iy).toBeCloseTo(v.Ix!, SIX);
    expect(m.ix + m.iy).toBeCloseTo(v.J!, SIX);
    expect(m.ixy).toBeCloseTo(0, 9);
  });

  it('annulus, its hole run clockwise', () => {
    const { params, values: v } = values('annulus');
    const o = { x: 0, y: 0 };
    const m = massProperties([circleCurve(o, params.R!), reverseCurve(circleCurve(o, params.r!))]);
    expect(m.area).toBeCloseTo(v.A!, SIX);
    expect(m.ix).toBeCloseTo(v.I!, SIX);
  });

  it('ellipse and its perimeter, within what its cubics are off', () => {
    const { params, values: v } = values('ellipse');
    const curve = ellipse(params.a!, params.b!);
    const m = massProperties([curve]);
    expect(Math.abs(m.area / v.A! - 1)).toBeLessThan(1e-5);
    expect(Math.abs(m.ix / v.Ix! - 1)).toBeLessThan(2e-5);
    expect(Math.abs(m.iy / v.Iy! - 1)).toBeLessThan(2e-5);
    const { values: perimeter } = values('ellipse perimeter');
    expect(Math.abs(curveLength(curve) / perimeter.P_exact! - 1)).toBeLessThan(1e-5);
  });

  it('circular sector about its bisector', () => {
    const { params, values: v } = values('circular sector');
    const half = (params.alpha_deg! * Math.PI) / 180;
    const arc = arcOf({ x: 0, y: 0 }, params.r!, -half, 2 * half);
    const m = massProperties([
      { segments: [line(0, 0, arc.from.x, arc.from.y), arc, line(arc.to.x, arc.to.y, 0, 0)] },
    ]);
    expect(m.area).toBeCloseTo(v.A!, SIX);
    expect(m.centroid.x).toBeCloseTo(v.xbar!, SIX);
    expect(m.centroid.y).toBeCloseTo(0, 9);
    expect(m.ix).toBeCloseTo(v.I_bisector!, SIX);
    expect(m.iy).toBeCloseTo(v.I_perp!, SIX);
  });

  it('circular segment', () => {
    const { params, values: v } = values('circular segment');
    const half = (params.alpha_deg! * Math.PI) / 180;
    const arc = arcOf({ x: 0, y: 0 }, params.r!, -half, 2 * half);
    const m = massProperties([{ segments: [arc, line(arc.to.x, arc.to.y, arc.from.x, arc.from.y)] }]);
    expect(m.area).toBeCloseTo(v.A!, SIX);
    expect(m.centroid.x).toBeCloseTo(v.xbar!, SIX);
    expect(2 * arc.to.y).toBeCloseTo(v.chord!, SIX);
    expect(params.r! - arc.to.x).toBeCloseTo(v.sagitta!, SIX);
  });

  it('semicircle about its base and about its centroid', () => {
    const { params, values: v } = values('semicircle');
    const arc = arcOf({ x: 0, y: 0 }, params.r!, 0, Math.PI);
    const m = massProperties([{ segments: [arc, line(arc.to.x, arc.to.y, arc.from.x, arc.from.y)] }]);
    expect(m.area).toBeCloseTo(v.A!, SIX);
    expect(m.centroid.y).toBeCloseTo(v.ybar!, SIX);
    expect(m.ix).toBeCloseTo(v.I_base!, SIX);
    expect(aboutCentroid(m).ix).toBeCloseTo(v.I_c!, SIX);
  });

  it('trapezoid and triangle', () => {
    const { params, values: v } = values('trapezoid');
    const { a, b, h } = params as { a: number; b: number; h: number };
    const trapezoid = massProperties([
      polygonCurve([
        { x: -a / 2, y: 0 },
        { x: a / 2, y: 0 },
        { x: b / 2, y: h },
        { x: -b / 2, y: h },
      ]),
    ]);
    expect(trapezoid.area).toBeCloseTo(v.A!, SIX);
    expect(trapezoid.centroid.y).toBeCloseTo(v.ybar!, SIX);
    expect(aboutCentroid(trapezoid).ix).toBeCloseTo(v.Ic!, SIX);
    const { params: p, values: w } = values('triangle');
    const triangle = massProperties([
      polygonCurve([
        { x: 0, y: 0 },
        { x: p.b!, y: 0 },
        { x: p.b! / 3, y: p.h! },
      ]),
    ]);
    expect(triangle.area).toBeCloseTo(w.A!, SIX);
    expect(triangle.ix).toBeCloseTo(w.I_base!, SIX);
    expect(aboutCentroid(triangle).ix).toBeCloseTo(w.Ic!, SIX);
  });

  it('parabolic spandrel and half parabola, exact since a parabola is a cubic', () => {
    const { params, values: v } = values('parabolic spandrel');
    const { a, h } = params as { a: number; h: number };
    // y = h (x/a)^2 from (0, 0) to (a, h): the quadratic's handle (a/2, 0) raised in degree.
    const parabola: Segment = {
      kind: 'cubic',
      from: { x: 0, y: 0 },
      c1: { x: a / 3, y: 0 },
      c2: { x: (2 * a) / 3, y: h / 3 },
      to: { x: a, y: h },
    };
    const under = massProperties([
      {
        segments: [
          line(0, 0, a, 0),
          line(a, 0, a, h),
          { ...parabola, from: parabola.to, c1: parabola.c2, c2: parabola.c1, to: parabola.from },
        ],
      },
    ]);
    expect(under.area).toBeCloseTo(v.A!, SIX);
    expect(under.centroid.x).toBeCloseTo(v.xbar!, SIX);
    expect(under.centroid.y).toBeCloseTo(v.ybar!, SIX);
    expect(under.ix).toBeCloseTo(v.Ix!, SIX);
    expect(under.iy).toBeCloseTo(v.Iy!, SIX);
    const { params: p, values: w } = values('half parabola');
    const falling: Segment = {
      kind: 'cubic',
      from: { x: p.a!, y: 0 },
      c1: { x: (2 * p.a!) / 3, y: (2 * p.h!) / 3 },
      c2: { x: p.a! / 3, y: p.h! },
      to: { x: 0, y: p.h! },
    };
    const half = massProperties([{ segments: [line(0, 0, p.a!, 0), falling, line(0, p.h!, 0, 0)] }]);
    expect(half.area).toBeCloseTo(w.A!, SIX);
    expect(half.centroid.x).toBeCloseTo(w.xbar!, SIX);
    expect(half.centroid.y).toBeCloseTo(w.ybar!, SIX);
  });

  it('regular polygon', () => {
    const { params, values: v } = values('regular polygon');
    const n = params.n!;
    const hexagon = polygonCurve(
      Array.from({ length: n }, (_, i) => ({
        x: params.R! * Math.cos((2 * Math.PI * i) / n),
        y: params.R! * Math.sin((2 * Math.PI * i) / n),
      })),
    );
    const m = massProperties([hexagon]);
    expect(m.area).toBeCloseTo(v.A!, SIX);
    expect(curveLength(hexagon)).toBeCloseTo(v.P!, SIX);
    expect(m.ix).toBeCloseTo(v.Ix!, SIX);
    expect(m.iy).toBeCloseTo(v.Ix!, SIX);
  });

  it('no section of the file is left out', () => {
    expect([...seen].sort()).toEqual(reference.sections.map(({ name }) => name).sort());
  });
});

const anyCurve: fc.Arbitrary<Curve> = fc.oneof(
  anyBlob,
  fc.constantFrom(leaf(40, 14), ellipse(12, 7), circleCurve({ x: 3, y: -1 }, 6)),
);

function expectSame(a: MassProperties, b: MassProperties, relative: number): void {
  const size = Math.abs(a.area) + 1;
  const reach = Math.hypot(a.centroid.x, a.centroid.y) + Math.sqrt(size);
  expect(Math.abs(a.area - b.area)).toBeLessThan(relative * size);
  expect(Math.hypot(a.centroid.x - b.centroid.x, a.centroid.y - b.centroid.y)).toBeLessThan(relative * reach);
  for (const key of ['ix', 'iy', 'ixy'] as const) {
    expect(Math.abs(a[key] - b[key])).toBeLessThan(relative * size * reach * reach * 2);
  }
}

describe(`laws of mass properties (seed ${CURVE_SEED})`, () => {
  it('Steiner: moving a shape moves its moments by area times distance squared', () => {
    fc.assert(
      fc.property(anyCurve, fc.double({ min: -200, max: 200, noNaN: true }), (curve, shift) => {
        const here = massProperties([curve]);
        const there = massProperties([transformCurve(curve, translation(shift, -2 * shift))]);
        expectSame(
          { ...aboutCentroid(here), centroid: { x: 0, y: 0 } },
          { ...aboutCentroid(there), centroid: { x: 0, y: 0 } },
          1e-7,
        );
        expect(there.centroid.x).toBeCloseTo(here.centroid.x + shift, 9);
        expect(there.centroid.y).toBeCloseTo(here.centroid.y - 2 * shift, 9);
      }),
      withSeed(100),
    );
  });

  it('turning and moving keeps area, polar moment and principal moments', () => {
    fc.assert(
      fc.property(anyCurve, anyPlacing, (curve, placing) => {
        const here = aboutCentroid(massProperties([curve]));
        const there = aboutCentroid(massProperties([transformCurve(curve, placing)]));
        const polar = here.ix + here.iy;
        expect(there.area).toBeCloseTo(here.area, 8);
        expect(Math.abs(there.ix + there.iy - polar)).toBeLessThan(1e-9 * polar);
        const spread = (m: MassProperties): number => Math.hypot((m.ix - m.iy) / 2, m.ixy);
        expect(Math.abs(spread(there) - spread(here))).toBeLessThan(1e-9 * polar);
        const moved = apply(placing, massProperties([curve]).centroid);
        const centroid = massProperties([transformCurve(curve, placing)]).centroid;
        expect(Math.hypot(centroid.x - moved.x, centroid.y - moved.y)).toBeLessThan(1e-9);
      }),
      withSeed(100),
    );
  });

  it('a quarter turn swaps the moments and flips the product', () => {
    fc.assert(
      fc.property(anyCurve, (curve) => {
        const here = massProperties([curve]);
        const there = massProperties([transformCurve(curve, rotation(Math.PI / 2))]);
        expectSame(
          {
            ...here,
            centroid: { x: -here.centroid.y, y: here.centroid.x },
            ix: here.iy,
            iy: here.ix,
            ixy: -here.ixy,
          },
          there,
          1e-11,
        );
      }),
      withSeed(50),
    );
  });

  it('walking backwards turns every sign', () => {
    fc.assert(
      fc.property(anyCurve, (curve) => {
        const m = massProperties([curve]);
        const back = massProperties([reverseCurve(curve)]);
        expectSame(
          m,
          { area: -back.area, centroid: back.centroid, ix: -back.ix, iy: -back.iy, ixy: -back.ixy },
          1e-12,
        );
        expect(signedArea(reverseCurve(curve))).toBeCloseTo(-m.area, 9);
      }),
      withSeed(50),
    );
  });

  it('agrees with finely flattened polygons, to what the chords cut off', () => {
    fc.assert(
      fc.property(anyCurve, (curve) => {
        const tolerance = 0.00002;
        const exact = massProperties([curve]);
        const polygon = massProperties([ringCurve(flattenCurve(curve, tolerance))]);
        // Chords leave out at most tolerance times length; moments that much times the greatest distance squared.
        const cut = tolerance * curveLength(curve);
        const reach = 31;
        expect(Math.abs(exact.area - polygon.area)).toBeLessThan(cut);
        for (const key of ['ix', 'iy', 'ixy'] as const) {
          expect(Math.abs(exact[key] - polygon[key])).toBeLessThan(cut * reach * reach);
        }
      }),
      withSeed(60),
    );
  });

  it('keeps its digits far from the origin and on slight arcs', () => {
    const small = transformCurve(circleCurve({ x: 0, y: 0 }, 0.5), translation(900, -700));
    expect(aboutCentroid(massProperties([small])).area).toBeCloseTo(Math.PI / 4, 13);
    expect(massProperties([small]).centroid.x).toBeCloseTo(900, 12);
    // A sliver between an arc of 1e-4 rad on radius 1000 and its chord: r^2 (2h)^3 / 12 to first order.
    const h = 0.5e-4;
    const arc = arcOf({ x: 0, y: 0 }, 1000, -h, 2 * h);
    const sliver = massProperties([{ segments: [arc, line(arc.to.x, arc.to.y, arc.from.x, arc.from.y)] }]);
    expect(Math.abs(sliver.area / ((1e6 * (2 * h) ** 3) / 12) - 1)).toBeLessThan(1e-3);
  });

  it('an empty list has no area', () => {
    expect(massProperties([])).toEqual({ area: 0, centroid: { x: 0, y: 0 }, ix: 0, iy: 0, ixy: 0 });
    expect(massProperties([{ segments: [] }]).area).toBe(0);
    expect(compose(translation(1, 2), translation(3, 4))).toEqual(translation(4, 6));
  });
});
