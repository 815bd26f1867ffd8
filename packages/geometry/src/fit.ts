/**
 * Refits a dense closed polygon, such as an offset result, with lines and circular arcs.
 *
 * Guarantee: the curve and the polygon lie within `tolerance` of each other, both ways, and in step: each piece of the
 * result is checked against the stretch of polygon it stands for by exact conditions on that stretch (fit-biarc.ts,
 * fit-assemble.ts), not by sampling. Joints are smooth (tangent breaks up to FIT_TANGENT_BREAK) except at
 * corners. The curve is walked the way the polygon is.
 *
 * Steps: (1) vertices on straight runs are dropped; (2) a ring within the tolerance of a circle becomes one arc;
 * (3) corners split it into smooth stretches; (4) in each, lines and arcs of the source are recognised and made to touch
 * smoothly; (5) the rest becomes smooth chains of as few arcs as possible (fit-plan.ts).
 *
 * What it expects: chords up to a third of the tolerance off the true curve, vertices within a few nm of it (mm). A
 * coarser polygon is returned with corners where its edges meet. Cost about 1 us a vertex.
 */
import { type Curve, polygonCurve } from './curve.ts';
import { GeometryError } from './errors.ts';
import { fitLoop, fitStretch } from './fit-assemble.ts';
import { findLines, wholeCircle } from './fit-exact.ts';
import type { Piece } from './fit-plan.ts';
import { cutStretch, findCorners, type Stretch, thinRing, turnBetween } from './fit-stretch.ts';
import type { Point } from './point.ts';
import type { Segment } from './segment.ts';

/** Default greatest distance between the fitted curve and the ring, mm: 1.5 um. */
export const FIT_TOLERANCE = 0.0015;

/** Greatest tangent break at a joint that is not a corner, radians: arcs flatter than this are written as lines. */
export const FIT_TANGENT_BREAK = 1e-5;

/** Vertices this near to a straight run are dropped first (mm: 3 nm); it is taken off the tolerance. */
const THIN_SLACK = 0.000003;

export interface FitOptions {
  /** Greatest two-sided distance between curve and ring; 1.5 um (mm) when absent. */
  readonly tolerance?: number;
}

/**
 * A closed curve of lines and arcs within the tolerance of the ring, walked the same way. A ring without extent gives a
 * curve without segments.
 * @throws GeometryError `bad-tolerance` below 10 nm, `bad-coordinate` when a coordinate is not finite.
 */
export function fitCurve(ring: Float64Array, options: FitOptions = {}): Curve {
  const whole = options.tolerance ?? FIT_TOLERANCE;
  if (!(whole >= 1e-5)) {
    throw new GeometryError(
      'bad-tolerance',
      `The refit tolerance is ${whole}; it must be at least 0.00001, well above the 1 nm grid. Usual: ${FIT_TOLERANCE}.`,
      { tolerance: whole },
    );
  }
  const bad = ring.findIndex((value) => !Number.isFinite(value));
  if (bad >= 0) {
    throw new GeometryError(
      'bad-coordinate',
      `Vertex ${bad >> 1} of the ring has the coordinate ${ring[bad]}; check the numbers this outline was made from.`,
      {
        vertex: bad >> 1,
      },
    );
  }
  if (ring.length < 2) return { segments: [] };
  const tolerance = whole - THIN_SLACK;
  const thin = thinRing(ring, THIN_SLACK);
  const n = thin.length >> 1;
  if (n < 3) return polygonCurve(pointsOf(thin));
  const loop = cutStretch(thin, 0, n, true);
  const circle = wholeCircle(loop, tolerance);
  if (circle) {
    const { centre, radius, sweep } = circle;
    const start = { x: centre.x + radius, y: centre.y };
    return { segments: [{ kind: 'arc', from: start, to: start, centre, radius, sweep }] };
  }
  const corners = cornersOf(loop, tolerance);
  if (corners.length === 0) return curveOf(fitLoop(loop, tolerance));
  return curveOf(
    corners.flatMap((corner, i) => {
      const next = corners[i + 1] ?? corners[0]! + n;
      if (next - corner === 1) return [edgeOf(loop, corner)];
      return fitStretch(cutStretch(thin, corner, next - corner, false), tolerance);
    }),
  );
}

/** An edge between two corners. */
function edgeOf({ x, y }: Stretch, i: number): Piece {
  return { x0: x[i]!, y0: y[i]!, x1: x[i + 1]!, y1: y[i + 1]!, curvature: 0, turn: 0 };
}

function cornersOf(loop: Stretch, tolerance: number): number[] {
  const n = loop.count - 1;
  const corners = new Set(findCorners(loop, tolerance));
  // Two lines that meet make a corner, however flat.
  const lines = new Set(findLines(loop, tolerance));
  for (const edge of lines) if (lines.has((edge + 1) % n)) corners.add((edge + 1) % n);
  return [...corners].sort((a, b) => a - b);
}

function pointsOf(ring: Float64Array): Point[] {
  const points: Point[] = [];
  for (let i = 0; i + 1 < ring.length; i += 2) points.push({ x: ring[i]!, y: ring[i + 1]! });
  return points;
}

function curveOf(pieces: readonly Piece[]): Curve {
  const segments: Segment[] = [];
  const merged = mergePieces(pieces);
  const first: Point = { x: merged[0]!.x0, y: merged[0]!.y0 };
  let from = first;
  merged.forEach((piece, i) => {
    const to = i + 1 === merged.length ? first : { x: piece.x1, y: piece.y1 };
    if (to.x === from.x && to.y === from.y) return;
    segments.push(segmentOf(from, to, piece));
    from = to;
  });
  return { segments };
}

/** Neighbours on the same circle or line as one piece. */
function mergePieces(pieces: readonly Piece[]): Piece[] {
  const merged: Piece[] = [];
  for (const piece of pieces) {
    const last = merged[merged.length - 1];
    const joined = last && joinPieces(last, piece);
    if (joined) merged[merged.length - 1] = joined;
    else merged.push(piece);
  }
  return merged;
}

function joinPieces(p: Piece, q: Piece): Piece | null {
  const ax = p.x1 - p.x0;
  const ay = p.y1 - p.y0;
  const bx = q.x1 - q.x0;
  const by = q.y1 - q.y0;
  const length = Math.hypot(ax, ay) + Math.hypot(bx, by);
  if (Math.abs(p.turn) + Math.abs(q.turn) > 3) return null;
  // Directions the joined arc has at its ends and at the joint, against those of the two.
  const bend = turnBetween(ax, ay, bx, by) - (p.turn + q.turn) / 2;
  if (Math.abs(bend) + (Math.abs(p.curvature - q.curvature) * length) / 4 > FIT_TANGENT_BREAK / 2)
    return null;
  const turn = p.turn + q.turn;
  const chord = Math.hypot(q.x1 - p.x0, q.y1 - p.y0);
  return { x0: p.x0, y0: p.y0, x1: q.x1, y1: q.y1, curvature: (2 * Math.sin(turn / 2)) / chord, turn };
}

function segmentOf(from: Point, to: Point, { curvature, turn }: Piece): Segment {
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const chord = Math.hypot(dx, dy);
  const isFlat = Math.abs(turn) < FIT_TANGENT_BREAK && Math.abs(turn) * chord < 8e-6;
  if (isFlat || curvature === 0) return { kind: 'line', from, to };
  // From the chord and the turn, so that both ends lie on the circle.
  const sin = Math.sin(turn / 2);
  const height = (chord / 2 / sin) * Math.cos(turn / 2);
  return {
    kind: 'arc',
    from,
    to,
    centre: {
      x: (from.x + to.x) / 2 - (height * dy) / chord,
      y: (from.y + to.y) / 2 + (height * dx) / chord,
    },
    radius: Math.abs(chord / 2 / sin),
    sweep: turn,
  };
}
