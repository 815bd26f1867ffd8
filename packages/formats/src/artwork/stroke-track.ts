/**
 * Outlines as stations: places with exact directions, close enough together that both the chords and the edges offset by
 * half a stroke's width stay within a tolerance of the true ones.
 */
import { apply, type Point } from '@inlaywright/geometry';
import type { OutlineSegment, Subpath } from './outline.ts';

/** A place on the outline with the direction of travel there. */
export interface Station {
  readonly p: Point;
  /** Unit vector. */
  readonly t: Point;
}

/** Stations of smooth runs one after another; between two runs there is a join. */
export interface Track {
  readonly runs: readonly (readonly Station[])[];
  readonly closed: boolean;
}

/** The stations of one subpath, for strokes of the given half width. */
export function toTrack(subpath: Subpath, half: number, flatness: number): Track {
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

/** No step turns further, radians: lengths along the curve then hold to 1e-4. */
const MAX_TURN = 0.5;

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
  if (sag + half * (1 - Math.cos(turn / 2)) <= flatness && turn < MAX_TURN) return;
  refine(at, u0, a, um, middle, half, flatness, depth + 1, out);
  out.push(middle);
  refine(at, um, middle, u1, b, half, flatness, depth + 1, out);
}

/** Size of the angle between two stations' directions. */
export function turnBetween(a: Station, b: Station): number {
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

/** The vector at length 1; null when it has none. */
export function unit(x: number, y: number): Point | null {
  const length = Math.hypot(x, y);
  return length > 0 ? { x: x / length, y: y / length } : null;
}
