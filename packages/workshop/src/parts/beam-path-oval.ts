import type { Point } from '@inlaywright/geometry';
import { biarc } from './beam-path-biarc.ts';
import {
  endNormal,
  type PathSegment,
  SAME_POINT_MM,
  startNormal,
  turnBetween,
} from './beam-path-segments.ts';
import type { Beam } from './compensate-plan.ts';

/**
 * The path of a beam that is an upright ellipse round a boundary that bends nowhere more tightly than the ellipse. Where
 * the boundary's outward normal is n the beam's centre lies farther out by (rx^2 nx, ry^2 ny) / |(rx nx, ry ny)|, the
 * ellipse's point with that normal, and the path has that same normal. So points and directions of the path are known
 * exactly, and biarcs between them follow it.
 */

/** Turn covered by one biarc. At 15 degrees and half axes a tenth apart it is off by less than 0.05 um. */
const STEP_RAD = Math.PI / 12;

export function ovalParallel(run: readonly PathSegment[], { rx, ry }: Beam): PathSegment[] {
  const stops: { at: Point; n: Point; straight: boolean }[] = [];
  const out = (p: Point, n: Point): Point => {
    const h = Math.hypot(rx * n.x, ry * n.y) || 1;
    return { x: p.x + (rx * rx * n.x) / h, y: p.y + (ry * ry * n.y) / h };
  };
  const stop = (p: Point, n: Point, straight: boolean): void => {
    stops.push({ at: out(p, n), n, straight });
  };
  run.forEach((segment, i) => {
    const n0 = startNormal(segment);
    const n1 = endNormal(segment);
    const before = endNormal(run[(i - 1 + run.length) % run.length]!);
    const turn = turnBetween(before, n0);
    if (turn > 0) {
      const steps = Math.ceil(turn / STEP_RAD);
      for (let k = 0; k < steps; k++) stop(segment.from, turned(before, (turn * k) / steps), false);
    }
    if (segment.kind === 'line') {
      stop(segment.from, n0, true);
      return;
    }
    const steps = Math.ceil(Math.abs(segment.sweep) / STEP_RAD);
    const sign = segment.sweep > 0 ? segment.radius : -segment.radius;
    for (let k = 0; k < steps; k++) {
      const n = turned(n0, (segment.sweep * k) / steps);
      stop({ x: segment.centre.x + sign * n.x, y: segment.centre.y + sign * n.y }, n, false);
    }
    if (turnBetween(n1, startNormal(run[(i + 1) % run.length]!)) < 0) stop(segment.to, n1, false);
  });
  const path: PathSegment[] = [];
  stops.forEach((from, i) => {
    const to = stops[(i + 1) % stops.length]!;
    const length = Math.hypot(to.at.x - from.at.x, to.at.y - from.at.y);
    if (length < SAME_POINT_MM) return;
    if (from.straight) path.push({ kind: 'line', from: from.at, to: to.at });
    else path.push(...biarc(from.at, along(from.n), to.at, along(to.n)));
  });
  return path;
}

function turned(n: Point, angle: number): Point {
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  return { x: n.x * cos - n.y * sin, y: n.x * sin + n.y * cos };
}

/** The direction of travel whose right-hand normal is n. */
function along(n: Point): Point {
  return { x: -n.y, y: n.x };
}
