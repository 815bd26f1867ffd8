import type { ArcSegment, Bounds, LineSegment, Point } from '@inlaywright/geometry';

/**
 * Lines and circular arcs walked with material on the left: what compensation computes with. Parallel curves of lines
 * and arcs are lines and arcs again, so nothing is flattened or refitted between the drawing and the beam path.
 * Distances are positive to the right of travel, that is outward. mm, radians, y up.
 */
export type PathSegment = LineSegment | ArcSegment;

/** Below this length, mm, two points are one (the grid of regions is 1e-6). */
export const SAME_POINT_MM = 1e-7;

export function boxesMeet(a: Bounds, b: Bounds): boolean {
  return a.minX <= b.maxX && b.minX <= a.maxX && a.minY <= b.maxY && b.minY <= a.maxY;
}

export function samePlace(p: Point, q: Point): boolean {
  return p === q || (p.x === q.x && p.y === q.y);
}

/** Right-hand unit normal where the segment starts. */
export function startNormal(segment: PathSegment): Point {
  return normalTowards(segment, segment.from);
}

/** Right-hand unit normal where the segment ends. */
export function endNormal(segment: PathSegment): Point {
  return normalTowards(segment, segment.to);
}

/** Right-hand unit normal at a point of the segment. */
export function normalTowards(segment: PathSegment, at: Point): Point {
  if (segment.kind === 'line') {
    const dx = segment.to.x - segment.from.x;
    const dy = segment.to.y - segment.from.y;
    const length = Math.hypot(dx, dy) || 1;
    return { x: dy / length, y: -dx / length };
  }
  const sign = segment.sweep > 0 ? 1 : -1;
  const dx = at.x - segment.centre.x;
  const dy = at.y - segment.centre.y;
  const length = sign * (Math.hypot(dx, dy) || 1);
  return { x: dx / length, y: dy / length };
}

/** Signed turn from one normal to the next, -pi..pi, positive to the left. */
export function turnBetween(before: Point, after: Point): number {
  return Math.atan2(before.x * after.y - before.y * after.x, before.x * after.x + before.y * after.y);
}

/** Turns nearer to a half turn than this are cusps, whose side their normals do not tell, rad. */
const CUSP_RAD = 0.02;
/** How far from a cusp its side is looked for, mm. */
const CUSP_LOOK_MM = 0.05;

/** Signed turn where one segment goes on into the next, positive to the left; at a cusp the side the next one lies on. */
export function turnInto(before: PathSegment, after: PathSegment): number {
  const n = endNormal(before);
  const turn = turnBetween(n, startNormal(after));
  if (Math.abs(turn) < Math.PI - CUSP_RAD) return turn;
  const far = Math.min(CUSP_LOOK_MM, lengthOf(before), lengthOf(after));
  const p = pointAlong(before, lengthOf(before) - far);
  const q = pointAlong(after, far);
  const toRight = n.x * (q.x - p.x) + n.y * (q.y - p.y);
  return toRight > 0 ? -Math.abs(turn) : Math.abs(turn);
}

function pointAlong(segment: PathSegment, length: number): Point {
  const share = length / lengthOf(segment);
  const { from, to } = segment;
  if (segment.kind === 'line')
    return { x: from.x + share * (to.x - from.x), y: from.y + share * (to.y - from.y) };
  const { centre, radius } = segment;
  const angle = Math.atan2(from.y - centre.y, from.x - centre.x) + share * segment.sweep;
  return { x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) };
}

export function lengthOf(segment: PathSegment): number {
  return segment.kind === 'line'
    ? Math.hypot(segment.to.x - segment.from.x, segment.to.y - segment.from.y)
    : segment.radius * Math.abs(segment.sweep);
}

/** How far along the arc, 0..1 and somewhat beyond at both ends, the direction from its centre to `p` lies. */
export function arcShare(arc: ArcSegment, p: Point): number {
  const start = Math.atan2(arc.from.y - arc.centre.y, arc.from.x - arc.centre.x);
  const angle = Math.atan2(p.y - arc.centre.y, p.x - arc.centre.x);
  const size = Math.abs(arc.sweep);
  let ahead = (arc.sweep > 0 ? angle - start : start - angle) % (2 * Math.PI);
  if (ahead < 0) ahead += 2 * Math.PI;
  // What lies in the middle of the part the arc leaves out is nearer to one of its ends: count from there.
  if (ahead > size + (2 * Math.PI - size) / 2) ahead -= 2 * Math.PI;
  return ahead / size;
}

/** The segment with other ends, on the same line or circle for the caller to see to; spelt out, for it is made often. */
export function withEnds(segment: PathSegment, from: Point, to: Point): PathSegment {
  if (segment.kind === 'line') return { kind: 'line', from, to };
  const { centre, radius, sweep } = segment;
  return { kind: 'arc', from, to, centre, radius, sweep };
}

/** Signed area of a closed run of segments, positive when it runs counterclockwise. */
export function areaOf(run: readonly PathSegment[]): number {
  let sum = 0;
  const x0 = run[0]?.from.x ?? 0;
  const y0 = run[0]?.from.y ?? 0;
  for (const segment of run) {
    const { from, to } = segment;
    sum += (from.x - x0) * (to.y - y0) - (to.x - x0) * (from.y - y0);
    if (segment.kind === 'arc') sum += segment.radius ** 2 * (segment.sweep - Math.sin(segment.sweep));
  }
  return sum / 2;
}

/** The stretch of the segment between two of its points; no check that they lie on it. */
export function between(segment: PathSegment, from: Point, to: Point): PathSegment {
  if (segment.kind === 'line') return { kind: 'line', from, to };
  const first = from === segment.from ? 0 : arcShare(segment, from);
  const last = to === segment.to ? 1 : arcShare(segment, to);
  const { centre, radius, sweep } = segment;
  return { kind: 'arc', from, to, centre, radius, sweep: sweep * (last - first) };
}

function backwards(segment: PathSegment): PathSegment {
  const { from, to } = segment;
  if (segment.kind === 'line') return { kind: 'line', from: to, to: from };
  const { centre, radius, sweep } = segment;
  return { kind: 'arc', from: to, to: from, centre, radius, sweep: -sweep };
}

export function reversed(segments: readonly PathSegment[]): PathSegment[] {
  const out: PathSegment[] = new Array(segments.length);
  for (let i = 0; i < segments.length; i++) {
    const segment = segments[segments.length - 1 - i]!;
    out[i] = backwards(segment);
  }
  return out;
}

/** The arc about `centre` from one point to another, turning right (clockwise) or left. */
export function arcAbout(
  centre: Point,
  radius: number,
  from: Point,
  to: Point,
  turn: 'left' | 'right',
): ArcSegment {
  const first = Math.atan2(from.y - centre.y, from.x - centre.x);
  let sweep = Math.atan2(to.y - centre.y, to.x - centre.x) - first;
  if (turn === 'left' && sweep < 0) sweep += 2 * Math.PI;
  if (turn === 'right' && sweep > 0) sweep -= 2 * Math.PI;
  return { kind: 'arc', from, to, centre, radius, sweep };
}

/** Distance from a point to the segment. */
export function distanceTo(segment: PathSegment, p: Point): number {
  if (segment.kind === 'line') {
    const dx = segment.to.x - segment.from.x;
    const dy = segment.to.y - segment.from.y;
    const square = dx * dx + dy * dy;
    const t = square > 0 ? ((p.x - segment.from.x) * dx + (p.y - segment.from.y) * dy) / square : 0;
    const s = t < 0 ? 0 : Math.min(t, 1);
    return Math.hypot(p.x - segment.from.x - s * dx, p.y - segment.from.y - s * dy);
  }
  const share = arcShare(segment, p);
  if (share >= 0 && share <= 1) {
    return Math.abs(Math.hypot(p.x - segment.centre.x, p.y - segment.centre.y) - segment.radius);
  }
  return Math.min(
    Math.hypot(p.x - segment.from.x, p.y - segment.from.y),
    Math.hypot(p.x - segment.to.x, p.y - segment.to.y),
  );
}

/** The point of the segment farthest from `p` and its distance. */
export function farthestFrom(segment: PathSegment, p: Point): { at: Point; distance: number } {
  const candidates = [segment.from, segment.to];
  if (segment.kind === 'arc') {
    const dx = segment.centre.x - p.x;
    const dy = segment.centre.y - p.y;
    const length = Math.hypot(dx, dy);
    if (length > SAME_POINT_MM) {
      const far = {
        x: segment.centre.x + (segment.radius * dx) / length,
        y: segment.centre.y + (segment.radius * dy) / length,
      };
      const share = arcShare(segment, far);
      if (share >= 0 && share <= 1) candidates.push(far);
    }
  }
  let best = candidates[0]!;
  let distance = -1;
  for (const at of candidates) {
    const d = Math.hypot(at.x - p.x, at.y - p.y);
    if (d > distance) {
      distance = d;
      best = at;
    }
  }
  return { at: best, distance };
}

/** The segment in two equal halves. */
export function halves(segment: PathSegment): [PathSegment, PathSegment] {
  const { from, to } = segment;
  if (segment.kind === 'line') {
    const middle = { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
    return [
      { kind: 'line', from, to: middle },
      { kind: 'line', from: middle, to },
    ];
  }
  const angle = Math.atan2(from.y - segment.centre.y, from.x - segment.centre.x) + segment.sweep / 2;
  const middle = {
    x: segment.centre.x + segment.radius * Math.cos(angle),
    y: segment.centre.y + segment.radius * Math.sin(angle),
  };
  return [
    { ...segment, to: middle, sweep: segment.sweep / 2 },
    { ...segment, from: middle, sweep: segment.sweep / 2 },
  ];
}

/** Crossing of the lines through `p` along the unit vector `u` and through `q` along `v`; none when parallel. */
export function lineAndLine(p: Point, u: Point, q: Point, v: Point): Point[] {
  const cross = u.x * v.y - u.y * v.x;
  if (Math.abs(cross) < 1e-12) return [];
  const t = ((q.x - p.x) * v.y - (q.y - p.y) * v.x) / cross;
  return [{ x: p.x + t * u.x, y: p.y + t * u.y }];
}

/** Crossings of the line through `p` along the unit vector `u` with the circle about `c`. */
export function lineAndCircle(p: Point, u: Point, c: Point, r: number): Point[] {
  const along = (c.x - p.x) * u.x + (c.y - p.y) * u.y;
  const foot = { x: p.x + along * u.x, y: p.y + along * u.y };
  const off = Math.hypot(foot.x - c.x, foot.y - c.y);
  if (off > r) return [];
  const half = Math.sqrt(r * r - off * off);
  return [
    { x: foot.x + half * u.x, y: foot.y + half * u.y },
    { x: foot.x - half * u.x, y: foot.y - half * u.y },
  ];
}

/** Crossings of two circles. Told from the smaller one, so that a nearly straight arc costs no digits. */
export function circleAndCircle(p: Point, r: number, q: Point, s: number): Point[] {
  if (r > s) return circleAndCircle(q, s, p, r);
  const dx = q.x - p.x;
  const dy = q.y - p.y;
  const d = Math.hypot(dx, dy);
  if (d < SAME_POINT_MM || d > r + s || d < Math.abs(r - s)) return [];
  const along = ((d - s) * (d + s) + r * r) / (2 * d);
  const half = Math.sqrt(Math.max(0, (r - along) * (r + along)));
  const mx = p.x + (along * dx) / d;
  const my = p.y + (along * dy) / d;
  return [
    { x: mx - (half * dy) / d, y: my + (half * dx) / d },
    { x: mx + (half * dy) / d, y: my - (half * dx) / d },
  ];
}

/** Points that two segments share, apart from whole stretches. */
export function crossings(a: PathSegment, b: PathSegment): Point[] {
  let points: Point[];
  if (a.kind === 'line' && b.kind === 'line')
    points = lineAndLine(a.from, alongLine(a), b.from, alongLine(b));
  else if (a.kind === 'line')
    points = lineAndCircle(a.from, alongLine(a), (b as ArcSegment).centre, (b as ArcSegment).radius);
  else if (b.kind === 'line') points = lineAndCircle(b.from, alongLine(b), a.centre, a.radius);
  else points = circleAndCircle(a.centre, a.radius, b.centre, b.radius);
  return points.filter((p) => holds(a, p) && holds(b, p));
}

function alongLine(line: LineSegment): Point {
  const n = startNormal(line);
  return { x: -n.y, y: n.x };
}

/** Path length from the segment's start to a point of its whole line or circle. */
export function alongTo(segment: PathSegment, p: Point): number {
  if (segment.kind === 'arc') return arcShare(segment, p) * lengthOf(segment);
  const u = alongLine(segment);
  return (p.x - segment.from.x) * u.x + (p.y - segment.from.y) * u.y;
}

function holds(segment: PathSegment, p: Point): boolean {
  const along = alongTo(segment, p);
  return along >= -SAME_POINT_MM && along <= lengthOf(segment) + SAME_POINT_MM;
}
