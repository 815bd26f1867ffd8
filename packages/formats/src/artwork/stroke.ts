/**
 * Strokes to areas (SVG 2, section 13.4): the sweep of a pen across the outline, with caps, joins and dashes, all in
 * user space, so that a transform that is not a similarity bends the stroke as it should.
 *
 * Method: every segment becomes a run of stations, each with a place and an exact direction, close enough together that
 * both the chords and the offset edges stay within the tolerance. Between two stations the pen sweeps a quadrilateral
 * (two triangles where its inner end runs backwards); joins and caps are polygons of their own. Each piece runs the same
 * way round, so their non-zero union is the stroke. Error: the offset edges lie within the given tolerance of the true
 * ones after the map to the plane, dashes end within 5e-5 of the length run through.
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
  transformSegment,
} from '@inlaywright/geometry';
import type { OutlineSegment, Subpath } from './outline.ts';
import { ringCurve, scaleFactors } from './plane.ts';

export interface StrokeStyle {
  /** User units, as all lengths here. */
  readonly width: number;
  readonly cap: 'butt' | 'round' | 'square';
  readonly join: 'miter' | 'miter-clip' | 'round' | 'bevel';
  readonly miterLimit: number;
  /** Lengths of dashes and gaps in turn, an even number of them; empty for a solid stroke. */
  readonly dashes: readonly number[];
  readonly dashOffset: number;
  /** What the outline's length is to be taken for when dashing; null for its real one. */
  readonly pathLength: number | null;
}

/** A place on the outline with the direction of travel there. */
interface Station {
  readonly p: Point;
  /** Unit vector. */
  readonly t: Point;
}

/** Stations of smooth runs one after another; between two runs there is a join. */
interface Track {
  readonly runs: readonly (readonly Station[])[];
  readonly closed: boolean;
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

function toTrack(subpath: Subpath, half: number, flatness: number): Track {
  const runs = subpath.segments
    .map((segment) => stations(segment, half, flatness))
    .filter((run) => run.length > 1);
  if (runs.length > 0) return { runs, closed: subpath.closed };
  // A dot has no direction: caps stand as if it ran along x (SVG 2, 13.4.2).
  return { runs: [[{ p: subpath.start, t: { x: 1, y: 0 } }]], closed: false };
}

/** Places along a segment such that edges offset by up to `half` stay within `flatness` of their chords. */
function stations(segment: OutlineSegment, half: number, flatness: number): Station[] {
  if (segment.kind === 'line') {
    const t = unit(segment.to.x - segment.from.x, segment.to.y - segment.from.y);
    return t
      ? [
          { p: segment.from, t },
          { p: segment.to, t },
        ]
      : [];
  }
  const at = segment.kind === 'cubic' ? cubicStation(segment) : arcStation(segment);
  const first = at(0);
  const last = at(1);
  if (!first || !last) return [];
  const result: Station[] = [{ p: segment.from, t: first.t }];
  // Four pieces to begin with, so that no inflection or loop hides between two stations.
  const parts =
    segment.kind === 'cubic' ? 4 : Math.max(2, Math.ceil(Math.abs(segment.unit.sweep) / (Math.PI / 4)));
  let from: Station = result[0]!;
  for (let i = 1; i <= parts; i++) {
    const to = i === parts ? { p: segment.to, t: last.t } : at(i / parts);
    if (!to) continue;
    refine(at, (i - 1) / parts, from, i / parts, to, half, flatness, 0, result);
    result.push(to);
    from = to;
  }
  return result;
}

const MAX_HALVINGS = 14;

function refine(
  at: (u: number) => Station | null,
  u0: number,
  a: Station,
  u1: number,
  b: Station,
  half: number,
  flatness: number,
  depth: number,
  out: Station[],
): void {
  if (depth >= MAX_HALVINGS) return;
  const um = (u0 + u1) / 2;
  const middle = at(um);
  if (!middle) return;
  const dx = b.p.x - a.p.x;
  const dy = b.p.y - a.p.y;
  const chord = Math.hypot(dx, dy);
  const sag =
    chord === 0
      ? Math.hypot(middle.p.x - a.p.x, middle.p.y - a.p.y)
      : Math.abs(dx * (middle.p.y - a.p.y) - dy * (middle.p.x - a.p.x)) / chord;
  // Both halves, so that an S, whose ends look the same way, is seen to turn.
  const turn = turnBetween(a, middle) + turnBetween(middle, b);
  // The offset edge bulges from its chord by the sagitta of a circle of the pen's half width, on top of the outline's own.
  if (sag + half * (1 - Math.cos(turn / 2)) <= flatness && turn < 1) return;
  refine(at, u0, a, um, middle, half, flatness, depth + 1, out);
  out.push(middle);
  refine(at, um, middle, u1, b, half, flatness, depth + 1, out);
}

function turnBetween(a: Station, b: Station): number {
  return Math.abs(Math.atan2(a.t.x * b.t.y - a.t.y * b.t.x, a.t.x * b.t.x + a.t.y * b.t.y));
}

function cubicStation(cubic: {
  from: Point;
  c1: Point;
  c2: Point;
  to: Point;
}): (u: number) => Station | null {
  const { from: a, c1: b, c2: c, to: d } = cubic;
  return (u) => {
    const v = 1 - u;
    const p = {
      x: v * v * v * a.x + 3 * v * v * u * b.x + 3 * v * u * u * c.x + u * u * u * d.x,
      y: v * v * v * a.y + 3 * v * v * u * b.y + 3 * v * u * u * c.y + u * u * u * d.y,
    };
    // Where handles have no length, the direction is that of the next control point that differs.
    const near = u < 0.5 ? 1e-4 : -1e-4;
    const t = cubicDirection(cubic, u) ?? cubicDirection(cubic, u + near) ?? unit(d.x - a.x, d.y - a.y);
    return t && { p, t };
  };
}

function cubicDirection(cubic: { from: Point; c1: Point; c2: Point; to: Point }, u: number): Point | null {
  const { from: a, c1: b, c2: c, to: d } = cubic;
  const v = 1 - u;
  const x = v * v * (b.x - a.x) + 2 * v * u * (c.x - b.x) + u * u * (d.x - c.x);
  const y = v * v * (b.y - a.y) + 2 * v * u * (c.y - b.y) + u * u * (d.y - c.y);
  const reach =
    Math.hypot(b.x - a.x, b.y - a.y) + Math.hypot(c.x - b.x, c.y - b.y) + Math.hypot(d.x - c.x, d.y - c.y);
  return Math.hypot(x, y) > 1e-9 * reach ? unit(x, y) : null;
}

function arcStation(arc: Extract<OutlineSegment, { kind: 'ellipse' }>): (u: number) => Station | null {
  const { unit: circle, frame } = arc;
  const start = Math.atan2(circle.from.y - circle.centre.y, circle.from.x - circle.centre.x);
  const sense = Math.sign(circle.sweep);
  return (u) => {
    const angle = start + u * circle.sweep;
    const x = Math.cos(angle);
    const y = Math.sin(angle);
    const p = apply(frame, {
      x: circle.centre.x + circle.radius * x,
      y: circle.centre.y + circle.radius * y,
    });
    const t = unit(sense * (frame.c * x - frame.a * y), sense * (frame.d * x - frame.b * y));
    return t && { p, t };
  };
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

/** The tracks cut into dashes. Every subpath starts the pattern anew (SVG 2, 13.4.4). */
function dashTracks(tracks: readonly Track[], style: StrokeStyle): readonly Track[] {
  const { dashes, dashOffset, pathLength } = style;
  const period = dashes.reduce((sum, length) => sum + length, 0);
  if (dashes.length === 0 || !(period > 0)) return tracks;
  const total = tracks.reduce((sum, track) => sum + trackLength(track), 0);
  const scale = pathLength !== null && pathLength > 0 ? total / pathLength : 1;
  const scaled = dashes.map((length) => length * scale);
  // So many dashes would be a grey haze, not something to cut.
  if (!(total / (period * scale) < MAX_DASHES)) return tracks;
  return tracks.flatMap((track) => dashTrack(track, scaled, dashOffset * scale));
}

const MAX_DASHES = 50_000;

function trackLength(track: Track): number {
  let sum = 0;
  for (const run of track.runs) {
    for (let i = 0; i + 1 < run.length; i++)
      sum += Math.hypot(run[i + 1]!.p.x - run[i]!.p.x, run[i + 1]!.p.y - run[i]!.p.y);
  }
  return sum;
}

function dashTrack(track: Track, dashes: readonly number[], offset: number): Track[] {
  const period = dashes.reduce((sum, length) => sum + length, 0);
  let left = ((offset % period) + period) % period;
  let index = 0;
  while (left >= dashes[index]! && left > 0) {
    left -= dashes[index]!;
    index = (index + 1) % dashes.length;
  }
  let remaining = dashes[index]! - left;
  const startsInside = index % 2 === 0;
  const result: Station[][][] = [];
  let dash: Station[][] | null = startsInside ? [] : null;
  for (const run of track.runs) {
    let piece: Station[] | null = dash ? [run[0]!] : null;
    for (let i = 0; i + 1 < run.length; i++) {
      const a = run[i]!;
      const b = run[i + 1]!;
      const length = Math.hypot(b.p.x - a.p.x, b.p.y - a.p.y);
      let done = 0;
      while (length - done > remaining) {
        done += remaining;
        const cut = between(a, b, done / length);
        if (piece && dash) {
          piece.push(cut);
          dash.push(piece);
          result.push(dash);
          piece = dash = null;
        } else {
          dash = [];
          piece = [cut];
        }
        index = (index + 1) % dashes.length;
        remaining = dashes[index]!;
      }
      remaining -= length - done;
      piece?.push(b);
    }
    if (piece && dash) dash.push(piece);
  }
  if (dash) {
    // On a closed outline the last dash runs on into the first.
    const first = result[0];
    if (track.closed && startsInside && first && result.length > 0) result[0] = [...dash, ...first];
    else result.push(dash);
  }
  const whole = track.closed && startsInside && result.length === 1 && result[0] === dash;
  return result
    .map((runs) => runs.filter((run) => run.length > 0))
    .filter((runs) => runs.length > 0)
    .map((runs) => ({ runs, closed: whole }));
}

function between(a: Station, b: Station, share: number): Station {
  const mix = (p: Point, q: Point): Point => ({ x: p.x + share * (q.x - p.x), y: p.y + share * (q.y - p.y) });
  const t = mix(a.t, b.t);
  return { p: mix(a.p, b.p), t: unit(t.x, t.y) ?? a.t };
}

function unit(x: number, y: number): Point | null {
  const length = Math.hypot(x, y);
  return length > 0 ? { x: x / length, y: y / length } : null;
}
