/**
 * Straight edges and circular arcs that a ring holds as such: what the refit returns as one segment each.
 *
 * A line is an edge too long to be a chord: as a chord of a smooth curve, the turns at its ends would give it a sagitta
 * beyond what flattening leaves. An arc is a run of vertices on one circle to within rounding that does not get much
 * longer when half the tolerance is allowed; a smooth curve that merely resembles an arc does (its error grows with
 * the third power of the length, so a hundred times more allows 4.6 times the length).
 */
import { edgeFollows } from './fit-biarc.ts';
import { CHORD_SHARE, type Stretch } from './fit-stretch.ts';
import { directionAt, type Loose, type OrientedCircle, offsetFrom } from './oriented-circle.ts';

/** A line or arc over the vertices `first` to `last`. */
export interface Primitive extends Loose {
  readonly isLine: boolean;
  /** The edges are tangents of the arc rather than chords. */
  readonly isCircumscribed: boolean;
  readonly first: number;
  readonly last: number;
}

/** Rounding of the vertices, 1 nm (mm). */
const GRID = 1e-6;
/** Within this much vertices count as lying exactly on one circle: rounding, also of what was computed from rounded input. */
const EXACT_SLACK = 8 * GRID;
/** The share of the tolerance an exact run is measured against, and the share of the longer run it must then be. */
const LOOSE_SHARE = 0.5;
const LEAST_LENGTH_RATIO = 0.5;
/** Edges an arc inside a longer stretch must span: any three points lie on a circle, four often nearly do. */
const LEAST_EDGES = 4;
/** Turns from which a few short edges between long ones count as a round join. */
const LEAST_JOIN_TURN = 0.03;
/** Relative change of curvature along four edges above which a run is not worth trying. */
const CURVATURE_CHANGE = 0.005;

/** Edges that are lines. An end of an open stretch is a corner and says nothing about the edge. */
export function findLines(s: Stretch, tolerance: number): number[] {
  const edges = s.count - 1;
  const lines: number[] = [];
  for (let i = 0; i < edges; i++) {
    const size = s.length[i]!;
    let isLine = true;
    for (const end of [0, 1]) {
      const vertex = i + end;
      const isCorner = !s.closed && (vertex === 0 || vertex === edges);
      if (isCorner) continue;
      const neighbour = end === 0 ? (i > 0 ? i - 1 : edges - 1) : i + 1 < edges ? i + 1 : 0;
      const sagitta = (Math.abs(s.turn[vertex]!) * size * size) / (4 * (size + s.length[neighbour]!));
      if (sagitta <= CHORD_SHARE * tolerance) isLine = false;
    }
    if (isLine) lines.push(i);
  }
  return lines;
}

export function linePrimitive(s: Stretch, edge: number): Primitive {
  const { x, y } = s;
  const dx = x[edge + 1]! - x[edge]!;
  const dy = y[edge + 1]! - y[edge]!;
  const half = (dx * dx + dy * dy) / 4;
  const circle = {
    x: x[edge]! + dx / 2,
    y: y[edge]! + dy / 2,
    theta: Math.atan2(dy, dx),
    k: 0,
  };
  const covariance = new Float64Array(9);
  covariance[4] = 1 / (2 * half);
  covariance[8] = 1 / 2;
  return { isLine: true, isCircumscribed: false, first: edge, last: edge + 1, circle, covariance };
}

/** An arc over a single edge that lies between two lines, free to take the radius that touches both. */
export function bridge(s: Stretch, edge: number): Primitive {
  const { x, y, turn } = s;
  const dx = x[edge + 1]! - x[edge]!;
  const dy = y[edge + 1]! - y[edge]!;
  const chord = s.length[edge]!;
  const half = (turn[edge]! + turn[edge + 1]!) / 2;
  const k = (2 * Math.sin(half)) / chord;
  const sagitta = (chord / 2) * Math.tan(half / 2);
  const circle = {
    x: x[edge]! + dx / 2 + (sagitta * dy) / chord,
    y: y[edge]! + dy / 2 - (sagitta * dx) / chord,
    theta: Math.atan2(dy, dx),
    k,
  };
  const covariance = new Float64Array(9);
  covariance[0] = (k / GRID) ** 2;
  covariance[4] = 2 / (chord * chord);
  covariance[8] = 1 / 2;
  return { isLine: false, isCircumscribed: false, first: edge, last: edge + 1, circle, covariance };
}

/** The arcs among the vertices `first` to `last`: one over all of them where the tolerance allows, else the exact runs. */
export function findArcs(s: Stretch, first: number, last: number, tolerance: number): Primitive[] {
  if (last - first >= 2) {
    const whole = fitArc(s, first, last, tolerance);
    if (whole) return [whole];
  }
  const arcs: Primitive[] = [];
  const exact = EXACT_SLACK;
  const loose = LOOSE_SHARE * tolerance;
  let at = first;
  let floor = first;
  while (last > at) {
    const join = shortJoin(s, at, last, tolerance);
    if (join) {
      arcs.push(join);
      at = join.last;
      floor = at;
      continue;
    }
    if (last - at < LEAST_EDGES || !mayBeArc(s, at)) {
      at++;
      continue;
    }
    const b = runEnd(s, at, last, 1, exact, tolerance);
    if (b - at >= LEAST_EDGES) {
      const a = runEnd(s, b, floor, -1, exact, tolerance);
      const length = s.path[b]! - s.path[a]!;
      const ahead = s.path[runEnd(s, a, last, 1, loose, tolerance)]! - s.path[a]!;
      const back = s.path[b]! - s.path[runEnd(s, b, floor, -1, loose, tolerance)]!;
      if (length >= LEAST_LENGTH_RATIO * Math.max(ahead, back)) {
        const arc = fitArc(s, a, b, tolerance);
        if (arc) {
          arcs.push(arc);
          at = b;
          floor = b;
          continue;
        }
      }
    }
    at += Math.max(1, (b - at) >> 1);
  }
  return arcs;
}

/**
 * The round join that starts at a vertex: a few equal short edges between two long ones, which turn more than those do.
 * Its edges are tangents.
 */
function shortJoin(s: Stretch, a: number, last: number, tolerance: number): Primitive | null {
  const size = s.length[a]!;
  const turn = s.turn[a]!;
  if (Math.abs(turn) < LEAST_JOIN_TURN || !isLongBeside(s, a, -1, size)) return null;
  const isAlike = (vertex: number): boolean => Math.abs(s.turn[vertex]! - turn) < 0.3 * Math.abs(turn);
  let b = a + 1;
  while (b < last && b - a < LEAST_EDGES && isAlike(b) && Math.abs(s.length[b]! - size) < 0.3 * size) b++;
  if (!isAlike(b) || b - a >= LEAST_EDGES || !isLongBeside(s, b, 1, size)) return null;
  if (b - a >= 2) return fitArc(s, a, b, tolerance);
  const arc = bridge(s, a);
  const { circle } = arc;
  // The circle that touches this edge and both neighbours.
  const reach = Math.tan(turn / 2);
  const share = reach / (reach + Math.tan(s.turn[b]! / 2));
  circle.x = s.x[a]! + share * (s.x[b]! - s.x[a]!);
  circle.y = s.y[a]! + share * (s.y[b]! - s.y[a]!);
  circle.k = (reach + Math.tan(s.turn[b]! / 2)) / size;
  return vertexRunFollows(s, a, b, circle, tolerance) ? { ...arc, isCircumscribed: true } : null;
}

/** Whether the edge beside a vertex is long against those of a join, and no neighbour of another join. */
function isLongBeside(s: Stretch, vertex: number, side: 1 | -1, size: number): boolean {
  const edges = s.count - 1;
  if (!s.closed && (vertex === 0 || vertex === edges)) return false;
  const far = (vertex + side + edges) % edges;
  const outer = outerLength(s, vertex, side);
  const turnsLittle = Math.abs(s.turn[far]!) < 0.5 * Math.abs(s.turn[vertex]!);
  return outer > 20 * size || (outer > 2.5 * size && turnsLittle);
}

/** A cheap first look: curvature through three vertices, here and two edges on, must agree but for rounding. */
function mayBeArc(s: Stretch, at: number): boolean {
  const p = threePointCurvature(s, at, at + 1, at + 2);
  const q = threePointCurvature(s, at + 2, at + 3, at + 4);
  const shortest = Math.min(s.length[at]!, s.length[at + 1]!, s.length[at + 2]!, s.length[at + 3]!);
  const noise = (8 * GRID) / (shortest * shortest);
  return p * q > 0 && Math.abs(p - q) <= CURVATURE_CHANGE * Math.abs(p + q) + noise;
}

function threePointCurvature(s: Stretch, a: number, m: number, b: number): number {
  const { x, y } = s;
  const ux = x[m]! - x[a]!;
  const uy = y[m]! - y[a]!;
  const vx = x[b]! - x[m]!;
  const vy = y[b]! - y[m]!;
  const lengths = Math.sqrt((ux * ux + uy * uy) * (vx * vx + vy * vy) * ((ux + vx) ** 2 + (uy + vy) ** 2));
  return (2 * (ux * vy - uy * vx)) / lengths;
}

/** The farthest vertex in one direction, up to `limit`, that one circle reaches from `from` within `slack`. */
function runEnd(
  s: Stretch,
  from: number,
  limit: number,
  step: 1 | -1,
  slack: number,
  tolerance: number,
): number {
  const most = (limit - from) * step;
  const isRun = (n: number): boolean =>
    step > 0
      ? isCircular(s, from, from + n, slack, tolerance)
      : isCircular(s, from - n, from, slack, tolerance);
  let good = Math.min(2, most);
  let bad = most + 1;
  for (let n = Math.min(LEAST_EDGES, most); n > good; n = Math.min(2 * n, most)) {
    if (!isRun(n)) {
      bad = n;
      break;
    }
    good = n;
  }
  while (bad - good > 1) {
    const middle = (good + bad) >> 1;
    if (isRun(middle)) good = middle;
    else bad = middle;
  }
  return from + step * good;
}

const trial = { x: 0, y: 0, tx: 1, ty: 0, k: 0 };

/** The circle through vertices a, m and b, as its tangent at m; false when they lie on a line or turn too far to tell. */
function circleThrough(s: Stretch, a: number, m: number, b: number): boolean {
  const k = threePointCurvature(s, a, m, b);
  const ux = s.x[m]! - s.x[a]!;
  const uy = s.y[m]! - s.y[a]!;
  const size = Math.sqrt(ux * ux + uy * uy);
  const sin = (k * size) / 2;
  if (!(Math.abs(sin) < 1) || k === 0) return false;
  // The tangent at m is the chord from a turned by half the arc.
  const cos = Math.sqrt(1 - sin * sin);
  trial.x = s.x[m]!;
  trial.y = s.y[m]!;
  trial.tx = (ux * cos - uy * sin) / size;
  trial.ty = (uy * cos + ux * sin) / size;
  trial.k = k;
  return true;
}

function trialCircle(): OrientedCircle {
  return { x: trial.x, y: trial.y, theta: Math.atan2(trial.ty, trial.tx), k: trial.k };
}

function isCircular(s: Stretch, a: number, b: number, slack: number, tolerance: number): boolean {
  if (!circleThrough(s, a, (a + b) >> 1, b)) return false;
  const { k, tx, ty, x: ox, y: oy } = trial;
  if (Math.abs(k) * tolerance > 0.5) return false;
  const low = -slack + (k * slack * slack) / 2;
  const high = low + 2 * slack;
  const longest = (8 * tolerance) / Math.abs(k);
  let turned = 0;
  for (let i = a; i <= b; i++) {
    const dx = s.x[i]! - ox;
    const dy = s.y[i]! - oy;
    const f = (k / 2) * (dx * dx + dy * dy) + ty * dx - tx * dy;
    if (f < low || f > high) return false;
    if (i < b && s.length[i]! * s.length[i]! > longest) return false;
    if (i > a && i < b) {
      if (s.turn[i]! * k < 0) return false;
      turned += Math.abs(s.turn[i]!);
    }
  }
  return turned < 6.2;
}

/** The circle a whole loop is, within the tolerance; null when it is none. */
export function wholeCircle(
  s: Stretch,
  tolerance: number,
): { centre: { x: number; y: number }; radius: number; sweep: number } | null {
  const n = s.count - 1;
  // Three vertices a third of the way apart first: nearly every ring that is no circle fails one cheap look later.
  const third = Math.floor(n / 3);
  if (!circleThrough(s, 0, third, 2 * third) || Math.abs(trial.k) * tolerance > 0.5) return null;
  const start = trialCircle();
  for (let i = 0; i < n; i++) if (Math.abs(offsetFrom(start, s.x[i]!, s.y[i]!)) > 8 * tolerance) return null;
  let turned = 0;
  for (let i = 0; i < n; i++) turned += s.turn[i]!;
  if (Math.abs(Math.abs(turned) - 2 * Math.PI) > 1e-6) return null;
  const fitted = refineCircle(s, 0, n - 1, start);
  if (!fitted || !vertexRunFollows(s, 0, n, start, tolerance)) return null;
  const radius = 1 / Math.abs(start.k);
  return {
    centre: { x: start.x - Math.sin(start.theta) / start.k, y: start.y + Math.cos(start.theta) / start.k },
    radius,
    sweep: Math.sign(start.k) * 2 * Math.PI,
  };
}

/** Least-squares circle over the vertices, null when it does not follow them within the tolerance. */
function fitArc(s: Stretch, from: number, to: number, tolerance: number): Primitive | null {
  const step = tangentStep(s, from, to);
  const a = step > 0 && goesStraightOn(s, from, -1, step) ? from + 1 : from;
  const b = step > 0 && goesStraightOn(s, to, 1, step) ? to - 1 : to;
  if (b - a < 2 || !circleThrough(s, a, (a + b) >> 1, b)) return null;
  const circle = trialCircle();
  const covariance = refineCircle(s, a, b, circle);
  if (!covariance) return null;
  if (step > 0) {
    // The circle the edges touch is concentric, smaller by the cosine of half a step.
    const inward = (1 - Math.cos(step / 2)) / circle.k;
    circle.x -= inward * Math.sin(circle.theta);
    circle.y += inward * Math.cos(circle.theta);
    circle.k /= Math.cos(step / 2);
  }
  if (!vertexRunFollows(s, a, b, circle, tolerance)) return null;
  return { isLine: false, isCircumscribed: step > 0, first: a, last: b, circle, covariance };
}

/**
 * The turn from edge to edge when the edges are tangents of an arc, 0 when they are chords. Where a smooth curve goes
 * on, the last of a run of chords meets its tangent at half a step; the last of a run of tangents meets a longer edge at a
 * whole one, or is itself cut short and goes on straight. Offsetting draws round joins with tangents.
 */
function tangentStep(s: Stretch, a: number, b: number): number {
  const edges = s.count - 1;
  const isCornerAt = (vertex: number): boolean => !s.closed && (vertex === 0 || vertex === edges);
  if ((isCornerAt(a) && isCornerAt(b)) || b - a < 2) return 0;
  let inner = 0;
  for (let i = a + 1; i < b; i++) inner += Math.abs(s.turn[i]!);
  const step = inner / (b - a - 1);
  const endsTangent = (vertex: number, side: 1 | -1): boolean => {
    if (isCornerAt(vertex) || goesStraightOn(s, vertex, side, step)) return true;
    const share = Math.abs(s.turn[vertex]!) / step;
    if (share < 0.8 || share > 1.25) return false;
    // An arc of chords whose last chord was drawn out looks the same, but then a sharper turn follows.
    const isLong = outerLength(s, vertex, side) > 1.5 * s.length[side > 0 ? vertex - 1 : vertex]!;
    const far = (vertex + side + edges) % edges;
    return isLong || Math.abs(s.turn[far]!) < 0.5 * step;
  };
  return endsTangent(a, -1) && endsTangent(b, 1) ? step : 0;
}

/** Whether a run of edges leaves its last vertex straight, into an edge so long that a run of chords would turn there. */
function goesStraightOn(s: Stretch, vertex: number, side: 1 | -1, step: number): boolean {
  if (!s.closed && (vertex === 0 || vertex === s.count - 1)) return false;
  const inner = s.length[side > 0 ? vertex - 1 : vertex]!;
  return Math.abs(s.turn[vertex]!) < 0.15 * step && outerLength(s, vertex, side) > 3 * inner;
}

/** Length of the edge ahead of (side 1) or behind a vertex, across the seam of a loop if need be. */
function outerLength(s: Stretch, vertex: number, side: 1 | -1): number {
  const edges = s.count - 1;
  return s.length[(side > 0 ? vertex : vertex - 1 + edges) % edges]!;
}

/** Gauss-Newton on the vertices from a good first circle, which it moves; returns the covariance in units of their scatter. */
function refineCircle(s: Stretch, a: number, b: number, circle: OrientedCircle): Float64Array | null {
  const scale = s.path[b]! - s.path[a]!;
  let covariance: Float64Array | null = null;
  for (let round = 0; round < 4; round++) {
    // Normal equations in curvature, direction and sideways place, the first two scaled to lengths.
    let n00 = 0;
    let n01 = 0;
    let n02 = 0;
    let n11 = 0;
    let n12 = 0;
    let n22 = 0;
    let r0 = 0;
    let r1 = 0;
    let r2 = 0;
    const sin = Math.sin(circle.theta);
    const cos = Math.cos(circle.theta);
    for (let i = a; i <= b; i++) {
      const dx = s.x[i]! - circle.x;
      const dy = s.y[i]! - circle.y;
      const square = dx * dx + dy * dy;
      const across = cos * dy - sin * dx;
      const f = (circle.k / 2) * square - across;
      const g0 = square / 2 / (scale * scale);
      const g1 = (cos * dx + sin * dy) / scale;
      const g2 = 1 - circle.k * across;
      n00 += g0 * g0;
      n01 += g0 * g1;
      n02 += g0 * g2;
      n11 += g1 * g1;
      n12 += g1 * g2;
      n22 += g2 * g2;
      r0 -= g0 * f;
      r1 -= g1 * f;
      r2 -= g2 * f;
    }
    const inverse = invertSymmetric(n00, n01, n02, n11, n12, n22);
    if (!inverse) return null;
    const units = [1 / (scale * scale), 1 / scale, 1];
    covariance = new Float64Array(9);
    for (let p = 0; p < 3; p++) {
      for (let q = 0; q < 3; q++) covariance[3 * p + q] = inverse[3 * p + q]! * units[p]! * units[q]!;
    }
    const step = [0, 1, 2].map(
      (p) => units[p]! * (inverse[3 * p]! * r0 + inverse[3 * p + 1]! * r1 + inverse[3 * p + 2]! * r2),
    );
    circle.k += step[0]!;
    circle.x -= step[2]! * sin;
    circle.y += step[2]! * cos;
    circle.theta += step[1]!;
    if (Math.abs(step[2]!) < 1e-13 && Math.abs(step[1]!) * scale < 1e-13) break;
  }
  return covariance;
}

/** Whether the edges from vertex a to b lie within the tolerance of the circle and go round it its way. */
function vertexRunFollows(
  s: Stretch,
  a: number,
  b: number,
  circle: OrientedCircle,
  tolerance: number,
): boolean {
  const { k } = circle;
  if (!(Math.abs(k) * tolerance <= 0.5)) return false;
  const low = -tolerance + (k * tolerance * tolerance) / 2;
  let before = offsetFrom(circle, s.x[a]!, s.y[a]!);
  if (before < low || before > low + 2 * tolerance) return false;
  for (let i = a + 1; i <= b; i++) {
    const f = offsetFrom(circle, s.x[i]!, s.y[i]!);
    if (!edgeFollows(before, f, k, s.length[i - 1]! ** 2, low, low + 2 * tolerance)) return false;
    directionAt(circle, s.x[i - 1]!, s.y[i - 1]!, direction);
    if ((s.x[i]! - s.x[i - 1]!) * direction.x + (s.y[i]! - s.y[i - 1]!) * direction.y <= 0) return false;
    before = f;
  }
  return true;
}

const direction = { x: 0, y: 0 };

function invertSymmetric(
  a: number,
  b: number,
  c: number,
  d: number,
  e: number,
  f: number,
): Float64Array | null {
  const m00 = d * f - e * e;
  const m01 = c * e - b * f;
  const m02 = b * e - c * d;
  const det = a * m00 + b * m01 + c * m02;
  if (!(det > 0)) return null;
  const m11 = a * f - c * c;
  const m12 = b * c - a * e;
  const m22 = a * d - b * b;
  return Float64Array.from([m00, m01, m02, m01, m11, m12, m02, m12, m22], (v) => v / det);
}
