import { type Point, segmentBounds } from '@inlaywright/geometry';
import {
  arcShare,
  endNormal,
  normalTowards,
  type PathSegment,
  startNormal,
  turnInto,
} from './beam-path-segments.ts';
import { type ChainGraph, OUTSIDE } from './compensate-chains.ts';
import type { Beam, Plan } from './compensate-plan.ts';

/**
 * Places where two stretches of one part's boundary face one another too closely: across what lies outside the part,
 * nearer than a ball needs to pass (a slot that closes), or across the part itself, nearer than its neighbours reach in
 * from both sides. Between two curves the nearest places are joined by a line square to both, or held by a corner that
 * turns away, so only such pairs are looked for; a wedge that narrows to a corner has none and is rollBall's business.
 */

export interface Narrow {
  /** `slot`: outside the part. `web`: of the part itself. */
  readonly kind: 'slot' | 'web';
  readonly part: number;
  /** Chains whose stretches face one another, and the segments that do. */
  readonly chains: readonly [number, number];
  readonly segments: readonly [PathSegment, PathSegment];
  readonly at: Point;
  readonly widthMm: number;
  /** Width from which the place would be free, mm. */
  readonly neededMm: number;
}

/** Widths nearer to the limit than this pass: a slot exactly as wide as needed is open, mm. */
const WIDTH_SLACK_MM = 2e-5;
/** Normals that point at one another within this angle count as opposite, rad. */
const OPPOSITE_RAD = 2e-3;

/** A segment seen from one part: `side` +1 when the part lies on its left. */
interface Wall {
  readonly segment: PathSegment;
  readonly next: PathSegment | null;
  readonly side: 1 | -1;
  readonly chain: number;
  /** Half axes of the part's beam, its own growth over the wall, and how far the wall moves into the part. */
  readonly beam: Beam;
  readonly growth: number;
  readonly reach: number;
  /** Directions of the outward normals, corner to the next segment included: middle and half width, rad. */
  readonly normal: number;
  readonly spread: number;
  readonly minX: number;
  readonly maxX: number;
  readonly minY: number;
  readonly maxY: number;
}

/** All narrow places of all parts, unordered. */
export function narrowPlaces(graph: ChainGraph, plan: Plan): Narrow[] {
  const found: Narrow[] = [];
  wallsByPart(graph, plan).forEach((walls, part) => {
    walls.sort((p, q) => p.minX - q.minX);
    const widest = walls.reduce((most, wall) => Math.max(most, halfSlot(wall, null), wall.reach), 0);
    for (let i = 0; i < walls.length; i++) {
      const a = walls[i]!;
      for (let j = i; j < walls.length; j++) {
        const b = walls[j]!;
        if (b.minX > a.maxX + 2 * widest) break;
        const slot = halfSlot(a, null) + halfSlot(b, null);
        const web = a.reach + b.reach;
        const apart = Math.max(b.minX - a.maxX, b.minY - a.maxY, a.minY - b.maxY);
        if (apart >= Math.max(slot, web) || !mayFace(a, b)) continue;
        if (apart < slot) look('slot', a, b, slot, part);
        if (web > 0 && apart < web) look('web', a, b, web, part);
      }
    }
  });
  return found;

  function look(kind: Narrow['kind'], a: Wall, b: Wall, most: number, part: number): void {
    const pair = facing(a, b, most - WIDTH_SLACK_MM, kind === 'slot' ? 1 : -1);
    if (!pair) return;
    const { p, q, width } = pair;
    const across = { x: (q.x - p.x) / width, y: (q.y - p.y) / width };
    const neededMm = kind === 'slot' ? halfSlot(a, across) + halfSlot(b, across) : most;
    if (width > neededMm - WIDTH_SLACK_MM) return;
    const at = { x: (p.x + q.x) / 2, y: (p.y + q.y) / 2 };
    found.push({
      kind,
      part,
      chains: [a.chain, b.chain],
      segments: [a.segment, b.segment],
      at,
      widthMm: width,
      neededMm,
    });
  }
}

/** What a wall asks of a slot: half the beam's width across it (its greatest without a direction) and the growth. */
function halfSlot({ beam: { rx, ry }, growth }: Wall, across: Point | null): number {
  const half = across ? Math.hypot(rx * across.x, ry * across.y) : Math.max(rx, ry);
  return Math.max(0, half + growth);
}

function wallsByPart(graph: ChainGraph, plan: Plan): Wall[][] {
  const walls: Wall[][] = plan.beams.map(() => []);
  graph.chains.forEach(({ segments, left, right, seam, closed }, chain) => {
    const { growA, growB } = plan.seams[seam] ?? { growA: 0, growB: 0 };
    const reachA = Math.max(0, growB, -growA);
    const reachB = Math.max(0, growA, -growB);
    segments.forEach((segment, i) => {
      const next = segments[i + 1] ?? (closed ? segments[0]! : null);
      const { minX, maxX, minY, maxY } = segmentBounds(segment);
      const { normal, spread } = normalsOf(segment, next);
      walls[left]!.push({
        segment,
        next,
        side: 1,
        chain,
        beam: plan.beams[left]!,
        growth: growA,
        reach: reachA,
        normal,
        spread,
        minX,
        maxX,
        minY,
        maxY,
      });
      if (right === OUTSIDE) return;
      const inward = normal + Math.PI;
      walls[right]!.push({
        segment,
        next,
        side: -1,
        chain,
        beam: plan.beams[right]!,
        growth: growB,
        reach: reachB,
        normal: inward,
        spread,
        minX,
        maxX,
        minY,
        maxY,
      });
    });
  });
  return walls;
}

function normalsOf(segment: PathSegment, next: PathSegment | null): { normal: number; spread: number } {
  const n = startNormal(segment);
  const sweep = segment.kind === 'arc' ? segment.sweep : 0;
  const turn = next ? turnInto(segment, next) : 0;
  const low = Math.min(0, sweep, sweep + turn);
  const high = Math.max(0, sweep, sweep + turn);
  return { normal: Math.atan2(n.y, n.x) + (low + high) / 2, spread: (high - low) / 2 };
}

/** Whether some normal of the one points against some normal of the other: all that most pairs need. */
function mayFace(a: Wall, b: Wall): boolean {
  const off = (b.normal - a.normal - Math.PI) / (2 * Math.PI);
  return Math.abs(off - Math.round(off)) * 2 * Math.PI <= a.spread + b.spread + 2 * OPPOSITE_RAD;
}

interface Pair {
  readonly p: Point;
  readonly q: Point;
  readonly width: number;
}

/**
 * The narrowest pair of points of two walls that face one another with less than `limit` between them: outward
 * (`way` +1) or inward (-1).
 */
function facing(a: Wall, b: Wall, limit: number, way: 1 | -1): Pair | null {
  let best: Pair | null = null;
  const offer = (p: Point, q: Point): void => {
    const width = Math.hypot(q.x - p.x, q.y - p.y);
    if (width < limit && width < (best?.width ?? limit) && looksAt(a, p, q, way) && looksAt(b, q, p, way))
      best = { p, q, width };
  };
  const s = a.segment;
  const t = b.segment;
  if (s.kind === 'arc' && t.kind === 'arc') {
    if (s !== t) for (const [p, q] of acrossCentres(s, t)) offer(p, q);
    else if (Math.abs(s.sweep) >= Math.PI) offer(s.from, opposite(s, s.from));
  } else if (s.kind === 'arc') {
    for (const [p, q] of lineToArc(t, s)) offer(q, p);
  } else if (t.kind === 'arc') {
    for (const [p, q] of lineToArc(s, t)) offer(p, q);
  } else if (s !== t) {
    for (const p of [s.from, s.to]) if (onLine(t, footOn(t, p))) offer(p, footOn(t, p));
    for (const q of [t.from, t.to]) if (onLine(s, footOn(s, q))) offer(footOn(s, q), q);
  }
  // Corners that turn away from the part may hold the nearest point, with a segment or with one another.
  if (a.next && s !== t) {
    offer(s.to, nearestOn(t, s.to));
    if (b.next) offer(s.to, t.to);
  }
  if (b.next && s !== t) offer(nearestOn(s, t.to), t.to);
  return best;
}

/** Whether `q` lies straight out of the part (into it for `way` -1) at the wall's point `p`, or within the corner held there. */
function looksAt(wall: Wall, p: Point, q: Point, way: 1 | -1): boolean {
  const side = way * wall.side;
  const width = Math.hypot(q.x - p.x, q.y - p.y);
  if (width < WIDTH_SLACK_MM) return false;
  const dx = (side * (q.x - p.x)) / width;
  const dy = (side * (q.y - p.y)) / width;
  const n = normalTowards(wall.segment, p);
  if (Math.abs(n.x * dy - n.y * dx) < OPPOSITE_RAD && n.x * dx + n.y * dy > 0) return true;
  if (p !== wall.segment.to || !wall.next) return false;
  const n0 = endNormal(wall.segment);
  const n1 = startNormal(wall.next);
  const turnsAway = side * (n0.x * n1.y - n0.y * n1.x) > 0;
  const afterFirst = side * (n0.x * dy - n0.y * dx) > -OPPOSITE_RAD;
  const beforeSecond = side * (dx * n1.y - dy * n1.x) > -OPPOSITE_RAD;
  return turnsAway && afterFirst && beforeSecond && dx * (n0.x + n1.x) + dy * (n0.y + n1.y) > 0;
}

/** Points of two arcs on the line through their centres. */
function acrossCentres(s: PathSegment & { kind: 'arc' }, t: PathSegment & { kind: 'arc' }): [Point, Point][] {
  const dx = t.centre.x - s.centre.x;
  const dy = t.centre.y - s.centre.y;
  const d = Math.hypot(dx, dy);
  if (d < WIDTH_SLACK_MM) {
    // Concentric: equally far everywhere; the ends tell where both are.
    return [s.from, s.to].flatMap((p) => onRay(t, p).map((q): [Point, Point] => [p, q]));
  }
  const pairs: [Point, Point][] = [];
  for (const i of [1, -1]) {
    const p = { x: s.centre.x + (i * s.radius * dx) / d, y: s.centre.y + (i * s.radius * dy) / d };
    if (!within(s, p)) continue;
    for (const j of [1, -1]) {
      const q = { x: t.centre.x + (j * t.radius * dx) / d, y: t.centre.y + (j * t.radius * dy) / d };
      if (within(t, q)) pairs.push([p, q]);
    }
  }
  return pairs;
}

/** Points of a line and an arc on the line's perpendicular through the arc's centre. */
function lineToArc(line: PathSegment, arc: PathSegment & { kind: 'arc' }): [Point, Point][] {
  const n = startNormal(line);
  const foot = footOn(line, arc.centre);
  if (!onLine(line, foot)) return [];
  const pairs: [Point, Point][] = [];
  for (const i of [1, -1]) {
    const q = { x: arc.centre.x + i * arc.radius * n.x, y: arc.centre.y + i * arc.radius * n.y };
    if (within(arc, q)) pairs.push([foot, q]);
  }
  return pairs;
}

function onRay(arc: PathSegment & { kind: 'arc' }, p: Point): Point[] {
  const d = Math.hypot(p.x - arc.centre.x, p.y - arc.centre.y);
  if (d < WIDTH_SLACK_MM) return [];
  const scale = arc.radius / d;
  const q = {
    x: arc.centre.x + scale * (p.x - arc.centre.x),
    y: arc.centre.y + scale * (p.y - arc.centre.y),
  };
  return within(arc, q) ? [q] : [];
}

function opposite(arc: PathSegment & { kind: 'arc' }, p: Point): Point {
  return { x: 2 * arc.centre.x - p.x, y: 2 * arc.centre.y - p.y };
}

function within(arc: PathSegment & { kind: 'arc' }, p: Point): boolean {
  const share = arcShare(arc, p);
  return share >= -1e-6 && share <= 1 + 1e-6;
}

function footOn(line: PathSegment, p: Point): Point {
  const dx = line.to.x - line.from.x;
  const dy = line.to.y - line.from.y;
  const t = ((p.x - line.from.x) * dx + (p.y - line.from.y) * dy) / (dx * dx + dy * dy);
  return { x: line.from.x + t * dx, y: line.from.y + t * dy };
}

function onLine(line: PathSegment, foot: Point): boolean {
  const dx = line.to.x - line.from.x;
  const dy = line.to.y - line.from.y;
  const t = ((foot.x - line.from.x) * dx + (foot.y - line.from.y) * dy) / (dx * dx + dy * dy);
  return t >= -1e-6 && t <= 1 + 1e-6;
}

/** The inner point of the segment whose normal passes through `p`, or an end where there is none. */
function nearestOn(segment: PathSegment, p: Point): Point {
  const inner = segment.kind === 'arc' ? onRay(segment, p)[0] : footOn(segment, p);
  if (inner && (segment.kind === 'arc' || onLine(segment, inner))) return inner;
  const toFrom = Math.hypot(p.x - segment.from.x, p.y - segment.from.y);
  return toFrom < Math.hypot(p.x - segment.to.x, p.y - segment.to.y) ? segment.from : segment.to;
}
