import {
  arcFromEndpoints,
  type Curve,
  circleCurve,
  curveLength,
  flattenCurve,
  isCircle,
} from '@inlaywright/geometry';
import fc from 'fast-check';
import { SVGPathData } from 'svg-pathdata';
import { describe, expect, it } from 'vitest';
import { type PathReading, readPathData, writePathData } from '../../src/piece-file/path-data.ts';

const SEED = 20261125;

function curvesOf(reading: PathReading): readonly Curve[] {
  if (!reading.ok) throw new Error(`${reading.fault.message} at ${reading.fault.offset}`);
  return reading.curves;
}

function faultOf(text: string): string {
  const reading = readPathData(text);
  if (reading.ok) throw new Error('it was read');
  return `${reading.fault.offset}: ${reading.fault.message}`;
}

describe('reading', () => {
  it('takes lines, arcs and cubics, and closes with Z', () => {
    const [curve] = curvesOf(readPathData('M 0 0 L 4 0 A 2 2 0 0 1 4 4 C 3 4 1 4 0 4 Z'));
    expect(curve!.segments.map((segment) => segment.kind)).toEqual(['line', 'arc', 'cubic', 'line']);
    expect(curve!.segments.at(-1)!.to).toEqual({ x: 0, y: 0 });
    const arc = curve!.segments[1]!;
    // Flag 1 is counter-clockwise with y up: from the bottom over the right to the top.
    expect(arc.kind === 'arc' && arc.sweep).toBeCloseTo(Math.PI, 12);
    expect(arc.kind === 'arc' && arc.centre.x).toBeCloseTo(4, 12);
  });

  it('takes the whole number grammar of SVG: commas, signs as separators, exponents, flags run together', () => {
    const [curve] = curvesOf(readPathData('M.5-.5L1e1,0,1E+1 2 A2,2,0,011.5.5z'.replace('z', 'Z')));
    expect(curve!.segments.map(({ to }) => to)).toEqual(
      [
        { x: 10, y: 0 },
        { x: 10, y: 2 },
        { x: 1.5, y: 0.5 },
        { x: 0.5, y: -0.5 },
      ].map((p) => p),
    );
  });

  it('agrees with svg-pathdata 7.2, an independent reader, on where every command ends', () => {
    const text = 'M1 2 3 4L5,6-7.5.25A3 3 0 10-2 8C0 1 2 3 4 5 6 7 8 9 10 11ZM20 20L30 20 30 30Z';
    const theirs = new SVGPathData(text).commands.flatMap((command) =>
      'x' in command && 'y' in command ? [[command.x, command.y]] : [],
    );
    const ours = curvesOf(readPathData(text)).flatMap(({ segments }) => [
      [segments[0]!.from.x, segments[0]!.from.y],
      // The closing line is not a command with an end of its own.
      ...segments.slice(0, -1).map(({ to }) => [to.x, to.y]),
    ]);
    expect(ours).toEqual(theirs);
  });

  it('makes one full circle of two half circles, in either sense', () => {
    for (const [flag, sweep] of [
      [1, 2 * Math.PI],
      [0, -2 * Math.PI],
    ] as const) {
      const [curve] = curvesOf(readPathData(`M 5 1 A 5 5 0 0 ${flag} -5 1 A 5 5 0 0 ${flag} 5 1 Z`));
      expect(curve!.segments).toHaveLength(1);
      const arc = curve!.segments[0]!;
      expect(arc.kind === 'arc' && arc.sweep).toBe(sweep);
      expect(isCircle(curve!, 1e-9)).toMatchObject({ radius: 5 });
    }
  });

  it('leaves a curve without Z open unless it ends where it began', () => {
    const [open] = curvesOf(readPathData('M 0 0 L 4 0 L 4 4'));
    expect(open!.segments).toHaveLength(2);
    const [closed] = curvesOf(readPathData('M 0 0 L 4 0 L 4 4 L 0 0'));
    expect(closed!.segments).toHaveLength(3);
    expect(closed!.segments[2]!.to).toEqual({ x: 0, y: 0 });
  });

  it('says what is wrong and at which character', () => {
    expect(faultOf('L 1 2')).toBe('0: L comes before M; a curve starts with M and its starting point');
    expect(faultOf('M 0 0 l 1 2 Z')).toBe('6: l is relative; write the absolute L');
    expect(faultOf('M 0 0 H 3 Z')).toBe('6: H is not used here; the commands are M, L, A, C and Z');
    expect(faultOf('M 0 0 L 1 Z')).toBe('10: L needs 2 numbers; number 2 is missing or malformed');
    expect(faultOf('M 0 0 A 1 2 0 0 1 3 3 Z')).toContain('8: the radii 1 and 2 differ');
    expect(faultOf('M 0 0 A 1 1 0 2 1 3 3 Z')).toContain('a flag 0 or 1 is missing or malformed');
    expect(faultOf('M 0 0 A -1 -1 0 0 1 3 3 Z')).toContain('the radius -1 of an arc must be above 0');
    expect(faultOf('M 0 0 L NaN 1 Z')).toBe('8: L needs 2 numbers; number 1 is missing or malformed');
    expect(faultOf('M 0 0 L 1e999 1 Z')).toContain('number 1 is missing or malformed');
    expect(faultOf('M 0 0 & Z')).toContain('"&" is not a command');
  });
});

describe('writing', () => {
  it('uses no more than it needs', () => {
    const square = curvesOf(readPathData('M0 0L1 0 1 1 0 1Z'));
    expect(writePathData(square)).toBe('M 0 0 L 1 0 L 1 1 L 0 1 Z');
    expect(writePathData([circleCurve({ x: 2, y: 3 }, 1.5)])).toBe(
      'M 3.5 3 A 1.5 1.5 0 0 1 0.5 3 A 1.5 1.5 0 0 1 3.5 3 Z',
    );
  });

  it('reads back as the same curves: lines and cubics to the last bit, arcs to 1e-6 mm', () => {
    const number = fc.double({ min: -200, max: 200, noNaN: true }).map((value) => value + 0);
    const point = fc.record({ x: number, y: number });
    const step = fc.oneof(
      fc.record({ kind: fc.constant('line' as const), to: point }),
      fc.record({ kind: fc.constant('cubic' as const), c1: point, c2: point, to: point }),
      fc.record({
        kind: fc.constant('arc' as const),
        to: point,
        bulge: fc.double({ min: 0.5, max: 5, noNaN: true }),
        largeArc: fc.boolean(),
        sweep: fc.boolean(),
      }),
    );
    const curve = fc
      .tuple(point, fc.array(step, { minLength: 2, maxLength: 8 }))
      .map(([start, steps]): Curve => {
        let from = start;
        const segments = steps.flatMap((next, i) => {
          const to = i === steps.length - 1 ? start : next.to;
          const at = from;
          from = to;
          if (next.kind === 'line') return [{ kind: 'line' as const, from: at, to }];
          if (next.kind === 'cubic')
            return [{ kind: 'cubic' as const, from: at, c1: next.c1, c2: next.c2, to }];
          const radius = next.bulge * Math.hypot(to.x - at.x, to.y - at.y);
          return arcFromEndpoints({
            from: at,
            to,
            rx: radius,
            ry: radius,
            rotation: 0,
            largeArc: next.largeArc,
            sweep: next.sweep,
          });
        });
        return { segments };
      })
      .filter(
        ({ segments }) => segments.length > 0 && segments.every((s) => s.kind !== 'arc' || s.radius > 1e-3),
      );
    let arcs = 0;
    fc.assert(
      fc.property(fc.array(curve, { minLength: 1, maxLength: 3 }), (curves) => {
        const text = writePathData(curves);
        const again = curvesOf(readPathData(text));
        expect(again.map(({ segments }) => segments.map(({ kind }) => kind))).toEqual(
          curves.map(({ segments }) => segments.map(({ kind }) => kind)),
        );
        again.forEach(({ segments }, i) => {
          segments.forEach((segment, j) => {
            const original = curves[i]!.segments[j]!;
            if (segment.kind !== 'arc' || original.kind !== 'arc') {
              expect(segment).toEqual(original);
              return;
            }
            arcs++;
            expect([segment.from, segment.to]).toEqual([original.from, original.to]);
            expect(
              Math.hypot(segment.centre.x - original.centre.x, segment.centre.y - original.centre.y),
            ).toBeLessThan(1e-6 * original.radius);
            expect(Math.abs(segment.radius - original.radius)).toBeLessThan(1e-6 * original.radius);
          });
        });
      }),
      { seed: SEED, numRuns: 300 },
    );
    expect(arcs).toBeGreaterThan(100);
  });

  it('keeps full circles as one arc', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -100, max: 100, noNaN: true }),
        fc.double({ min: -100, max: 100, noNaN: true }),
        fc.double({ min: 0.05, max: 50, noNaN: true }),
        (x, y, radius) => {
          const [again] = curvesOf(readPathData(writePathData([circleCurve({ x, y }, radius)])));
          const circle = isCircle(again!, 1e-9)!;
          expect(again!.segments).toHaveLength(1);
          expect(Math.hypot(circle.centre.x - x, circle.centre.y - y)).toBeLessThan(1e-7);
          expect(circle.radius).toBeCloseTo(radius, 7);
          expect(curveLength(again!)).toBeCloseTo(2 * Math.PI * radius, 6);
          expect(flattenCurve(again!).length).toBeGreaterThan(8);
        },
      ),
      { seed: SEED, numRuns: 200 },
    );
  });
});
