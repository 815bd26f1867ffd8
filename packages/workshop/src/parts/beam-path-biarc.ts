import type { Point } from '@inlaywright/geometry';
import type { PathSegment } from './beam-path-segments.ts';

/** An arc that bows less than this, mm, is a line: its centre would lie kilometres away. */
const STRAIGHT_MM = 5e-6;

/** Two arcs, joined smoothly, from p along t to q along u; equal lengths of their tangents. */
export function biarc(p: Point, t: Point, q: Point, u: Point): PathSegment[] {
  const vx = q.x - p.x;
  const vy = q.y - p.y;
  const vt = vx * (t.x + u.x) + vy * (t.y + u.y);
  const vv = vx * vx + vy * vy;
  const bend = 2 * (1 - t.x * u.x - t.y * u.y);
  const d = bend > 1e-12 ? (Math.sqrt(vt * vt + bend * vv) - vt) / bend : vv / (2 * vt);
  const joint = { x: (p.x + q.x + d * (t.x - u.x)) / 2, y: (p.y + q.y + d * (t.y - u.y)) / 2 };
  const first = arcAlong(p, t, joint);
  const second = arcAlong(q, { x: -u.x, y: -u.y }, joint);
  const back: PathSegment =
    second.kind === 'line'
      ? { kind: 'line', from: joint, to: q }
      : { ...second, from: joint, to: q, sweep: -second.sweep };
  return [first, back];
}

/** The arc from p, leaving along t, to q. */
export function arcAlong(p: Point, t: Point, q: Point): PathSegment {
  const vx = q.x - p.x;
  const vy = q.y - p.y;
  const cross = t.x * vy - t.y * vx;
  const vv = vx * vx + vy * vy;
  // A quarter of it is the height of the bow.
  if (Math.abs(cross) < 4 * STRAIGHT_MM) return { kind: 'line', from: p, to: q };
  const sweep = 2 * Math.atan2(cross, t.x * vx + t.y * vy);
  const r = vv / (2 * cross);
  return {
    kind: 'arc',
    from: p,
    to: q,
    centre: { x: p.x - r * t.y, y: p.y + r * t.x },
    radius: Math.abs(r),
    sweep,
  };
}
