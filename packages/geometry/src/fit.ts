/** Refits a dense closed polygon with lines and arcs. */
import { type Curve, polygonCurve } from './curve.ts';
import { fitSmooth, type Piece } from './fit-smooth.ts';
import { cutStretch, findCorners, thinRing } from './fit-stretch.ts';
import type { Segment } from './segment.ts';

/** Default greatest distance between the fitted curve and the ring, mm: 1.5 um. */
export const FIT_TOLERANCE = 0.0015;
const THIN_SLACK = 0.000003;

export interface FitOptions {
  /** Greatest two-sided distance between curve and ring; 1.5 um (mm) when absent. */
  readonly tolerance?: number;
}

/** A closed curve of lines and arcs within the tolerance of the ring, walked the same way. */
export function fitCurve(ring: Float64Array, options: FitOptions = {}): Curve {
  const tolerance = (options.tolerance ?? FIT_TOLERANCE) - THIN_SLACK;
  const thin = thinRing(ring, THIN_SLACK);
  const n = thin.length >> 1;
  const loop = cutStretch(thin, 0, n, true);
  const corners = findCorners(loop, 2 * tolerance);
  const pieces: Piece[] = [];
  if (corners.length === 0) {
    const p = { x: loop.x[0]!, y: loop.y[0]!, theta: null };
    pieces.push(...fitSmooth(loop, 0, n, p, p, tolerance));
  }
  corners.forEach((c, k) => {
    const next = corners[(k + 1) % corners.length]!;
    const edges = next > c ? next - c : next + n - c;
    const s = cutStretch(thin, c, edges, false);
    const a = { x: s.x[0]!, y: s.y[0]!, theta: null };
    const b = { x: s.x[edges]!, y: s.y[edges]!, theta: null };
    pieces.push(...fitSmooth(s, 0, edges, a, b, tolerance));
  });
  if (pieces.length < 2) return polygonCurve([]);
  const segments: Segment[] = [];
  let from = { x: pieces[0]!.x0, y: pieces[0]!.y0 };
  const first = from;
  pieces.forEach((piece, i) => {
    const to = i === pieces.length - 1 ? first : { x: piece.x1, y: piece.y1 };
    segments.push(toSegment(from, to, piece.curvature));
    from = to;
  });
  return { segments };
}

function toSegment(from: { x: number; y: number }, to: { x: number; y: number }, curvature: number): Segment {
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const c = Math.hypot(dx, dy);
  if (Math.abs(curvature) * c * c < 8e-6) return { kind: 'line', from, to };
  const sweep = 2 * Math.asin(Math.max(-1, Math.min(1, (curvature * c) / 2)));
  const r = 1 / curvature;
  const h = r * Math.cos(sweep / 2);
  return {
    kind: 'arc',
    from,
    to,
    centre: { x: (from.x + to.x) / 2 - (h * dy) / c, y: (from.y + to.y) / 2 + (h * dx) / c },
    radius: Math.abs(r),
    sweep,
  };
}
