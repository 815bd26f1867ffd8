/**
 * Corner radii of a whole outline: which fit, the largest that would, and the rounded curves.
 *
 * A radius fits where its arc touches both segments of the corner, and where two arcs on one segment do not overlap. One
 * radius for all corners is lowered for all; radii given one by one are lowered only where they do not fit, two that
 * fight over a segment by the same factor. Largest radii are found by halving, to 1 nm.
 */
import { type Curve, type Point, pointAt, type Segment, splitSegment } from '@inlaywright/geometry';
import type { Finding } from '../finding.ts';
import { type Fillet, fillet, turnAt } from './fillet.ts';
import type { Area } from './piece.ts';
import { impossible, LARGEST_MM } from './shape-limits.ts';

/** One corner of an outline: the joint before segment `segment` of curve `curve`. */
export interface Corner {
  readonly curve: number;
  readonly segment: number;
  readonly at: Point;
}

const RADIUS_PRECISION = 1e-6;
/** A segment shorter than this between two arcs is left out, mm. */
const SHORTEST = 1e-9;

/**
 * The corners in the order in which radii are listed: for a path every joint, curve after curve, smooth ones
 * included; for other shapes those where the direction changes.
 */
export function listCorners(area: Area, curves: readonly Curve[]): Corner[] {
  return curves.flatMap(({ segments }, curve) =>
    segments.flatMap((segment, index): Corner[] => {
      const before = segments[(index + segments.length - 1) % segments.length]!;
      if (area.shape.kind !== 'path' && turnAt(before, segment) === 0) return [];
      return [{ curve, segment: index, at: segment.from }];
    }),
  );
}

export function roundCorners(
  area: Area,
  curves: readonly Curve[],
): { readonly curves: readonly Curve[]; readonly findings: readonly Finding[] } {
  const corners = listCorners(area, curves);
  const asked = radiiAsked(area, corners);
  const { radii, findings } = lowered(area, curves, corners, asked);
  return {
    curves: curves.map((curve, index) => rounded(curve, byJoint(curve, index, corners, radii))),
    findings,
  };
}

/** The largest radius that all corners can take together, or one corner while the others keep theirs; mm. */
export function largestRadius(area: Area, curves: readonly Curve[], corner?: number): number {
  const corners = listCorners(area, curves);
  if (corners.length === 0) return 0;
  if (corner === undefined) {
    return halved(
      (radius) =>
        misfits(
          curves,
          corners,
          corners.map(() => radius),
        ).length === 0,
      reach(curves),
    );
  }
  if (corners[corner] === undefined) {
    throw impossible(
      area,
      `it has ${corners.length} corners, there is no corner ${corner}`,
      'Corners count from 0.',
    );
  }
  const { radii } = lowered(area, curves, corners, radiiAsked(area, corners));
  return halved((radius) => misfits(curves, corners, radii.with(corner, radius)).length === 0, reach(curves));
}

function radiiAsked(area: Area, corners: readonly Corner[]): number[] {
  const asked = area.cornerRadiiMm ?? 0;
  if (typeof asked === 'number') return corners.map(() => asked);
  if (asked.length !== corners.length) {
    throw impossible(
      area,
      `${asked.length} corner radii are given for ${corners.length} corners`,
      'Give one radius for all corners, or one per corner (0 leaves it sharp).',
    );
  }
  return [...asked];
}

function reach(curves: readonly Curve[]): number {
  let most = 0;
  for (const { segments } of curves) {
    for (const { from } of segments) {
      const first = segments[0]!.from;
      most = Math.max(most, Math.hypot(from.x - first.x, from.y - first.y));
    }
    for (let i = 0; i < segments.length; i++) {
      const middle = pointAt(segments[i]!, 0.5);
      most = Math.max(most, Math.hypot(middle.x - segments[0]!.from.x, middle.y - segments[0]!.from.y));
    }
  }
  return Math.min(LARGEST_MM, 4 * most);
}

/** The largest value up to `limit` for which `fits` holds, as long as it holds for all smaller ones. */
function halved(fits: (radius: number) => boolean, limit: number): number {
  let low = 0;
  let high = limit;
  while (high - low > RADIUS_PRECISION) {
    const middle = (low + high) / 2;
    if (fits(middle)) low = middle;
    else high = middle;
  }
  return low;
}

function lowered(
  area: Area,
  curves: readonly Curve[],
  corners: readonly Corner[],
  asked: readonly number[],
): { radii: number[]; findings: Finding[] } {
  let radii = [...asked];
  if (misfits(curves, corners, radii).length === 0) return { radii, findings: [] };
  if (typeof area.cornerRadiiMm === 'number') {
    const largest = halved(
      (radius) =>
        misfits(
          curves,
          corners,
          corners.map(() => radius),
        ).length === 0,
      area.cornerRadiiMm,
    );
    radii = corners.map(() => largest);
    return {
      radii,
      findings: [
        {
          code: 'corner-radius-lowered',
          severity: 'warning',
          message: `Area "${area.id}": a radius of ${area.cornerRadiiMm} mm does not fit all its corners; ${largest.toFixed(3)} mm, the largest that does, was used.`,
          hint: `Ask for ${floor3(largest)} mm or less, or give each corner its own radius.`,
          areas: [area.id],
          figureMm: largest,
        },
      ],
    };
  }
  // Every round settles at least one group of corners for good: lowered radii only make room.
  for (let round = 0; round < 4 * corners.length + 4; round++) {
    const group = misfits(curves, corners, radii)[0];
    if (group === undefined) break;
    const start = radii;
    const scaled = (factor: number): number[] => start.map((r, i) => (group.includes(i) ? r * factor : r));
    const stillWrong = (factor: number): boolean =>
      misfits(curves, corners, scaled(factor)).some((other) =>
        group.every((corner) => other.includes(corner)),
      );
    const most = Math.max(...group.map((i) => start[i]!));
    radii = scaled(halved((radius) => !stillWrong(radius / most), most) / most);
  }
  const findings = corners.flatMap((corner, i): Finding[] =>
    radii[i] === asked[i]
      ? []
      : [
          {
            code: 'corner-radius-lowered',
            severity: 'warning',
            message: `Area "${area.id}", corner ${i} at (${corner.at.x.toFixed(2)}, ${corner.at.y.toFixed(2)}): a radius of ${asked[i]} mm does not fit; ${radii[i]!.toFixed(3)} mm was used.`,
            hint: `Ask for ${floor3(radii[i]!)} mm or less.`,
            at: corner.at,
            areas: [area.id],
            figureMm: radii[i]!,
          },
        ],
  );
  return { radii, findings };
}

function floor3(value: number): number {
  return Math.floor(value * 1000) / 1000;
}

/** Groups of corners (one, or two that share a segment) whose radii do not fit. */
function misfits(curves: readonly Curve[], corners: readonly Corner[], radii: readonly number[]): number[][] {
  const groups: number[][] = [];
  for (let index = 0; index < curves.length; index++) {
    const { segments } = curves[index]!;
    const cornerOf = new Map<number, number>();
    corners.forEach((corner, i) => {
      if (corner.curve === index) cornerOf.set(corner.segment, i);
    });
    const fillets = segments.map((segment, joint) => {
      const corner = cornerOf.get(joint);
      const radius = corner === undefined ? 0 : radii[corner]!;
      const before = segments[(joint + segments.length - 1) % segments.length]!;
      if (radius === 0 || turnAt(before, segment) === 0) return undefined;
      const arc = fillet(before, segment, radius);
      if (arc === undefined) groups.push([corner!]);
      return arc;
    });
    for (let i = 0; i < segments.length; i++) {
      const after = (i + 1) % segments.length;
      const start = fillets[i];
      const end = fillets[after];
      if (start && end && start.join > end.leave + 1e-9) {
        groups.push(i === after ? [cornerOf.get(i)!] : [cornerOf.get(i)!, cornerOf.get(after)!]);
      }
    }
  }
  return groups;
}

/** Radius per segment's start joint. */
function byJoint(
  curve: Curve,
  index: number,
  corners: readonly Corner[],
  radii: readonly number[],
): number[] {
  const out = curve.segments.map(() => 0);
  corners.forEach((corner, i) => {
    if (corner.curve === index) out[corner.segment] = radii[i]!;
  });
  return out;
}

function rounded(curve: Curve, radii: readonly number[]): Curve {
  const { segments } = curve;
  const count = segments.length;
  const fillets = segments.map((segment, i): Fillet | undefined =>
    radii[i]! > 0 ? fillet(segments[(i + count - 1) % count]!, segment, radii[i]!) : undefined,
  );
  if (fillets.every((arc) => arc === undefined)) return curve;
  const out: Segment[] = [];
  for (let i = 0; i < count; i++) {
    const start = fillets[i]?.join ?? 0;
    const end = fillets[(i + 1) % count]?.leave ?? 1;
    const segment = segments[i]!;
    const arc = fillets[i];
    const first = start === 0 ? segment.from : pointAt(segment, start);
    if (arc) {
      const before = segments[(i + count - 1) % count]!;
      const from = arc.leave === 1 ? before.to : pointAt(before, arc.leave);
      out.push({ kind: 'arc', from, to: first, centre: arc.centre, radius: radii[i]!, sweep: arc.sweep });
    }
    const kept = between(segment, start, end);
    if (kept) out.push(kept);
  }
  return { segments: joined(out) };
}

function between(segment: Segment, start: number, end: number): Segment | undefined {
  if (end - start <= 0) return undefined;
  const tail = start === 0 ? segment : splitSegment(segment, start)[1];
  const piece = end === 1 ? tail : splitSegment(tail, (end - start) / (1 - start))[0];
  const a = piece.from;
  const b = piece.to;
  if (piece.kind !== 'cubic' && Math.hypot(b.x - a.x, b.y - a.y) < SHORTEST) return undefined;
  return piece;
}

/** Makes each end bitwise the next start; they differ by rounding only. */
function joined(segments: readonly Segment[]): Segment[] {
  return segments.map((segment, i) => ({ ...segment, to: segments[(i + 1) % segments.length]!.from }));
}
