/**
 * Outlines as the drawing gives them, in its own user space (y down): lines, cubics, and elliptical arcs kept as arcs of
 * a unit circle under an affine frame. Only the map to millimetres decides whether an arc stays circular.
 */
import {
  type Affine,
  type ArcSegment,
  apply,
  arcFromEndpoints,
  type Bounds,
  type CubicSegment,
  type Curve,
  compose,
  invert,
  type LineSegment,
  type Point,
  rotation,
  type Segment,
  scaling,
  segmentBounds,
  transformSegment,
  translation,
} from '@inlaywright/geometry';

/** An arc of an ellipse: `unit` is an arc of the unit circle (or a larger one, for radii too small), `frame` maps it. */
export interface EllipticArc {
  readonly kind: 'ellipse';
  readonly from: Point;
  readonly to: Point;
  readonly unit: ArcSegment;
  readonly frame: Affine;
}

export type OutlineSegment = LineSegment | CubicSegment | EllipticArc;

/** One stroke of the pen. Without segments it is a dot, which only a stroke's caps can show. */
export interface Subpath {
  readonly start: Point;
  readonly segments: readonly OutlineSegment[];
  readonly closed: boolean;
}

const FULL_TURN = 2 * Math.PI;
const UNIT_START: Point = { x: 1, y: 0 };
const UNIT_CIRCLE: ArcSegment = {
  kind: 'arc',
  from: UNIT_START,
  to: UNIT_START,
  centre: { x: 0, y: 0 },
  radius: 1,
  sweep: FULL_TURN,
};

/** A whole ellipse, starting at its rightmost point. */
export function ellipseOutline(cx: number, cy: number, rx: number, ry: number): Subpath {
  const start = { x: cx + rx, y: cy };
  const frame = compose(translation(cx, cy), scaling(rx, ry));
  return {
    start,
    closed: true,
    segments: [{ kind: 'ellipse', from: start, to: start, unit: UNIT_CIRCLE, frame }],
  };
}

/** A rectangle with corners rounded by quarter ellipses; the radii are already within half the sides (SVG 2, 10.2). */
export function rectangleOutline(
  x: number,
  y: number,
  width: number,
  height: number,
  rx: number,
  ry: number,
): Subpath {
  const right = x + width;
  const bottom = y + height;
  if (rx === 0 || ry === 0) {
    return polylineOutline(
      [
        { x, y },
        { x: right, y },
        { x: right, y: bottom },
        { x, y: bottom },
      ],
      true,
    );
  }
  const start = { x: x + rx, y };
  const segments: OutlineSegment[] = [];
  let at: Point = start;
  const line = (to: Point): void => {
    if (to.x !== at.x || to.y !== at.y) segments.push({ kind: 'line', from: at, to });
    at = to;
  };
  const corner = (to: Point, centre: Point, startAngle: number): void => {
    const frame = compose(translation(centre.x, centre.y), scaling(rx, ry));
    segments.push({ kind: 'ellipse', from: at, to, unit: quarter(startAngle), frame });
    at = to;
  };
  line({ x: right - rx, y });
  corner({ x: right, y: y + ry }, { x: right - rx, y: y + ry }, -1);
  line({ x: right, y: bottom - ry });
  corner({ x: right - rx, y: bottom }, { x: right - rx, y: bottom - ry }, 0);
  line({ x: x + rx, y: bottom });
  corner({ x, y: bottom - ry }, { x: x + rx, y: bottom - ry }, 1);
  line({ x, y: y + ry });
  corner(start, { x: x + rx, y: y + ry }, 2);
  return { start, segments, closed: true };
}

/** The quarter of the unit circle from `quarters` right angles onwards, towards growing angles. */
function quarter(quarters: number): ArcSegment {
  const at = (n: number): Point => QUARTER_POINTS[((n % 4) + 4) % 4]!;
  return {
    kind: 'arc',
    from: at(quarters),
    to: at(quarters + 1),
    centre: UNIT_CIRCLE.centre,
    radius: 1,
    sweep: Math.PI / 2,
  };
}

const QUARTER_POINTS: readonly Point[] = [
  { x: 1, y: 0 },
  { x: 0, y: 1 },
  { x: -1, y: 0 },
  { x: 0, y: -1 },
];

/** Lines through the points in order. `closed` adds the way back to the first. */
export function polylineOutline(points: readonly Point[], closed: boolean): Subpath {
  const start = points[0]!;
  const segments: OutlineSegment[] = [];
  let from = start;
  const ends = closed ? [...points.slice(1), start] : points.slice(1);
  for (const to of ends) {
    if (to.x !== from.x || to.y !== from.y) segments.push({ kind: 'line', from, to });
    from = to;
  }
  return { start, segments, closed };
}

/** An endpoint arc of path data (SVG 2, 9.5.1): nothing when the ends coincide, a line when a radius is zero. */
export function endpointArc(
  from: Point,
  to: Point,
  radii: { readonly rx: number; readonly ry: number; readonly rotationDeg: number },
  flags: { readonly largeArc: boolean; readonly sweep: boolean },
): OutlineSegment | null {
  if (from.x === to.x && from.y === to.y) return null;
  const rx = Math.abs(radii.rx);
  const ry = Math.abs(radii.ry);
  const frame = compose(rotation((radii.rotationDeg * Math.PI) / 180), scaling(rx, ry));
  if (!Number.isFinite(1 / (frame.a * frame.d - frame.b * frame.c))) return { kind: 'line', from, to };
  const toUnit = invert(frame);
  const unit = arcFromEndpoints({
    from: apply(toUnit, from),
    to: apply(toUnit, to),
    rx: 1,
    ry: 1,
    rotation: 0,
    ...flags,
  })[0];
  return unit?.kind === 'arc' ? { kind: 'ellipse', from, to, unit, frame } : { kind: 'line', from, to };
}

/** The segment under `toPlane`, with its ends exactly where they are told to be. */
function placeSegment(segment: OutlineSegment, from: Point, to: Point, toPlane: Affine): Segment[] {
  if (segment.kind === 'line') return [{ kind: 'line', from, to }];
  if (segment.kind === 'cubic') {
    return [{ kind: 'cubic', from, c1: apply(toPlane, segment.c1), c2: apply(toPlane, segment.c2), to }];
  }
  const placed = transformSegment(segment.unit, compose(toPlane, segment.frame));
  const last = placed.length - 1;
  placed[0] = { ...placed[0]!, from };
  placed[last] = { ...placed[last]!, to };
  return placed;
}

/**
 * The closed curves a fill covers: every subpath is closed by a straight line if it is open (SVG 2, 13.3), subpaths
 * without extent are left out. Ends meet bitwise.
 */
export function outlineCurves(subpaths: readonly Subpath[], toPlane: Affine): Curve[] {
  const curves: Curve[] = [];
  for (const subpath of subpaths) {
    const start = apply(toPlane, subpath.start);
    const segments: Segment[] = [];
    let from = start;
    for (const segment of subpath.segments) {
      const returns = segment.to.x === subpath.start.x && segment.to.y === subpath.start.y;
      const to = returns ? start : apply(toPlane, segment.to);
      for (const placed of placeSegment(segment, from, to, toPlane)) segments.push(placed);
      from = to;
    }
    if (from.x !== start.x || from.y !== start.y) segments.push({ kind: 'line', from, to: start });
    if (enclosesSomething(segments)) curves.push({ segments });
  }
  return curves;
}

/** A line there and back, or a dot, encloses nothing. */
function enclosesSomething(segments: readonly Segment[]): boolean {
  if (segments.length > 2) return true;
  return segments.some((segment) => segment.kind !== 'line');
}

/** The same outline in another user space. */
export function transformOutline(subpaths: readonly Subpath[], m: Affine): Subpath[] {
  return subpaths.map((subpath) => {
    const start = apply(m, subpath.start);
    let from = start;
    const segments = subpath.segments.map((segment): OutlineSegment => {
      const returns = segment.to.x === subpath.start.x && segment.to.y === subpath.start.y;
      const to = returns ? start : apply(m, segment.to);
      const ends = { from, to };
      from = to;
      if (segment.kind === 'line') return { kind: 'line', ...ends };
      if (segment.kind === 'ellipse') return { ...segment, ...ends, frame: compose(m, segment.frame) };
      return { kind: 'cubic', ...ends, c1: apply(m, segment.c1), c2: apply(m, segment.c2) };
    });
    return { start, segments, closed: subpath.closed };
  });
}

/** The box around the outline under the map, open subpaths not closed. */
export function outlineBounds(subpaths: readonly Subpath[], toPlane: Affine): Bounds | null {
  let minX = Number.POSITIVE_INFINITY;
  let minY = Number.POSITIVE_INFINITY;
  let maxX = Number.NEGATIVE_INFINITY;
  let maxY = Number.NEGATIVE_INFINITY;
  const add = (box: Bounds): void => {
    minX = Math.min(minX, box.minX);
    minY = Math.min(minY, box.minY);
    maxX = Math.max(maxX, box.maxX);
    maxY = Math.max(maxY, box.maxY);
  };
  for (const subpath of subpaths) {
    for (const segment of subpath.segments) {
      const from = apply(toPlane, segment.from);
      const to = apply(toPlane, segment.to);
      for (const placed of placeSegment(segment, from, to, toPlane)) add(segmentBounds(placed));
    }
    if (subpath.segments.length === 0) {
      const { x, y } = apply(toPlane, subpath.start);
      add({ minX: x, minY: y, maxX: x, maxY: y });
    }
  }
  return minX > maxX ? null : { minX, minY, maxX, maxY };
}
