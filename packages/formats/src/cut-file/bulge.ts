import type { ArcSegment, Point } from '@inlaywright/geometry';

/**
 * Bulges of DXF polylines: b = tan(sweep / 4), positive counter-clockwise from start to end, 1 for a half turn (DXF
 * Reference, VERTEX and LWPOLYLINE, group 42). They are written in whole units of 1e-12.
 */
const UNITS = 1e12;

/** The written bulge of an arc in its units. */
export function bulgeUnits(sweep: number): number {
  return Math.round(Math.tan(sweep / 4) * UNITS);
}

export function bulgeOf(sweep: number): number {
  return bulgeUnits(sweep) / UNITS;
}

/**
 * The arc from `from` to `to` with bulge b. With chord c its radius is c (1 + b^2) / (4 |b|), and its centre lies
 * (1 - b^2) / (4 b) chords to the left of the middle of the chord.
 */
export function bulgeArc(from: Point, to: Point, bulge: number): ArcSegment {
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const left = (1 - bulge * bulge) / (4 * bulge);
  return {
    kind: 'arc',
    from,
    to,
    centre: { x: (from.x + to.x) / 2 - left * dy, y: (from.y + to.y) / 2 + left * dx },
    radius: (Math.hypot(dx, dy) * (1 + bulge * bulge)) / (4 * Math.abs(bulge)),
    sweep: 4 * Math.atan(bulge),
  };
}
