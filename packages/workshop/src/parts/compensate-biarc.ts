import type { Point } from '@inlaywright/geometry';
import { arcAlong, biarc } from './beam-path-biarc.ts';
import { distanceTo, endNormal, type PathSegment, startNormal } from './beam-path-segments.ts';

/**
 * Runs of vertices on curves other than lines and circles, as smooth chains of biarcs, each as long as the tolerance
 * allows (its reach is found by lengthening and halving).
 *
 * A biarc's directions at its ends are not those of the curve. Where curvature changes evenly by k', the best arcs of
 * length h cross the curve at their joints and swing evenly to both sides; their directions there differ from the
 * curve's by the direction of the arc's chord less the mean of the curve's directions at its ends, -k' h^2 / 12. Knots
 * turned that way reach (125 / 40.5)^(1/3) = 1.46 times as far as knots tangent to the curve (deviations k' h^3 / 125
 * against k' h^3 / 40.5, from the cubic Bernoulli polynomial).
 */

/** A polyline with what fitting needs to know of every vertex. */
export interface Track {
  readonly count: number;
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Length of the chord that starts at each vertex. */
  readonly chord: Float64Array;
  /** Length of the polyline up to each vertex. */
  readonly path: Float64Array;
  /** Signed turn at each vertex, rad; 0 at open ends. */
  readonly turn: Float64Array;
}

/** A smooth run of the track, from vertex `first` to `last`. */
export interface Run {
  readonly first: number;
  readonly last: number;
  /** Where it goes on smoothly, the segment it follows or leads to; null at corners and ends. */
  readonly before: PathSegment | null;
  readonly after: PathSegment | null;
  /** The run is a whole smooth loop; its last vertex repeats its first. */
  readonly isLoop: boolean;
}

/** A chord this much shorter than its neighbour, at an end, was cut there: it gives no direction. */
const STUB = 0.5;
/** A biarc whose joint lies this near the single arc with its ends and first direction is that arc, mm. */
const ONE_ARC_MM = 1e-6;
/** A long chord may leave the curve by this more than its vertices, mm: its own sagitta. */
const CHORD_SLACK_MM = 0.0005;

/**
 * Appends the run's segments. Vertices come as points from `at`, so that ends are shared with their neighbours.
 * @param tolerance greatest distance of a vertex from its arc
 */
export function fitRun(
  track: Track,
  run: Run,
  at: (i: number) => Point,
  tolerance: number,
  out: PathSegment[],
): void {
  const { first, last, before, after, isLoop } = run;
  const { path } = track;
  const start = before && headingOf(endNormal(before));
  const end = after && headingOf(startNormal(after));
  if (last - first === 1) {
    out.push(...acrossChord(at(first), start, at(last), end, tolerance));
    return;
  }
  const theta = directionsOf(track, run, start, end);
  const spread = path[Math.min(last, first + 12)]! - path[first]!;
  const turnsFree = start === null && isLoop;
  const firstDir = theta[0]! + (turnsFree ? lean(track, theta, run, first, spread / 2) : 0);
  let i = first;
  let dir = firstDir;
  /** Directions to leave vertex i in, on the way to vertex j. */
  const departures = (j: number): number[] =>
    i === first && start === null && !isLoop
      ? [throughDir(track, i, j, 0), circleDir(track, i, j), dir]
      : [dir];
  /** Directions to arrive at vertex j in, having left vertex i along `from`. */
  const arrivals = (j: number, from: number): number[] => {
    const plain = theta[j - first]!;
    if (j < last) return [plain + lean(track, theta, run, j, (path[j]! - path[i]!) / 2)];
    if (turnsFree) return [plain + firstDir - theta[0]!];
    if (end !== null) return [plain];
    // A free end has no direction of its own: a single arc's will do, or that of the circle through three vertices.
    const chord = Math.atan2(track.y[j]! - track.y[i]!, track.x[j]! - track.x[i]!);
    return [2 * chord - from, throughDir(track, i, j, 1), plain];
  };
  let stride = 8;
  while (i < last) {
    let good = -1;
    let goodFrom = 0;
    let goodTo = 0;
    let bad = last + 1;
    const attempt = (j: number): boolean => {
      for (const from of departures(j)) {
        for (const to of arrivals(j, from)) {
          if (!follows(track, i, from, j, to, tolerance)) continue;
          good = j;
          goodFrom = from;
          goodTo = to;
          return true;
        }
      }
      bad = j;
      return false;
    };
    let step = Math.min(stride, last - i);
    if (attempt(i + step)) {
      while (good < last && attempt(Math.min(last, i + Math.ceil(step * 1.5)))) step = good - i;
    } else {
      while (step > 1 && !attempt(i + (step >> 1))) step >>= 1;
    }
    while (good >= 0 && bad - good > 1) attempt((good + bad) >> 1);
    if (good < 0) {
      // Not even one chord: the vertices are no smooth curve's here. It stays a chord.
      out.push({ kind: 'line', from: at(i), to: at(i + 1) });
      i++;
      dir = theta[i - first]!;
      stride = 2;
      continue;
    }
    const [one, other] = biarc(at(i), unit(goodFrom), at(good), unit(goodTo)) as [PathSegment, PathSegment];
    const whole = arcAlong(at(i), unit(goodFrom), at(good));
    if (distanceTo(whole, one.to) < ONE_ARC_MM) out.push(whole);
    else out.push(one, other);
    stride = Math.max(2, good - i);
    i = good;
    dir = goodTo;
  }
}

/**
 * Direction at vertex i (`end` 0) or j (1) of a piece between them, from the circle through that vertex and those a
 * quarter and half of the way along: off the curve's by just the lean that suits two arcs of half the way each.
 */
function throughDir({ x, y, path }: Track, i: number, j: number, end: 0 | 1): number {
  const whole = path[j]! - path[i]!;
  const at = (share: number): number => {
    let low = i;
    let high = j;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (path[middle]! - path[i]! <= share * whole) low = middle;
      else high = middle;
    }
    return share * whole - (path[low]! - path[i]!) < path[high]! - path[i]! - share * whole ? low : high;
  };
  const [a, b, c] = end === 0 ? [i, at(0.25), at(0.5)] : [at(0.5), at(0.75), j];
  const chord = Math.atan2(y[c]! - y[a]!, x[c]! - x[a]!);
  if (b === a || b === c) return chord;
  const ux = x[b]! - x[a]!;
  const uy = y[b]! - y[a]!;
  const vx = x[c]! - x[b]!;
  const vy = y[c]! - y[b]!;
  // The turn at the vertex between is half the arc's turn, as is that between chord and end.
  const turn = Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
  return end === 0 ? chord - turn : chord + turn;
}

/** Direction at vertex i of the circle through it, vertex j and the vertex half way. */
function circleDir({ x, y }: Track, i: number, j: number): number {
  const m = (i + j) >> 1;
  const ux = x[m]! - x[i]!;
  const uy = y[m]! - y[i]!;
  const vx = x[j]! - x[m]!;
  const vy = y[j]! - y[m]!;
  const turn = Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
  return Math.atan2(y[j]! - y[i]!, x[j]! - x[i]!) - turn;
}

function unit(angle: number): Point {
  return { x: Math.cos(angle), y: Math.sin(angle) };
}

/** Direction of travel with that right-hand normal. */
function headingOf(normal: Point): number {
  return Math.atan2(normal.x, -normal.y);
}

/** A single chord, bent to go on smoothly where a direction is prescribed, unless that bends it away from the chord. */
function acrossChord(
  from: Point,
  start: number | null,
  to: Point,
  end: number | null,
  tolerance: number,
): PathSegment[] {
  const straight: PathSegment = { kind: 'line', from, to };
  let bent: PathSegment[] = [straight];
  if (start !== null && end !== null) bent = biarc(from, unit(start), to, unit(end));
  else if (start !== null) bent = [arcAlong(from, unit(start), to)];
  else if (end !== null) {
    const back = arcAlong(to, unit(end + Math.PI), from);
    if (back.kind === 'arc') bent = [{ ...back, from, to, sweep: -back.sweep }];
  }
  const joint = bent[0]!.to;
  const n = startNormal(straight);
  const off = Math.abs((joint.x - from.x) * n.x + (joint.y - from.y) * n.y);
  const bow = Math.max(
    ...bent.map((arc) => (arc.kind === 'arc' ? arc.radius * (1 - Math.cos(arc.sweep / 2)) : 0)),
  );
  return off + bow > tolerance + CHORD_SLACK_MM ? [straight] : bent;
}

/**
 * The curve's direction at each vertex of the run: that of the circle through it and its neighbours, at free ends that of
 * the arc with the next vertex's direction. Angles run on without jumps.
 */
function directionsOf(track: Track, run: Run, start: number | null, end: number | null): Float64Array {
  const { x, y, chord, turn } = track;
  const { first, last, isLoop } = run;
  const n = last - first;
  const theta = new Float64Array(n + 1);
  const heading = new Float64Array(n);
  heading[0] = Math.atan2(y[first + 1]! - y[first]!, x[first + 1]! - x[first]!);
  for (let k = 1; k < n; k++) {
    heading[k] = heading[k - 1]! + turn[first + k]!;
    const before = chord[first + k - 1]!;
    theta[k] = heading[k - 1]! + (turn[first + k]! * before) / (before + chord[first + k]!);
  }
  if (isLoop && start === null) {
    const share = chord[last - 1]! / (chord[last - 1]! + chord[first]!);
    theta[n] = heading[n - 1]! + turn[last]! * share;
    theta[0] = heading[0]! - turn[first]! * (1 - share);
    return theta;
  }
  if (start !== null) theta[0] = near(start, heading[0]!);
  else {
    if (n > 2 && chord[first]! < STUB * chord[first + 1]!) theta[1] = 2 * heading[1]! - theta[2]!;
    theta[0] = 2 * heading[0]! - theta[1]!;
  }
  if (end !== null) theta[n] = near(end, heading[n - 1]!);
  else {
    if (n > 2 && chord[last - 1]! < STUB * chord[last - 2]!)
      theta[n - 1] = 2 * heading[n - 2]! - theta[n - 2]!;
    theta[n] = 2 * heading[n - 1]! - theta[n - 1]!;
  }
  return theta;
}

function near(angle: number, to: number): number {
  return angle + 2 * Math.PI * Math.round((to - angle) / (2 * Math.PI));
}

/** By how much the direction at vertex j should differ from the curve's when arcs of length h meet there. */
function lean(track: Track, theta: Float64Array, run: Run, j: number, h: number): number {
  const behind = leanTowards(track, theta, run, j, -h);
  const ahead = leanTowards(track, theta, run, j, h);
  if (Number.isNaN(behind)) return Number.isNaN(ahead) ? 0 : ahead;
  return Number.isNaN(ahead) ? behind : (behind + ahead) / 2;
}

/** The chord's direction less the mean of the directions at its ends, for the chord from vertex j over path length h. */
function leanTowards(
  { x, y, path }: Track,
  theta: Float64Array,
  { first, last }: Run,
  j: number,
  h: number,
): number {
  const target = path[j]! + h;
  if (target < path[first]! || target > path[last]!) return Number.NaN;
  let low = h < 0 ? first : j;
  let high = h < 0 ? j : last;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (path[middle]! <= target) low = middle;
    else high = middle;
  }
  const k = target - path[low]! < path[high]! - target ? low : high;
  if (k === j) return Number.NaN;
  const mean = (theta[j - first]! + theta[k - first]!) / 2;
  const sign = h < 0 ? -1 : 1;
  const dx = sign * (x[k]! - x[j]!);
  const dy = sign * (y[k]! - y[j]!);
  const cos = Math.cos(mean);
  const sin = Math.sin(mean);
  const span = path[k]! - path[j]!;
  return Math.atan2(cos * dy - sin * dx, cos * dx + sin * dy) * (h / span) ** 2;
}

/** Whether the biarc from vertex i along `di` to vertex j along `dj` passes all vertices between within the tolerance. */
function follows(track: Track, i: number, di: number, j: number, dj: number, tolerance: number): boolean {
  const { x, y, chord } = track;
  const px = x[i]!;
  const py = y[i]!;
  const tx = Math.cos(di);
  const ty = Math.sin(di);
  const ux = Math.cos(dj);
  const uy = Math.sin(dj);
  const vx = x[j]! - px;
  const vy = y[j]! - py;
  const vt = vx * (tx + ux) + vy * (ty + uy);
  const vv = vx * vx + vy * vy;
  if (vt <= 0) return false;
  const bend = 2 * (1 - tx * ux - ty * uy);
  const d = bend > 1e-12 ? (Math.sqrt(vt * vt + bend * vv) - vt) / bend : vv / (2 * vt);
  const jx = (px + x[j]! + d * (tx - ux)) / 2;
  const jy = (py + y[j]! + d * (ty - uy)) / 2;
  const ax = jx - px;
  const ay = jy - py;
  const aa = ax * ax + ay * ay;
  const bx = x[j]! - jx;
  const by = y[j]! - jy;
  const bb = bx * bx + by * by;
  if (aa === 0 || bb === 0) return false;
  const k0 = (2 * (tx * ay - ty * ax)) / aa;
  // The direction at the joint is that at the start mirrored in the chord between them.
  const along = (2 * (tx * ax + ty * ay)) / aa;
  const sx = along * ax - tx;
  const sy = along * ay - ty;
  const k1 = (2 * (sx * by - sy * bx)) / bb;
  for (let m = i; m < j; m++) {
    if (m > i && Math.abs(deviation(x[m]! - px, y[m]! - py, x[m]! - jx, y[m]! - jy)) > tolerance)
      return false;
    const length = chord[m]!;
    // Where an arc can bow over a chord by more than flattening allows, look along it too: a biarc may cross its middle.
    if (length * length * Math.max(Math.abs(k0), Math.abs(k1)) < 8 * CHORD_SLACK_MM) continue;
    for (let quarter = 1; quarter <= 3; quarter++) {
      const mx = x[m]! + ((x[m + 1]! - x[m]!) * quarter) / 4;
      const my = y[m]! + ((y[m + 1]! - y[m]!) * quarter) / 4;
      if (Math.abs(deviation(mx - px, my - py, mx - jx, my - jy)) > tolerance + CHORD_SLACK_MM) return false;
    }
  }
  return true;

  /** Signed distance from the arc: with q = n.d - k d.d / 2 it is 2 q / (1 + sqrt(1 - 2 k q)), safe for straight arcs. */
  function deviation(dx: number, dy: number, ex: number, ey: number): number {
    const isFirst = ex * sx + ey * sy < 0;
    const k = isFirst ? k0 : k1;
    const q = isFirst
      ? tx * dy - ty * dx - (k * (dx * dx + dy * dy)) / 2
      : sx * ey - sy * ex - (k * (ex * ex + ey * ey)) / 2;
    const root = 1 - 2 * k * q;
    return root > 0 ? (2 * q) / (1 + Math.sqrt(root)) : Number.POSITIVE_INFINITY;
  }
}
