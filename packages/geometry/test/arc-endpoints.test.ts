import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { arcFromEndpoints, distance, pointAt, type Segment, segmentLength } from '../src/index.ts';
import { anyPoint, CURVE_SEED, withSeed } from './curve-shapes.ts';

const radius = fc.double({ min: 0.5, max: 60, noNaN: true });
const anyEndpointArc = fc
  .record({
    from: anyPoint,
    to: anyPoint,
    rx: radius,
    ry: radius,
    rotation: fc.double({ min: -3, max: 3, noNaN: true }),
    largeArc: fc.boolean(),
    sweep: fc.boolean(),
  })
  .filter(({ from, to }) => distance(from, to) > 0.1);

/** The ellipse's own unit circle frame: rotation and radii undone. */
function onUnitCircle(p: { x: number; y: number }, arc: { rx: number; ry: number; rotation: number }) {
  const cos = Math.cos(arc.rotation);
  const sin = Math.sin(arc.rotation);
  return { x: (cos * p.x + sin * p.y) / arc.rx, y: (cos * p.y - sin * p.x) / arc.ry };
}

/** The two centres of unit circles through both points; one when they are two apart; radii grown when farther (SVG 2, B.2.5). */
function unitCentres(p: { x: number; y: number }, q: { x: number; y: number }) {
  const half = distance(p, q) / 2;
  const grown = Math.max(1, half);
  const height = Math.sqrt(Math.max(0, grown * grown - half * half)) / (2 * half);
  const middle = { x: (p.x + q.x) / 2, y: (p.y + q.y) / 2 };
  return {
    grown,
    centres: [1, -1].map((side) => ({
      x: middle.x - side * height * (q.y - p.y),
      y: middle.y + side * height * (q.x - p.x),
    })),
  };
}

/** Angle walked about the centre, summed over small steps. */
function walked(
  segments: readonly Segment[],
  toFrame: (p: { x: number; y: number }) => { x: number; y: number },
  c: { x: number; y: number },
): number {
  let sum = 0;
  let before = toFrame(segments[0]!.from);
  for (const segment of segments) {
    for (let i = 1; i <= 40; i++) {
      const p = toFrame(pointAt(segment, i / 40));
      const ax = before.x - c.x;
      const ay = before.y - c.y;
      const bx = p.x - c.x;
      const by = p.y - c.y;
      sum += Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
      before = p;
    }
  }
  return sum;
}

describe(`arcs by their end points (seed ${CURVE_SEED})`, () => {
  it('lie on an ellipse of the given radii and turn, on the side the flags say (SVG 2, B.2.4)', () => {
    fc.assert(
      fc.property(anyEndpointArc, (arc) => {
        const segments = arcFromEndpoints(arc);
        expect(segments[0]!.from).toBe(arc.from);
        expect(segments[segments.length - 1]!.to).toBe(arc.to);
        const { grown, centres } = unitCentres(onUnitCircle(arc.from, arc), onUnitCircle(arc.to, arc));
        const toFrame = (p: { x: number; y: number }) => onUnitCircle(p, arc);
        const middle = toFrame(pointAt(segments[0]!, 0.5));
        const off = (c: { x: number; y: number }) => Math.abs(distance(middle, c) - grown);
        const centre = off(centres[0]!) < off(centres[1]!) ? centres[0]! : centres[1]!;
        for (const segment of segments) {
          for (let i = 0; i <= 20; i++) {
            const miss = Math.abs(distance(toFrame(pointAt(segment, i / 20)), centre) - grown);
            expect(miss * Math.min(arc.rx, arc.ry)).toBeLessThan(0.00005 * 1.01);
          }
        }
        const angle = walked(segments, toFrame, centre);
        expect(angle > 0).toBe(arc.sweep);
        if (grown === 1) expect(Math.abs(angle) > Math.PI).toBe(arc.largeArc);
        else expect(Math.abs(angle)).toBeCloseTo(Math.PI, 4);
      }),
      withSeed(300),
    );
  });

  it('with equal radii are one circular arc, whatever the rotation', () => {
    const arc = {
      from: { x: 0, y: 0 },
      to: { x: 2, y: 0 },
      rx: 1,
      ry: 1,
      rotation: 0.4,
      largeArc: false,
      sweep: true,
    };
    const [only, ...rest] = arcFromEndpoints(arc);
    expect(rest).toEqual([]);
    if (only?.kind !== 'arc') throw new Error('not an arc');
    expect(distance(only.centre, { x: 1, y: 0 })).toBeLessThan(1e-12);
    expect(only.sweep).toBeCloseTo(Math.PI, 12);
    // The angle grows: from the left end of a circle about (1, 0) that leads below it.
    expect(pointAt(only, 0.5).y).toBeCloseTo(-1, 12);
  });

  it('draw the pie of the SVG recommendation: three quarters of a circle of radius 150', () => {
    // SVG 2, 9.3.8: "M300,200 h-150 a150,150 0 1,0 150,-150 z", a circle about (300, 200).
    const [arc] = arcFromEndpoints({
      from: { x: 150, y: 200 },
      to: { x: 300, y: 50 },
      rx: 150,
      ry: 150,
      rotation: 0,
      largeArc: true,
      sweep: false,
    });
    if (arc?.kind !== 'arc') throw new Error('not an arc');
    expect(distance(arc.centre, { x: 300, y: 200 })).toBeLessThan(1e-10);
    expect(arc.sweep).toBeCloseTo(-1.5 * Math.PI, 12);
    expect(segmentLength(arc)).toBeCloseTo(225 * Math.PI, 9);
  });

  it('radii too small to reach are scaled up to a half ellipse (SVG 2, B.2.5)', () => {
    const [arc] = arcFromEndpoints({
      from: { x: 0, y: 0 },
      to: { x: 10, y: 0 },
      rx: 1,
      ry: 1,
      rotation: 0,
      largeArc: false,
      sweep: true,
    });
    if (arc?.kind !== 'arc') throw new Error('not an arc');
    expect(arc.radius).toBe(5);
    expect(distance(arc.centre, { x: 5, y: 0 })).toBeLessThan(1e-12);
    expect(Math.abs(arc.sweep)).toBeCloseTo(Math.PI, 12);
  });

  it('a zero radius gives a line, coincident ends nothing, negative radii count as positive', () => {
    const ends = { from: { x: 0, y: 0 }, to: { x: 3, y: 4 } };
    const rest = { rotation: 0, largeArc: false, sweep: true };
    expect(arcFromEndpoints({ ...ends, ...rest, rx: 0, ry: 5 })).toEqual([{ kind: 'line', ...ends }]);
    expect(arcFromEndpoints({ ...ends, ...rest, to: { x: 0, y: 0 }, rx: 2, ry: 5 })).toEqual([]);
    expect(arcFromEndpoints({ ...ends, ...rest, rx: -6, ry: 6 })).toEqual(
      arcFromEndpoints({ ...ends, ...rest, rx: 6, ry: 6 }),
    );
  });
});
