import { type Curve, type Point, type Segment, segmentLength, tangentAt } from '@inlaywright/geometry';

/**
 * How long a machine takes along paths: constant acceleration, speed limits on curves, corners taken at the
 * speed that strays by no more than a set distance (docs/cut-time.md; formulas with their sources in
 * test/reference/motion.json). Start and end of every path are at rest. Times in s, lengths in mm.
 */

export interface Motion {
  readonly cutMmPerS: number;
  readonly travelMmPerS: number;
  readonly accelerationMmPerS2: number;
  /** How far from a corner's point the head may cut it short, mm. */
  readonly cornerDeviationMm: number;
  /** Wait at the start of each path until the beam is through, s. */
  readonly pierceS: number;
}

/** A small CO2 machine on 3 mm hardwood; typical values, no published source: measure your own. */
export const TYPICAL_MOTION: Motion = {
  cutMmPerS: 12,
  travelMmPerS: 200,
  accelerationMmPerS2: 2000,
  cornerDeviationMm: 0.02,
  pierceS: 0.1,
};

/** Time from speed `from` to speed `to` over a length, never above `limit`; trapezoid or triangle. */
export function trapezoidTime(
  lengthMm: number,
  limit: number,
  acceleration: number,
  from = 0,
  to = 0,
): number {
  if (lengthMm <= 0) return 0;
  const peak = Math.min(limit, Math.sqrt((from * from + to * to) / 2 + acceleration * lengthMm));
  const rampMm = (2 * peak * peak - from * from - to * to) / (2 * acceleration);
  return (2 * peak - from - to) / acceleration + Math.max(0, lengthMm - rampMm) / peak;
}

/**
 * Greatest speed through a corner: theta is the angle inside it (180 deg straight on), and the
 * circle that touches both legs at the deviation from the point has the radius R = d s/(1 - s), s = sin(theta/2).
 */
export function cornerSpeed(insideAngle: number, acceleration: number, deviationMm: number): number {
  const s = Math.sin(insideAngle / 2);
  return s >= 1 ? Number.POSITIVE_INFINITY : Math.sqrt((acceleration * deviationMm * s) / (1 - s));
}

/** Greatest speed on a circle. */
export function arcSpeed(radiusMm: number, acceleration: number): number {
  return Math.sqrt(acceleration * radiusMm);
}

/** Time along joined segments from rest to rest, looking ahead over all of them. */
export function pathTime(segments: readonly Segment[], motion: Motion): number {
  const a = motion.accelerationMmPerS2;
  const n = segments.length;
  const lengths = segments.map(segmentLength);
  const limits = segments.map((segment) => Math.min(motion.cutMmPerS, curveLimit(segment, a)));
  // Speed at each joint: what the corner and both neighbours allow, then what can be braked and gained.
  const joint = new Float64Array(n + 1);
  for (let i = 1; i < n; i++) {
    const turn = insideAngle(tangentAt(segments[i - 1]!, 1), tangentAt(segments[i]!, 0));
    joint[i] = Math.min(limits[i - 1]!, limits[i]!, cornerSpeed(turn, a, motion.cornerDeviationMm));
  }
  for (let i = 1; i <= n; i++)
    joint[i] = Math.min(joint[i]!, Math.sqrt(joint[i - 1]! ** 2 + 2 * a * lengths[i - 1]!));
  for (let i = n - 1; i >= 0; i--)
    joint[i] = Math.min(joint[i]!, Math.sqrt(joint[i + 1]! ** 2 + 2 * a * lengths[i]!));
  let time = 0;
  for (let i = 0; i < n; i++) time += trapezoidTime(lengths[i]!, limits[i]!, a, joint[i]!, joint[i + 1]!);
  return time;
}

export interface CutTime {
  readonly cutS: number;
  readonly travelS: number;
  readonly pierceS: number;
  readonly totalS: number;
}

/** Time for closed cuts and open marks in the order given, with straight travel between. */
export function cutTime(
  paths: readonly (Curve | { readonly points: readonly Point[] })[],
  motion: Motion,
  passes = 1,
): CutTime {
  let cutS = 0;
  let travelS = 0;
  let at: Point = { x: 0, y: 0 };
  for (const path of paths) {
    const segments = 'segments' in path ? path.segments : linesOf(path.points);
    if (segments.length === 0) continue;
    const start = segments[0]!.from;
    travelS += trapezoidTime(
      Math.hypot(start.x - at.x, start.y - at.y),
      motion.travelMmPerS,
      motion.accelerationMmPerS2,
    );
    cutS += passes * pathTime(segments, motion);
    at = segments[segments.length - 1]!.to;
  }
  const pierceS = paths.length * passes * motion.pierceS;
  return { cutS, travelS, pierceS, totalS: cutS + travelS + pierceS };
}

function linesOf(points: readonly Point[]): Segment[] {
  return points.slice(1).map((to, i) => ({ kind: 'line', from: points[i]!, to }));
}

function curveLimit(segment: Segment, acceleration: number): number {
  if (segment.kind === 'line') return Number.POSITIVE_INFINITY;
  return arcSpeed(segment.kind === 'arc' ? segment.radius : tightestRadius(segment), acceleration);
}

/** Smallest of the radii at nine places of a cubic; written paths hold lines and arcs, so this is for drawings only. */
function tightestRadius({ from, c1, c2, to }: Extract<Segment, { kind: 'cubic' }>): number {
  let tightest = Number.POSITIVE_INFINITY;
  for (let i = 0; i <= 8; i++) {
    const t = i / 8;
    const u = 1 - t;
    const derivative = (k: 'x' | 'y'): number =>
      3 * (u * u * (c1[k] - from[k]) + 2 * u * t * (c2[k] - c1[k]) + t * t * (to[k] - c2[k]));
    const second = (k: 'x' | 'y'): number =>
      6 * (u * (c2[k] - 2 * c1[k] + from[k]) + t * (to[k] - 2 * c2[k] + c1[k]));
    const cross = Math.abs(derivative('x') * second('y') - derivative('y') * second('x'));
    if (cross > 0) tightest = Math.min(tightest, Math.hypot(derivative('x'), derivative('y')) ** 3 / cross);
  }
  return tightest;
}

function insideAngle(incoming: Point, outgoing: Point): number {
  const cos = -(incoming.x * outgoing.x + incoming.y * outgoing.y);
  return Math.acos(Math.max(-1, Math.min(1, cos)));
}
