import type { Point } from '@inlaywright/geometry';
import type { Stretch } from '../mosaic/model.ts';
import type { PathSegment } from './beam-path-segments.ts';
import { fitRun, type Track } from './compensate-biarc.ts';

/**
 * Stretches of the mosaic as lines and arcs. The polylines come from lines, arcs and cubics flattened with their
 * vertices on the true curve, so what was a line or an arc is found again exactly and the rest becomes smooth biarcs
 * whose distance from every vertex stays within FIT_MM. One pass, a few dozen nanoseconds a vertex; open stretches keep
 * their ends bitwise, since other stretches meet there.
 *
 *   corners      where the turn is more than chords of a smooth curve can have
 *   primitives   chords too long for their turns are lines; runs of vertices on one circle are arcs
 *   the rest     compensate-biarc
 */

/** Greatest distance of a vertex, and so of the true curve, from the fitted stretch, mm. */
export const FIT_MM = 0.0011;
/**
 * Chords L1, L2 of a curve flattened within e turn by at most 4 e (1/L1 + 1/L2) where they meet. Here e is 0.5 um for the
 * flattening and as much again for boundaries that were welded or cut on a chord.
 */
const TURN_MM = 4 * 0.001;
/** A turn by more than this is a corner however short the chords, rad. */
const SHARP_RAD = 1;
/** Vertices within this length of path are looked at as one corner too, mm: a curve that bends so tightly is as good as one. */
const CLUSTER_MM = 0.005;
/** Sagitta above which a chord cannot be a flattened curve's, mm. */
const CHORD_SAGITTA_MM = 0.0008;
/** Vertices of an arc lie on its circle up to the grid's rounding, mm. */
const ON_CIRCLE_MM = 3e-6;
/** How far off its circle an arc's end may be that was cut on a chord or welded to another outline, mm. */
const STUB_MM = 0.0006;
/** How far a circle taken from half as many vertices may be off at the next ones, mm. */
const NEAR_CIRCLE_MM = 3e-5;
/** What looks like an arc is taken as one from this many chords or this turn on: cubics have shorter such stretches. */
const ARC_CHORDS = 8;
const ARC_RAD = 0.35;

const fitted = new WeakMap<Stretch, readonly PathSegment[]>();

/** The stretch as lines and arcs, kept for as long as the stretch itself. */
export function fittedStretch(stretch: Stretch): readonly PathSegment[] {
  let segments = fitted.get(stretch);
  if (!segments) {
    segments = fitStretch(stretch);
    fitted.set(stretch, segments);
  }
  return segments;
}

export function fitStretch({ points, closed }: Stretch): readonly PathSegment[] {
  if (!closed) return fitOpen(layTrack(points, 0, false), false);
  const circle = wholeCircle(points);
  if (circle) return [circle];
  // A loop is cut open at its sharpest vertex: if it has corners, that is one.
  const track = layTrack(points, sharpest(points), true);
  return fitOpen(track, !isCorner(track, 0));
}

/** Vertices with path length, chords and turns. A loop repeats its first vertex at the end, with the turn there at both. */
function layTrack(points: Float64Array, start: number, loop: boolean): Track {
  const n = points.length >> 1;
  const count = loop ? n + 1 : n;
  const x = new Float64Array(count);
  const y = new Float64Array(count);
  const chord = new Float64Array(count);
  const path = new Float64Array(count);
  const turn = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const at = 2 * ((start + i) % n);
    x[i] = points[at]!;
    y[i] = points[at + 1]!;
  }
  for (let i = 0; i + 1 < count; i++) {
    chord[i] = Math.hypot(x[i + 1]! - x[i]!, y[i + 1]! - y[i]!);
    path[i + 1] = path[i]! + chord[i]!;
  }
  for (let i = 1; i + 1 < count; i++) turn[i] = turnAt(x, y, i - 1, i, i + 1);
  if (loop) {
    turn[0] = turnAt(x, y, count - 2, 0, 1);
    turn[count - 1] = turn[0]!;
  }
  return { count, x, y, chord, path, turn };
}

function turnAt(x: Float64Array, y: Float64Array, a: number, b: number, c: number): number {
  const ux = x[b]! - x[a]!;
  const uy = y[b]! - y[a]!;
  const vx = x[c]! - x[b]!;
  const vy = y[c]! - y[b]!;
  return Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
}

function sharpest(points: Float64Array): number {
  const n = points.length >> 1;
  let best = 0;
  let most = -1;
  for (let i = 0; i < n; i++) {
    const a = 2 * ((i + n - 1) % n);
    const b = 2 * i;
    const c = 2 * ((i + 1) % n);
    const ux = points[b]! - points[a]!;
    const uy = points[b + 1]! - points[a + 1]!;
    const vx = points[c]! - points[b]!;
    const vy = points[c + 1]! - points[b + 1]!;
    // Turn against what the chords allow, without a root or an arc tangent: squares compare as well.
    const cross = ux * vy - uy * vx;
    const dot = ux * vx + uy * vy;
    const u = ux * ux + uy * uy;
    const v = vx * vx + vy * vy;
    const sharpness = dot > 0 ? (cross * cross * Math.min(u, v)) / (u * v) : Math.min(u, v) + 1;
    if (sharpness > most) {
      most = sharpness;
      best = i;
    }
  }
  return best;
}

function isCorner({ turn, chord, count }: Track, i: number): boolean {
  const size = Math.abs(turn[i]!);
  const before = chord[i > 0 ? i - 1 : count - 2]!;
  const after = chord[i < count - 1 ? i : 0]!;
  return size > SHARP_RAD || size > TURN_MM * (1 / before + 1 / after);
}

/**
 * A corner may come as a few vertices close together, none of which turns more than its short chords allow: taken as one
 * vertex between the chords before and after, they show.
 */
function markCornerClusters({ turn, chord, count }: Track, corner: Uint8Array): void {
  for (let first = 1; first + 2 < count; first++) {
    let length = chord[first]!;
    let total = turn[first]!;
    for (let last = first + 1; last + 1 < count && length < CLUSTER_MM; last++) {
      total += turn[last]!;
      if (Math.abs(total) > TURN_MM * (1 / chord[first - 1]! + 1 / chord[last]!))
        corner.fill(1, first, last + 1);
      length += chord[last]!;
    }
  }
}

/** A closed stretch all of whose vertices lie on one circle. */
function wholeCircle(points: Float64Array): PathSegment | null {
  const n = points.length >> 1;
  if (n < 8) return null;
  const circle = circleThrough(points, 0, Math.floor(n / 3), Math.floor((2 * n) / 3));
  if (!circle) return null;
  let radius = 0;
  let area = 0;
  let longest = 0;
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const r = Math.hypot(points[2 * i]! - circle.x, points[2 * i + 1]! - circle.y);
    if (Math.abs(r - circle.r) > ON_CIRCLE_MM) return null;
    radius += r / n;
    area += points[2 * i]! * points[2 * j + 1]! - points[2 * j]! * points[2 * i + 1]!;
    longest = Math.max(
      longest,
      Math.hypot(points[2 * j]! - points[2 * i]!, points[2 * j + 1]! - points[2 * i + 1]!),
    );
  }
  // A regular polygon has its corners on a circle too.
  if ((longest * longest) / (8 * radius) > CHORD_SAGITTA_MM) return null;
  const centre = centreOf(points, circle.x, circle.y);
  const from = { x: centre.x + radius, y: centre.y };
  return { kind: 'arc', from, to: from, centre, radius, sweep: area > 0 ? 2 * Math.PI : -2 * Math.PI };
}

/** One Gauss-Newton step for the circle's centre over all vertices: the grid's rounding averages out. */
function centreOf(points: Float64Array, x0: number, y0: number): Point {
  const n = points.length >> 1;
  let mean = 0;
  for (let i = 0; i < n; i++) mean += Math.hypot(points[2 * i]! - x0, points[2 * i + 1]! - y0) / n;
  let dx = 0;
  let dy = 0;
  for (let i = 0; i < n; i++) {
    const ux = points[2 * i]! - x0;
    const uy = points[2 * i + 1]! - y0;
    const r = Math.hypot(ux, uy);
    dx += ((r - mean) * ux) / r;
    dy += ((r - mean) * uy) / r;
  }
  return { x: x0 + (2 * dx) / n, y: y0 + (2 * dy) / n };
}

interface Circle {
  readonly x: number;
  readonly y: number;
  readonly r: number;
}

function circleThrough(points: Float64Array, i: number, j: number, k: number): Circle | null {
  return circleOf(
    points[2 * i]!,
    points[2 * i + 1]!,
    points[2 * j]! - points[2 * i]!,
    points[2 * j + 1]! - points[2 * i + 1]!,
    points[2 * k]! - points[2 * i]!,
    points[2 * k + 1]! - points[2 * i + 1]!,
  );
}

/** The circle through a point and two others given relative to it. */
function circleOf(x: number, y: number, bx: number, by: number, cx: number, cy: number): Circle | null {
  const d = 2 * (bx * cy - by * cx);
  const b = bx * bx + by * by;
  const c = cx * cx + cy * cy;
  if (!(Math.abs(d) > 1e-9 * Math.max(b, c))) return null;
  const ux = (cy * b - by * c) / d;
  const uy = (bx * c - cx * b) / d;
  return { x: x + ux, y: y + uy, r: Math.hypot(ux, uy) };
}

/** A stretch of the track that is one line or one arc. */
interface Primitive {
  readonly first: number;
  readonly last: number;
  readonly segment: PathSegment;
}

function fitOpen(track: Track, smoothLoop: boolean): PathSegment[] {
  const { count, x, y } = track;
  const points: Point[] = new Array(count);
  const isClosed = x[0] === x[count - 1] && y[0] === y[count - 1];
  const at = (i: number): Point => {
    const k = isClosed && i === count - 1 ? 0 : i;
    points[k] ??= { x: x[k]!, y: y[k]! };
    return points[k]!;
  };
  const corner = new Uint8Array(count);
  for (let i = 1; i + 1 < count; i++) if (isCorner(track, i)) corner[i] = 1;
  markCornerClusters(track, corner);
  if (!smoothLoop) {
    corner[0] = 1;
    corner[count - 1] = 1;
  }
  const out: PathSegment[] = [];
  const last = count - 1;
  let done = 0;
  /** What lies between the primitives, broken at corners. */
  const fill = (to: number, next: PathSegment | null): void => {
    let first = done;
    for (let i = done + 1; i <= to; i++) {
      if (i < to && !corner[i]) continue;
      const before = corner[first] ? null : (out[out.length - 1] ?? null);
      const isLoop = smoothLoop && first === 0 && i === last;
      fitRun(
        track,
        { first, last: i, before, after: i === to && !corner[i] ? next : null, isLoop },
        at,
        FIT_MM,
        out,
      );
      first = i;
    }
  };
  for (let i = 0; i < last; ) {
    const found: Primitive | null = lineAt(track, i, corner, at) ?? arcAt(track, i, corner, at);
    if (!found) {
      i++;
      continue;
    }
    const primitive = withStubs(track, found, corner, done, at);
    fill(primitive.first, primitive.segment);
    out.push(primitive.segment);
    done = primitive.last;
    i = done;
  }
  fill(last, smoothLoop ? (out[0] ?? null) : null);
  return out;
}

function lineAt(track: Track, i: number, corner: Uint8Array, at: (i: number) => Point): Primitive | null {
  const length = track.chord[i]!;
  const before = corner[i] ? Number.POSITIVE_INFINITY : Math.abs(track.turn[i]!);
  const after = corner[i + 1] ? Number.POSITIVE_INFINITY : Math.abs(track.turn[i + 1]!);
  if (length * Math.min(before, after) < 8 * CHORD_SAGITTA_MM) return null;
  return { first: i, last: i + 1, segment: { kind: 'line', from: at(i), to: at(i + 1) } };
}

function arcAt(track: Track, first: number, corner: Uint8Array, at: (i: number) => Point): Primitive | null {
  const { count, turn } = track;
  if (first + 4 >= count || corner[first + 1] || corner[first + 2] || corner[first + 3]) return null;
  if (turn[first + 1]! * turn[first + 2]! <= 0 || turn[first + 1]! * turn[first + 3]! <= 0) return null;
  let circle = trackCircle(track, first, first + 2, first + 4);
  if (!circle || !onCircle(track, circle, first, first + 4)) return null;
  let last = first + 4;
  // Go on to twice the length while the circle about holds, take the circle anew from all of it, and so on.
  for (let from = 0; from < last; ) {
    from = last;
    const limit = Math.min(count - 1, 2 * last - first);
    let end = last;
    while (
      end < limit &&
      !corner[end] &&
      turn[end]! * turn[first + 1]! > 0 &&
      offCircle(track, circle, end + 1) <= NEAR_CIRCLE_MM
    )
      end++;
    for (; end > last; end--) {
      // The ends of nearly a whole turn lie too close together to tell a circle.
      const third = (end - first) / 3;
      const wider: Circle | null = trackCircle(
        track,
        first,
        Math.round(first + third),
        Math.round(first + 2 * third),
      );
      if (!wider || !onCircle(track, wider, first, end) || offCircle(track, wider, end) > ON_CIRCLE_MM)
        continue;
      circle = wider;
      last = end;
    }
  }
  const chords = last - first;
  let sweep = 0;
  for (let i = first + 1; i < last; i++) sweep += turn[i]!;
  sweep *= chords / (chords - 1);
  if (chords < ARC_CHORDS && Math.abs(sweep) < ARC_RAD) return null;
  return { first, last, segment: arcOn(circle, at(first), at(last), sweep) };
}

/** The circle's arc between two points of it; `sweep` tells roughly how far and how many times round. */
function arcOn(circle: Circle, from: Point, to: Point, sweep: number): PathSegment {
  const start = Math.atan2(from.y - circle.y, from.x - circle.x);
  const end = Math.atan2(to.y - circle.y, to.x - circle.x);
  const exact = end - start + 2 * Math.PI * Math.round((sweep - (end - start)) / (2 * Math.PI));
  return { kind: 'arc', from, to, centre: { x: circle.x, y: circle.y }, radius: circle.r, sweep: exact };
}

/**
 * Where another outline cuts an arc it leaves part of a chord, whose end lies off the circle by up to its sagitta. The
 * arc then goes on to that end, on the circle through its own middle and both ends.
 */
function withStubs(
  track: Track,
  primitive: Primitive,
  corner: Uint8Array,
  done: number,
  at: (i: number) => Point,
): Primitive {
  const { segment } = primitive;
  if (segment.kind === 'line') return primitive;
  const { chord, count } = track;
  const longest = 1.01 * chord[primitive.first + 1]!;
  const circle = { x: segment.centre.x, y: segment.centre.y, r: segment.radius };
  let { first, last } = primitive;
  const isStub = (i: number, end: number): boolean =>
    corner[end] === 1 && chord[i]! <= longest && offCircle(track, circle, end) <= STUB_MM;
  if (first > done && isStub(first - 1, first - 1)) first--;
  if (last < count - 1 && isStub(last, last + 1)) last++;
  if (first === primitive.first && last === primitive.last) return primitive;
  const wider = trackCircle(track, first, (primitive.first + primitive.last) >> 1, last);
  if (!wider) return primitive;
  for (let i = first + 1; i < last; i++) if (offCircle(track, wider, i) > STUB_MM) return primitive;
  const more = (last - first) / (primitive.last - primitive.first);
  return { first, last, segment: arcOn(wider, at(first), at(last), segment.sweep * more) };
}

function trackCircle({ x, y }: Track, i: number, j: number, k: number): Circle | null {
  return circleOf(x[i]!, y[i]!, x[j]! - x[i]!, y[j]! - y[i]!, x[k]! - x[i]!, y[k]! - y[i]!);
}

function offCircle({ x, y }: Track, { x: cx, y: cy, r }: Circle, i: number): number {
  return Math.abs(Math.hypot(x[i]! - cx, y[i]! - cy) - r);
}

/** Whether the vertices lie on the circle and the chords between them are short enough to be its flattened arc. */
function onCircle(track: Track, circle: Circle, first: number, last: number): boolean {
  const longest = 8 * circle.r * CHORD_SAGITTA_MM;
  for (let i = first; i < last; i++) {
    if (track.chord[i]! ** 2 > longest) return false;
    if (i > first && offCircle(track, circle, i) > ON_CIRCLE_MM) return false;
  }
  return true;
}
