/**
 * Strokes to areas (SVG 2, section 13.4): the sweep of a pen across the outline, with caps, joins and dashes, all in
 * user space, so that a transform that is not a similarity bends the stroke as it should.
 *
 * Method: every segment becomes a run of stations, each with a place and an exact direction, close enough together that
 * both the chords and the offset edges stay within the tolerance. Between two stations the pen sweeps a quadrilateral
 * (two triangles where its inner end runs backwards); joins and caps are polygons of their own. Each piece runs the same
 * way round, so their non-zero union is the stroke. Error: the offset edges lie within the given tolerance of the true
 * ones after the map to the plane, dashes end within 1e-4 of the length run through.
 */
import {
  type Affine,
  apply,
  type Curve,
  compose,
  type Point,
  type Ring,
  regionFromRings,
  type Segment,
  scaleFactors,
  transformSegment,
} from '@inlaywright/geometry';
import type { Subpath } from './outline.ts';
import { ringCurve } from './plane.ts';
import { type DashPattern, dashTracks } from './stroke-dashes.ts';
import { type Station, type Track, toTrack } from './stroke-track.ts';

export interface StrokeStyle extends DashPattern {
  /** User units, as all lengths here. */
  readonly width: number;
  readonly cap: 'butt' | 'round' | 'square';
  readonly join: 'miter' | 'miter-clip' | 'round' | 'bevel';
  readonly miterLimit: number;
}

/**
 * The stroke as closed curves, to be filled by the non-zero rule; none when nothing is painted. A circle's solid stroke
 * is two circles, everything else is made of straight pieces within `tolerance` of the true edge, in units of the plane.
 */
export function strokeCurves(
  subpaths: readonly Subpath[],
  style: StrokeStyle,
  toPlane: Affine,
  tolerance: number,
): Curve[] {
  const half = style.width / 2;
  const circles = style.dashes.length === 0 ? circleStroke(subpaths, half, toPlane) : null;
  if (circles) return circles;
  const { large } = scaleFactors(toPlane);
  const flatness = tolerance / large;
  const rings: Ring[] = [];
  const add = (points: readonly Point[]): void => {
    const ring = orientedRing(points, toPlane);
    if (ring) rings.push(ring);
  };
  const tracks = subpaths.map((subpath) => toTrack(subpath, half, flatness));
  for (const track of dashTracks(tracks, style)) strokeTrack(track, style, flatness, add);
  return regionFromRings(rings, 'nonzero').rings.map(ringCurve);
}

/** The two rims of the solid stroke of one whole ellipse, if in user space it is a circle. */
function circleStroke(subpaths: readonly Subpath[], half: number, toPlane: Affine): Curve[] | null {
  const only = subpaths.length === 1 && subpaths[0]!.segments.length === 1 ? subpaths[0]!.segments[0]! : null;
  if (only?.kind !== 'ellipse' || Math.abs(only.unit.sweep) < 2 * Math.PI) return null;
  const { a, b, c, d } = only.frame;
  const radius = Math.hypot(a, b);
  if (
    Math.abs(Math.hypot(c, d) - radius) > 1e-12 * radius ||
    Math.abs(a * c + b * d) > 1e-12 * radius * radius
  )
    return null;
  const rim = (r: number, turn: 1 | -1): Curve => {
    const scale = r / radius;
    const frame = { ...only.frame, a: a * scale, b: b * scale, c: c * scale, d: d * scale };
    const { unit } = only;
    return {
      segments: closeLoop(transformSegment({ ...unit, sweep: turn * unit.sweep }, compose(toPlane, frame))),
    };
  };
  return half < radius ? [rim(radius + half, 1), rim(radius - half, -1)] : [rim(radius + half, 1)];
}

function closeLoop(segments: Segment[]): Segment[] {
  const last = segments.length - 1;
  if (last > 0) segments[last] = { ...segments[last]!, to: segments[0]!.from };
  else if (segments[0]) segments[0] = { ...segments[0], to: segments[0].from };
  return segments;
}

function strokeTrack(
  track: Track,
  style: StrokeStyle,
  flatness: number,
  add: (points: readonly Point[]) => void,
): void {
  const half = style.width / 2;
  const { runs } = track;
  for (const run of runs) sweep(run, half, add);
  for (let i = 0; i + 1 < runs.length; i++) join(runs[i]!.at(-1)!, runs[i + 1]![0]!, style, flatness, add);
  const first = runs[0]![0]!;
  const last = runs.at(-1)!.at(-1)!;
  if (track.closed) join(last, first, style, flatness, add);
  else {
    cap({ p: first.p, t: { x: -first.t.x, y: -first.t.y } }, style.cap, half, flatness, add);
    cap(last, style.cap, half, flatness, add);
  }
}

/**
 * One strip for as long as both edges run forwards: all its quadrilaterals wind the same way, so the strip winds like
 * their sum. Where an edge runs backwards, the two triangles between its stations stand alone.
 */
function sweep(run: readonly Station[], half: number, add: (points: readonly Point[]) => void): void {
  let left: Point[] = [];
  let right: Point[] = [];
  const flush = (): void => {
    if (left.length > 1) add([...left, ...right.reverse()]);
    left = [];
    right = [];
  };
  for (let i = 0; i + 1 < run.length; i++) {
    const leftA = left.at(-1) ?? beside(run[i]!, half);
    const rightA = right.at(-1) ?? beside(run[i]!, -half);
    const leftB = beside(run[i + 1]!, half);
    const rightB = beside(run[i + 1]!, -half);
    const crossing = crossingPoint(leftA, rightA, leftB, rightB);
    if (crossing) {
      flush();
      add([leftA, leftB, crossing]);
      add([rightA, rightB, crossing]);
      continue;
    }
    if (left.length === 0) {
      left.push(leftA);
      right.push(rightA);
    }
    left.push(leftB);
    right.push(rightB);
  }
  flush();
}

/** Where two stretches cross in their inside; null when they do not. */
function crossingPoint(a: Point, b: Point, c: Point, d: Point): Point | null {
  const rx = b.x - a.x;
  const ry = b.y - a.y;
  const sx = d.x - c.x;
  const sy = d.y - c.y;
  const cross = rx * sy - ry * sx;
  if (cross === 0) return null;
  const u = ((c.x - a.x) * sy - (c.y - a.y) * sx) / cross;
  const v = ((c.x - a.x) * ry - (c.y - a.y) * rx) / cross;
  return u > 0 && u < 1 && v > 0 && v < 1 ? { x: a.x + u * rx, y: a.y + u * ry } : null;
}

/** The place `distance` to the left of the direction of travel. */
function beside(station: Station, distance: number): Point {
  return { x: station.p.x - station.t.y * distance, y: station.p.y + station.t.x * distance };
}

/** Fills the wedge between two runs that meet at one place. */
function join(
  a: Station,
  b: Station,
  style: StrokeStyle,
  flatness: number,
  add: (points: readonly Point[]) => void,
): void {
  const cross = a.t.x * b.t.y - a.t.y * b.t.x;
  const dot = a.t.x * b.t.x + a.t.y * b.t.y;
  const turn = Math.atan2(cross, dot);
  if (Math.abs(turn) < 1e-9) return;
  const half = style.width / 2;
  // The wedge opens on the outside of the turn.
  const side = turn > 0 ? -half : half;
  const from = beside(a, side);
  const to = beside(b, side);
  const centre = a.p;
  if (style.join === 'round') {
    add([
      centre,
      ...arcPoints(centre, half, Math.atan2(from.y - centre.y, from.x - centre.x), turn, flatness),
    ]);
    return;
  }
  const ratio = 1 / Math.cos(turn / 2);
  if (style.join === 'bevel' || (style.join === 'miter' && ratio > style.miterLimit)) {
    add([centre, from, to]);
    return;
  }
  if (ratio <= style.miterLimit) {
    const reach = half * Math.tan(Math.abs(turn) / 2);
    add([centre, from, { x: from.x + a.t.x * reach, y: from.y + a.t.y * reach }, to]);
    return;
  }
  // miter-clip: the tip is cut off square at miterLimit times half the width from the corner.
  const chordDistance = half * Math.cos(turn / 2);
  const spare = style.miterLimit * half - chordDistance;
  if (spare <= 0) {
    add([centre, from, to]);
    return;
  }
  const along = spare / Math.max(1e-12, Math.sin(Math.abs(turn) / 2));
  add([
    centre,
    from,
    { x: from.x + a.t.x * along, y: from.y + a.t.y * along },
    { x: to.x - b.t.x * along, y: to.y - b.t.y * along },
    to,
  ]);
}

/** Ends an open track; the station looks outwards. */
function cap(
  end: Station,
  kind: StrokeStyle['cap'],
  half: number,
  flatness: number,
  add: (points: readonly Point[]) => void,
): void {
  if (kind === 'butt') return;
  const left = beside(end, half);
  const right = beside(end, -half);
  if (kind === 'round') {
    add(arcPoints(end.p, half, Math.atan2(right.y - end.p.y, right.x - end.p.x), Math.PI, flatness));
    return;
  }
  const ahead = (p: Point): Point => ({ x: p.x + end.t.x * half, y: p.y + end.t.y * half });
  add([right, ahead(right), ahead(left), left]);
}

function arcPoints(centre: Point, radius: number, start: number, turn: number, flatness: number): Point[] {
  const step = flatness < radius ? 2 * Math.acos(1 - flatness / radius) : Math.PI / 4;
  const count = Math.max(2, Math.ceil(Math.abs(turn) / Math.min(step, Math.PI / 4)));
  return Array.from({ length: count + 1 }, (_, i) => {
    const angle = start + (turn * i) / count;
    return { x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) };
  });
}

/** The polygon in the plane, run so that all pieces of a stroke wind the same way; null when it has no area. */
function orientedRing(points: readonly Point[], toPlane: Affine): Ring | null {
  let area = 0;
  const ring = new Float64Array(points.length * 2);
  let before = points.at(-1)!;
  for (const p of points) {
    area += before.x * p.y - p.x * before.y;
    before = p;
  }
  if (area === 0) return null;
  for (let i = 0; i < points.length; i++) {
    const { x, y } = apply(toPlane, points[area > 0 ? i : points.length - 1 - i]!);
    ring[2 * i] = x;
    ring[2 * i + 1] = y;
  }
  return ring;
}
