import { openKernel } from '@inlaywright/geometry';
import { beforeAll, describe, expect, it } from 'vitest';
import { plainFit } from '../../src/index.ts';
import { fitOf, inDisc, make, origin, pieceOf, polygonShape, record } from './pieces.ts';

/** Sum of mirrored wedges etc. aside, one rule: a corner of angle w filled by a ball of radius r is r (1 / sin(w / 2) - 1) deep. */
function depthOf(angleDeg: number, radiusMm: number): number {
  return radiusMm * (1 / Math.sin(((angleDeg / 2) * Math.PI) / 180) - 1);
}

const rectangle = (widthMm: number, heightMm: number, x = 0, y = 0) =>
  ({ kind: 'rectangle', centre: { x, y }, widthMm, heightMm }) as const;

describe('easing', () => {
  beforeAll(() => openKernel());

  it('rounds the four corners of a square inlay by the radius of the beam that cuts its pocket, and says where', () => {
    const { compensation } = make(inDisc(rectangle(10, 10)), plainFit(0.2, 0.03));
    expect(compensation.eased).toHaveLength(4);
    for (const { part, neighbour, at, depthMm } of compensation.eased) {
      expect([part, neighbour]).toEqual(['p2', 'p1']);
      expect(Math.abs(at.x)).toBeCloseTo(5, 6);
      expect(Math.abs(at.y)).toBeCloseTo(5, 6);
      expect(depthMm).toBeCloseTo(depthOf(90, 0.1), 6);
    }
  });

  it('rounds the ground where the inlay turns in, by beam radius and allowance together', () => {
    const notched = polygonShape([-5, -5], [5, -5], [5, 0], [0, 0], [0, 5], [-5, 5]);
    const { compensation } = make(inDisc(notched), plainFit(0.2, 0.03));
    const ofGround = compensation.eased.filter(({ part }) => part === 'p1');
    expect(ofGround).toHaveLength(1);
    expect(ofGround[0]).toMatchObject({ neighbour: 'p2', at: { x: 0, y: 0 } });
    expect(ofGround[0]!.depthMm).toBeCloseTo(depthOf(90, 0.13), 6);
  });

  it('takes each part’s own kerf', () => {
    const wide = record(0.3, 0.3, 0.03);
    const fit = fitOf(record(0.2, 0.2, 0.03), { accent: wide });
    const notched = polygonShape([-5, -5], [5, -5], [5, 0], [0, 0], [0, 5], [-5, 5]);
    const { eased } = make(inDisc(notched), fit).compensation;
    expect(eased.filter(({ part }) => part === 'p2').map(({ depthMm }) => depthMm.toFixed(6))).toEqual(
      Array(5).fill(depthOf(90, 0.1).toFixed(6)),
    );
    expect(eased.find(({ part }) => part === 'p1')!.depthMm).toBeCloseTo(depthOf(90, 0.15 + 0.03), 6);
  });

  it('eases nothing on rims, where there is no neighbour to press against', () => {
    const star = {
      kind: 'star',
      centre: origin,
      points: 5,
      outerDiameterMm: 20,
      innerDiameterMm: 9,
    } as const;
    const { compensation } = make(pieceOf({ shape: star, tone: 'ground' }), plainFit(0.2, 0.03));
    expect(compensation.eased).toEqual([]);
    expect(compensation.findings).toEqual([]);
  });

  it('eases nothing that bends more gently than the beam: a rounded square with radii of 0.13 mm', () => {
    const piece = pieceOf(
      { shape: { kind: 'disc', centre: origin, diameterMm: 20 }, tone: 'ground' },
      { shape: rectangle(10, 10), tone: 'accent', cornerRadiiMm: 0.13 },
    );
    expect(make(piece, plainFit(0.2, 0.03)).compensation.eased).toEqual([]);
  });

  it('eases corners that are rounded too tightly by what the ball leaves of the arc', () => {
    const piece = pieceOf(
      { shape: { kind: 'disc', centre: origin, diameterMm: 20 }, tone: 'ground' },
      { shape: rectangle(10, 10), tone: 'accent', cornerRadiiMm: 0.05 },
    );
    const { eased } = make(piece, plainFit(0.2, 0.03)).compensation;
    expect(eased).toHaveLength(4);
    for (const { depthMm } of eased) expect(depthMm).toBeCloseTo((0.1 - 0.05) * (Math.SQRT2 - 1), 5);
  });

  it('eases both halves of an inlay point that two parts share', () => {
    const left = polygonShape([0, 0], [0, 8], [-3, 0]);
    const right = polygonShape([0, 0], [3, 0], [0, 8]);
    const piece = pieceOf(
      { shape: { kind: 'disc', centre: origin, diameterMm: 30 }, tone: 'ground' },
      { shape: left, tone: 'light' },
      { shape: right, tone: 'dark' },
    );
    const { compensation } = make(piece, plainFit(0.2, 0.03));
    const tip = compensation.eased.filter(({ at }) => Math.hypot(at.x, at.y - 8) < 1e-6);
    expect(tip.map(({ part, neighbour }) => `${part} of ${neighbour}`).sort()).toEqual([
      'p2 of p1',
      'p3 of p1',
    ]);
    const angle = (2 * Math.atan(3 / 8) * 180) / Math.PI;
    for (const { depthMm } of tip) expect(depthMm).toBeCloseTo(depthOf(angle, 0.1), 5);
  });

  describe('slots', () => {
    /** An inlay of 10 mm with a slot from its right side to the middle, which the ground fills. */
    const slotted = (widthMm: number) =>
      polygonShape(
        [-5, -5],
        [5, -5],
        [5, -widthMm / 2],
        [0, -widthMm / 2],
        [0, widthMm / 2],
        [5, widthMm / 2],
        [5, 5],
        [-5, 5],
      );

    it('needs kerf and twice the allowance: at 0.26 mm a slot is open', () => {
      const { compensation } = make(inDisc(slotted(0.2601)), plainFit(0.2, 0.03));
      expect(compensation.findings.filter(({ severity }) => severity === 'decision')).toEqual([]);
    });

    it('reports a narrower one for decision, with both parts, the place and the widths', () => {
      const { compensation } = make(inDisc(slotted(0.18)), plainFit(0.2, 0.03));
      const decisions = compensation.findings.filter(({ severity }) => severity === 'decision');
      expect(decisions).toHaveLength(1);
      expect(decisions[0]).toMatchObject({ code: 'slot-closes', parts: ['p2', 'p1'] });
      expect(decisions[0]!.figureMm).toBeCloseTo(0.18, 6);
      expect(decisions[0]!.at!.y).toBeCloseTo(0, 6);
      expect(decisions[0]!.message).toContain('0.180 mm');
      expect(decisions[0]!.message).toContain('0.260 mm');
    });

    it('reports a slot between two openings of one part, where two seams face one another', () => {
      const piece = pieceOf(
        { shape: { kind: 'disc', centre: origin, diameterMm: 20 }, tone: 'ground' },
        { shape: rectangle(12, 8), tone: 'accent' },
        { shape: rectangle(0.15, 8.5), tone: 'ground' },
      );
      // The strip parts the inlay: two parts stand on either side of it, and each has its own wall.
      const { parts, compensation } = make(piece, plainFit(0.2, 0.03));
      expect(parts.parts).toHaveLength(3);
      expect(compensation.findings.filter(({ code }) => code === 'slot-closes')).toEqual([]);
    });

    it('keeps a part whose pocket closes, as drawn, and reports it', () => {
      const { compensation, cut } = make(
        inDisc({ kind: 'disc', centre: { x: 3, y: 1 }, diameterMm: 0.18 }),
        plainFit(0.2, 0.03),
      );
      expect(compensation.cuts.map(({ part }) => part)).toEqual(['p1', 'p2']);
      expect(cut('p2').contours).toHaveLength(1);
      const codes = compensation.findings
        .filter(({ severity }) => severity === 'decision')
        .map(({ code }) => code);
      expect(codes.sort()).toEqual(['part-vanishes', 'slot-closes']);
      const slot = compensation.findings.find(({ code }) => code === 'slot-closes')!;
      expect(slot.figureMm).toBeCloseTo(0.18, 4);
      expect(slot.parts).toEqual(['p1', 'p2']);
    });

    it('reports a narrow notch of the rim and an opening smaller than the beam', () => {
      const notch = polygonShape(
        [-8, -8],
        [8, -8],
        [8, 8],
        [0.06, 8],
        [0.06, 4],
        [-0.06, 4],
        [-0.06, 8],
        [-8, 8],
      );
      const piece = pieceOf(
        { shape: notch, tone: 'ground' },
        { shape: { kind: 'disc', centre: { x: -4, y: 0 }, diameterMm: 0.15 }, tone: 'piercing' },
      );
      const slots = make(piece, plainFit(0.2, 0.03)).compensation.findings.filter(
        ({ code }) => code === 'slot-closes',
      );
      expect(slots.map(({ figureMm }) => figureMm!.toFixed(3)).sort()).toEqual(['0.120', '0.150']);
      for (const { parts } of slots) expect(parts).toEqual(['p1']);
    });

    it('reports a neck of the inlay that the ground’s beam cannot cut a pocket for', () => {
      const waisted = polygonShape(
        [-5, -3],
        [-1, -0.08],
        [1, -0.08],
        [5, -3],
        [5, 3],
        [1, 0.08],
        [-1, 0.08],
        [-5, 3],
      );
      const { compensation } = make(inDisc(waisted), plainFit(0.2, 0.03));
      const slot = compensation.findings.find(({ code }) => code === 'slot-closes')!;
      expect(slot).toMatchObject({ severity: 'decision', parts: ['p1', 'p2'] });
      expect(slot.figureMm).toBeCloseTo(0.16, 6);
      const apart = compensation.findings.find(({ code }) => code === 'part-falls-apart')!;
      expect(apart.parts).toEqual(['p2']);
    });
  });

  it('reports an allowance wider than half a part', () => {
    const piece = pieceOf(
      { shape: { kind: 'disc', centre: origin, diameterMm: 20 }, tone: 'ground' },
      { shape: rectangle(6, 0.9), tone: 'accent' },
    );
    const loose = make(piece, plainFit(0.2, -0.5)).compensation;
    const found = loose.findings.filter(({ code }) => code === 'allowance-too-wide');
    expect(found.map(({ parts }) => parts)).toEqual([['p2']]);
    expect(found[0]!.figureMm).toBeCloseTo(0.9, 2);
    expect(loose.findings.map(({ code }) => code)).toContain('part-vanishes');
  });
});
