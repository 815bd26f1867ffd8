import { openKernel, polygonCurve } from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { dryFit } from '../../src/dry-fit/dry-fit.ts';
import type { DryFit, SeamFit } from '../../src/dry-fit/model.ts';
import { circle, closedSeam, discInDisc, record, sheetOf } from './hand-made.ts';

// Numbers here are sums of doubles of size 10: 12 decimals are what they hold.
const EXACT = 11;

function onlySeam(result: DryFit): SeamFit {
  expect(result.seams).toHaveLength(1);
  return result.seams[0]!;
}

function expectGaps(seam: SeamFit, show: number, middle: number, back: number): void {
  for (const [figures, gap] of [
    [seam.gapShowMm, show],
    [seam.gapMiddleMm, middle],
    [seam.gapBackMm, back],
  ] as const) {
    expect(figures.mean).toBeCloseTo(gap, EXACT);
    expect(figures.p95).toBeCloseTo(gap, EXACT);
    expect(figures.worst).toBeCloseTo(gap, EXACT);
    expect(figures.tightest).toBeCloseTo(gap, EXACT);
  }
  for (const sample of seam.samples) {
    expect(sample.showMm).toBeCloseTo(show, EXACT);
    expect(sample.middleMm).toBeCloseTo(middle, EXACT);
    expect(sample.backMm).toBeCloseTo(back, EXACT);
  }
}

const codes = (result: DryFit): string[] => result.findings.map((finding) => finding.code);

describe('a disc in a disc', () => {
  const plain = { ground: record(0.2, 0.2), accent: record(0.2, 0.2) };
  const design = { r: 5, R: 10, kerf: 0.2, allowance: 0.03 };

  it('overlaps by the allowance everywhere when the kerf is straight', () => {
    for (const turned of [false, true]) {
      const result = dryFit([discInDisc({ ...design, turned, fit: plain })]);
      const seam = onlySeam(result);
      expectGaps(seam, -0.03, -0.03, -0.03);
      expect(seam.pressShare).toBe(1);
      expect(codes(result)).toEqual([]);
    }
  });

  it('overlaps by the allowance at every depth when it is turned and the tapers are equal', () => {
    const fit = { ground: record(0.24, 0.16), accent: record(0.24, 0.16) };
    const result = dryFit([discInDisc({ ...design, turned: true, fit })]);
    expectGaps(onlySeam(result), -0.03, -0.03, -0.03);
    expect(codes(result)).toEqual([]);
  });

  it('opens at the show face by a quarter of the two tapers together when it is not turned', () => {
    // gap(show) = -a + (k1 entry - k1 exit + k2 entry - k2 exit) / 4; the back closes by as much.
    const fit = { ground: record(0.24, 0.16), accent: record(0.22, 0.18) };
    const result = dryFit([discInDisc({ ...design, turned: false, fit })]);
    expectGaps(onlySeam(result), -0.03 + 0.03, -0.03, -0.03 - 0.03);
  });

  it('keeps a quarter of the difference of the tapers when it is turned and they differ', () => {
    const fit = { ground: record(0.24, 0.16), accent: record(0.22, 0.18) };
    const result = dryFit([discInDisc({ ...design, turned: true, fit })]);
    expectGaps(onlySeam(result), -0.03 + 0.01, -0.03, -0.03 - 0.01);
  });

  it('stands open by exactly what the kerf was guessed too narrow', () => {
    for (const wrong of [0.013, -0.04]) {
      const fit = { ground: record(0.2 + wrong, 0.2 + wrong), accent: record(0.2 + wrong, 0.2 + wrong) };
      const result = dryFit([discInDisc({ ...design, allowance: 0, turned: true, fit })]);
      expectGaps(onlySeam(result), wrong, wrong, wrong);
    }
  });

  it('takes the kerf from the records it is given rather than from the sheets', () => {
    const sheet = discInDisc({ ...design, turned: true, fit: plain });
    const seam = onlySeam(dryFit([sheet], { default: record(0.25, 0.25), byTone: {} }));
    expectGaps(seam, 0.02, 0.02, 0.02);
    const one = onlySeam(
      dryFit([sheet], { default: record(0.2, 0.2), byTone: { accent: record(0.25, 0.25) } }),
    );
    expectGaps(one, -0.005, -0.005, -0.005);
  });

  it('says so when the pocket was compensated the wrong way', () => {
    // Cut at r + k/2 instead of r - k/2: the pocket is a kerf too wide all round.
    const sheet = sheetOf(
      [
        { part: 'p1', outside: circle(10.1), holes: [circle(5.1)] },
        { part: 'p2', tone: 'accent', turned: true, outside: circle(5.13) },
      ],
      plain,
      [closedSeam('p2', 'p1', circle(5))],
    );
    const result = dryFit([sheet]);
    expectGaps(onlySeam(result), -0.03 + 0.2, -0.03 + 0.2, -0.03 + 0.2);
    expect(result.findings).toEqual([
      expect.objectContaining({ code: 'seam-open', severity: 'decision', parts: ['p1', 'p2'] }),
    ]);
  });

  it('says so when an inlay was cut without allowing for the kerf', () => {
    const sheet = sheetOf(
      [
        { part: 'p1', outside: circle(10.1), holes: [circle(4.9)] },
        { part: 'p2', tone: 'accent', turned: true, outside: circle(5.03) },
      ],
      plain,
      [closedSeam('p2', 'p1', circle(5))],
    );
    const result = dryFit([sheet]);
    expectGaps(onlySeam(result), 0.07, 0.07, 0.07);
    expect(codes(result)).toEqual(['air-at-show-face']);
  });

  it('says so when it cannot go together', () => {
    const result = dryFit([discInDisc({ ...design, allowance: 0.15, turned: true, fit: plain })]);
    expect(codes(result)).toEqual(['seam-too-tight']);
    expect(result.findings[0]!.figureMm).toBeCloseTo(-0.15, EXACT);
  });
});

describe('an inlay pushed to one side', () => {
  it('gapes by its shift on one side and overlaps by it on the other', () => {
    const shift = 0.02;
    const sheet = sheetOf(
      [
        { part: 'p1', outside: circle(10), holes: [circle(5)] },
        { part: 'p2', tone: 'accent', outside: circle(5, shift, 0) },
      ],
      { ground: record(0, 0), accent: record(0, 0) },
      [closedSeam('p2', 'p1', circle(5))],
    );
    const seam = onlySeam(dryFit([sheet]));
    // The circles' distance along the line of centres, the largest there is.
    expect(seam.gapShowMm.worst).toBeCloseTo(shift, 6);
    expect(seam.gapShowMm.tightest).toBeCloseTo(-shift, 6);
    expect(seam.gapShowMm.worstAt.x).toBeCloseTo(-5, 1);
    expect(seam.gapShowMm.tightestAt.x).toBeCloseTo(5, 1);
    // First order in the shift: gap = -shift cos(angle), whose mean is 0 and whose 95th percentile is cos(0.05 pi).
    expect(seam.gapShowMm.mean).toBeCloseTo(0, 4);
    expect(seam.gapShowMm.p95).toBeCloseTo(shift * Math.cos(0.05 * Math.PI), 4);
    expect(seam.pressShare).toBeCloseTo(0.5, 1);
  });
});

describe('the length that samples stand for', () => {
  it('is that of the wall at mid-depth: straight sides and an arc in every corner of a pocket', () => {
    const box = (half: number) =>
      polygonCurve([
        { x: -half, y: -half },
        { x: half, y: -half },
        { x: half, y: half },
        { x: -half, y: half },
      ]);
    const sheet = sheetOf(
      [
        { part: 'p1', outside: box(9), holes: [box(4.9)] },
        { part: 'p2', tone: 'accent', outside: box(5.1) },
      ],
      { ground: record(0.24, 0.16), accent: record(0.24, 0.16) },
      [closedSeam('p2', 'p1', box(5))],
    );
    const seam = onlySeam(dryFit([sheet]));
    const length = (wall: 'a' | 'b'): number =>
      seam.samples.reduce((sum, sample) => sum + (sample.wall === wall ? sample.lengthMm : 0), 0);
    expect(length('a')).toBeCloseTo(4 * 9.8 + 2 * Math.PI * 0.1, 9);
    expect(length('b')).toBeCloseTo(40, 9);
  });

  it('is that of the wall too where a path is written as many short lines', () => {
    const corners = 64;
    const r = 5.1;
    const polygon = polygonCurve(
      Array.from({ length: corners }, (_, i) => ({
        x: r * Math.cos((2 * Math.PI * i) / corners),
        y: r * Math.sin((2 * Math.PI * i) / corners),
      })),
    );
    const sheet = sheetOf(
      [
        { part: 'p1', outside: circle(9), holes: [circle(4.9)] },
        { part: 'p2', tone: 'accent', outside: polygon },
      ],
      { ground: record(0.2, 0.2), accent: record(0.2, 0.2) },
      [closedSeam('p2', 'p1', circle(5))],
    );
    const seam = onlySeam(dryFit([sheet], undefined, { stepMm: 5 }));
    const wall = seam.samples.reduce((sum, sample) => sum + (sample.wall === 'b' ? sample.lengthMm : 0), 0);
    // A regular polygon shrunk by h: its inner circle is smaller by h, its corners keep their angle.
    const inner = r * Math.cos(Math.PI / corners) - 0.1;
    expect(wall).toBeCloseTo(2 * corners * inner * Math.tan(Math.PI / corners), 9);
    // To the slack in depth that a wall point has, 20 nm, and what it makes at a blunt corner.
    expect(Math.abs(seam.gapShowMm.tightest - (5 - inner / Math.cos(Math.PI / corners)))).toBeLessThan(4e-7);
  });
});

describe('the probability of the chosen grade', () => {
  const design = { r: 5, R: 10, kerf: 0.2, allowance: 0.03, turned: true };
  const probability = (rest: Parameters<typeof record>[2]): number | undefined => {
    const fit = { ground: record(0.2, 0.2), accent: record(0.2, 0.2, rest) };
    return onlySeam(dryFit([discInDisc({ ...design, fit })])).gradeProbability;
  };

  it('is the normal share between the grade limits', () => {
    // Standard normal table: P(|Z| <= 1) = 0.6827, P(|Z| <= 1.96) = 0.9500, P(Z <= 1.645) = 0.9500 (from memory).
    expect(probability({ scatterMm: 0.01, gradeGapMm: { min: -0.04, max: -0.02 } })).toBeCloseTo(0.6827, 4);
    expect(probability({ scatterMm: 0.01, gradeGapMm: { min: -0.0496, max: -0.0104 } })).toBeCloseTo(0.95, 4);
    expect(probability({ scatterMm: 0.01, gradeGapMm: { min: -9, max: -0.03 + 0.01645 } })).toBeCloseTo(
      0.95,
      3,
    );
  });

  it('is certain or impossible without scatter, and absent where nobody measured it', () => {
    expect(probability({ scatterMm: 0, gradeGapMm: { min: -0.04, max: -0.02 } })).toBe(1);
    expect(probability({ scatterMm: 0, gradeGapMm: { min: -0.02, max: 0 } })).toBe(0);
    expect(probability({ gradeGapMm: { min: -0.04, max: -0.02 } })).toBeUndefined();
    expect(probability({ scatterMm: 0.01 })).toBeUndefined();
  });
});

describe('a kerf that differs between the axes', () => {
  beforeAll(() => openKernel());

  it('opens a disc cut for a round kerf by half the excess of both parts, along each axis of the machine', () => {
    const oval = record(0, 0, {
      kerfEntry: { xMm: 0.26, yMm: 0.2 },
      kerfExit: { xMm: 0.26, yMm: 0.2 },
    });
    for (const angleDeg of [0, 90, 180]) {
      const sheet = sheetOf(
        [
          { part: 'p1', outside: circle(10.1), holes: [circle(4.9)] },
          { part: 'p2', tone: 'accent', turned: true, outside: circle(5.1) },
        ],
        { ground: oval, accent: oval },
        [closedSeam('p2', 'p1', circle(5))],
        () => angleDeg,
      );
      const seam = onlySeam(dryFit([sheet]));
      const near = (x: number, y: number): number =>
        seam.samples.reduce((p, q) =>
          Math.hypot(q.at.x - x, q.at.y - y) < Math.hypot(p.at.x - x, p.at.y - y) ? q : p,
        ).showMm;
      // A part that lies across the bed carries the machine's x kerf along its own y.
      const [wide, narrow] = angleDeg !== 90 ? [near(-5, 0), near(0, 5)] : [near(0, 5), near(-5, 0)];
      expect(wide).toBeCloseTo(0.06, 3);
      expect(narrow).toBeCloseTo(0, 3);
      expect(seam.gapShowMm.worst).toBeCloseTo(0.06, 3);
      expect(seam.gapShowMm.tightest).toBeCloseTo(0, 3);
      // Every station faces a wall point: none is left without length.
      expect(seam.samples.filter((sample) => sample.lengthMm > 0.1).length).toBeGreaterThan(240);
    }
  });
});
