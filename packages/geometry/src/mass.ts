/**
 * Exact area, first and second moments of what closed curves enclose, by Green's theorem along the curves themselves
 * (design of the integrals: the area form x dy - y dx taken about a nearby point, then moved by Steiner's theorem, so
 * that small shapes far from the origin keep their digits).
 *
 * With P = (x, y) and c = x y' - y x', along a segment:
 *   area = 1/2 sum c,  Sx = 1/3 sum x c,  Sy = 1/3 sum y c,
 *   Ix = 1/4 sum y^2 c,  Iy = 1/4 sum x^2 c,  Ixy = 1/4 sum x y c   (sum: integral dt)
 * since the region between the reference point and the segment is swept by scaled copies of it.
 *
 * Lines: closed form (shoelace). Arcs: closed form in sines and cosines of once to four times the angle. Cubics:
 * Gauss-Legendre; c has degree 4 (the t^5 terms cancel), so the integrands reach degree 10 and 6 points (exact to
 * degree 11) are exact.
 */
import type { Curve } from './curve.ts';
import { gaussLegendre } from './gauss-legendre.ts';
import type { Point } from './point.ts';
import type { ArcSegment, CubicSegment, Segment } from './segment.ts';

/** Moments about the origin, in powers of the unit of length. Clockwise curves count negatively. */
export interface MassProperties {
  readonly area: number;
  /** The origin when the area is zero. */
  readonly centroid: Point;
  /** Integral of y^2: second moment about the x axis. */
  readonly ix: number;
  /** Integral of x^2: second moment about the y axis. */
  readonly iy: number;
  /** Integral of x y. */
  readonly ixy: number;
}

/** Area, centroid and second moments about the origin, summed with sign over the curves (holes run clockwise). */
export function massProperties(curves: readonly Curve[]): MassProperties {
  let area = 0;
  let sx = 0;
  let sy = 0;
  let ix = 0;
  let iy = 0;
  let ixy = 0;
  for (const curve of curves) {
    const m = secondMoments(curve);
    area += m.area;
    sx += m.sx;
    sy += m.sy;
    ix += m.ix;
    iy += m.iy;
    ixy += m.ixy;
  }
  const centroid = area === 0 ? { x: 0, y: 0 } : { x: sx / area, y: sy / area };
  return { area, centroid, ix, iy, ixy };
}

/** The same with second moments about the centroid (Steiner's theorem). */
export function aboutCentroid(m: MassProperties): MassProperties {
  const { x, y } = m.centroid;
  return { ...m, ix: m.ix - m.area * y * y, iy: m.iy - m.area * x * x, ixy: m.ixy - m.area * x * y };
}

interface Moments {
  area: number;
  sx: number;
  sy: number;
  ix: number;
  iy: number;
  ixy: number;
}

/** Area, first and second moments of one closed curve about the origin. */
export function secondMoments(curve: Curve): Moments {
  const sum: Moments = { area: 0, sx: 0, sy: 0, ix: 0, iy: 0, ixy: 0 };
  const origin = curve.segments[0]?.from;
  if (!origin) return sum;
  for (const segment of curve.segments) addSegment(sum, segment, origin.x, origin.y);
  return moved(sum, origin.x, origin.y);
}

/** Moments of a shape after it is moved by (dx, dy). */
function moved(m: Moments, dx: number, dy: number): Moments {
  return {
    area: m.area,
    sx: m.sx + dx * m.area,
    sy: m.sy + dy * m.area,
    ix: m.ix + 2 * dy * m.sy + dy * dy * m.area,
    iy: m.iy + 2 * dx * m.sx + dx * dx * m.area,
    ixy: m.ixy + dx * m.sy + dy * m.sx + dx * dy * m.area,
  };
}

function addSegment(sum: Moments, segment: Segment, ox: number, oy: number): void {
  switch (segment.kind) {
    case 'line':
      addTriangle(sum, segment.from.x - ox, segment.from.y - oy, segment.to.x - ox, segment.to.y - oy);
      return;
    case 'arc':
      addArc(sum, segment, ox, oy);
      return;
    case 'cubic':
      addCubic(sum, segment, ox, oy);
      return;
  }
}

/** Triangle from the reference point over a line. */
function addTriangle(sum: Moments, x0: number, y0: number, x1: number, y1: number): void {
  const cross = x0 * y1 - x1 * y0;
  sum.area += cross / 2;
  sum.sx += (cross * (x0 + x1)) / 6;
  sum.sy += (cross * (y0 + y1)) / 6;
  sum.ix += (cross * (y0 * y0 + y0 * y1 + y1 * y1)) / 12;
  sum.iy += (cross * (x0 * x0 + x0 * x1 + x1 * x1)) / 12;
  sum.ixy += (cross * (x0 * y1 + 2 * x0 * y0 + 2 * x1 * y1 + x1 * y0)) / 24;
}

/**
 * An arc is the triangle over its chord plus the circular segment beyond the chord. The circular segment is
 * integrated in the frame of the arc's centre and bisector, where it is symmetric (half-angle h):
 *   area = r^2 (h - sin h cos h),  first moment = 2/3 r^3 sin^3 h,
 *   second moments = r^4/4 (h - sin h cos h + 2 sin^3 h cos h) along the bisector's direction
 *   and r^4/12 (3h - 3 sin h cos h - 2 sin^3 h cos h) across it,
 * then turned and moved. No cancellation: short arcs use the series of h - sin h cos h.
 */
function addArc(sum: Moments, arc: ArcSegment, ox: number, oy: number): void {
  const { from, to, centre, radius: r } = arc;
  const x0 = from.x - ox;
  const y0 = from.y - oy;
  const x1 = to.x - ox;
  const y1 = to.y - oy;
  addTriangle(sum, x0, y0, x1, y1);
  const h = arc.sweep / 2;
  const sin = Math.sin(h);
  const cos = Math.cos(h);
  const sin3 = sin * sin * sin;
  const lens = halfAngleLens(h);
  const area = r * r * lens;
  const first = (2 / 3) * r ** 3 * sin3;
  const along = (r ** 4 / 4) * (lens + 2 * sin3 * cos);
  const across = (r ** 4 / 12) * (3 * lens - 2 * sin3 * cos);
  const middle = Math.atan2(from.y - centre.y, from.x - centre.x) + h;
  const ux = Math.cos(middle);
  const uy = Math.sin(middle);
  // The formulas are odd in h, so that a clockwise arc takes away what a counter-clockwise one adds.
  const turned: Moments = {
    area,
    sx: first * ux,
    sy: first * uy,
    ix: along * uy * uy + across * ux * ux,
    iy: along * ux * ux + across * uy * uy,
    ixy: (along - across) * ux * uy,
  };
  const m = moved(turned, centre.x - ox, centre.y - oy);
  sum.area += m.area;
  sum.sx += m.sx;
  sum.sy += m.sy;
  sum.ix += m.ix;
  sum.iy += m.iy;
  sum.ixy += m.ixy;
}

/** h - sin h cos h = (2h - sin 2h) / 2, by its Taylor series where the subtraction would lose digits. */
function halfAngleLens(h: number): number {
  if (Math.abs(h) > 0.3) return h - Math.sin(h) * Math.cos(h);
  const w = 4 * h * h;
  let term = (2 * h * w) / 12;
  let sum = term;
  for (let k = 4; Math.abs(term) > 1e-18 * Math.abs(sum); k += 2) {
    term *= -w / (k * (k + 1));
    sum += term;
  }
  return sum;
}

const rule = gaussLegendre(6);

function addCubic(sum: Moments, cubic: CubicSegment, ox: number, oy: number): void {
  const x0 = cubic.from.x - ox;
  const y0 = cubic.from.y - oy;
  const x1 = cubic.c1.x - ox;
  const y1 = cubic.c1.y - oy;
  const x2 = cubic.c2.x - ox;
  const y2 = cubic.c2.y - oy;
  const x3 = cubic.to.x - ox;
  const y3 = cubic.to.y - oy;
  for (let i = 0; i < 6; i++) {
    const t = rule.nodes[i]!;
    const u = 1 - t;
    const w0 = u * u * u;
    const w1 = 3 * u * u * t;
    const w2 = 3 * u * t * t;
    const w3 = t * t * t;
    const x = w0 * x0 + w1 * x1 + w2 * x2 + w3 * x3;
    const y = w0 * y0 + w1 * y1 + w2 * y2 + w3 * y3;
    const dx = 3 * (u * u * (x1 - x0) + 2 * u * t * (x2 - x1) + t * t * (x3 - x2));
    const dy = 3 * (u * u * (y1 - y0) + 2 * u * t * (y2 - y1) + t * t * (y3 - y2));
    const c = rule.weights[i]! * (x * dy - y * dx);
    sum.area += c / 2;
    sum.sx += (x * c) / 3;
    sum.sy += (y * c) / 3;
    sum.ix += (y * y * c) / 4;
    sum.iy += (x * x * c) / 4;
    sum.ixy += (x * y * c) / 4;
  }
}
