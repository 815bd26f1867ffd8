import {
  type Curve,
  flattenCurve,
  type Point,
  regionArea,
  regionFromRings,
  ringArea,
  type Segment,
  tangentAt,
} from '@inlaywright/geometry';

/** Seeded numbers in 0..1 (mulberry32, public domain). */
export function randomNumbers(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** An arc from one point to another whose middle stands `bulge` chord lengths to the left of the chord. */
export function bulgedEdge(from: Point, to: Point, bulge: number): Segment {
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const chord = Math.hypot(dx, dy);
  if (Math.abs(bulge) < 1e-3) return { kind: 'line', from, to };
  const rise = bulge * chord;
  // r from the sagitta: (c/2)^2 = rise (2 r - rise).
  const signedRadius = (chord * chord) / 8 / rise + rise / 2;
  const away = rise - signedRadius;
  const centre = {
    x: (from.x + to.x) / 2 - (away * dy) / chord,
    y: (from.y + to.y) / 2 + (away * dx) / chord,
  };
  const sweep = -4 * Math.atan(2 * bulge);
  return { kind: 'arc', from, to, centre, radius: Math.abs(signedRadius), sweep };
}

/** A star-shaped outline of lines and arcs with sharp corners of every kind; null when its edges happen to cross. */
export function randomOutline(
  random: () => number,
  radius: number,
  centre: Point = { x: 0, y: 0 },
): Curve | null {
  const n = 5 + Math.floor(random() * 9);
  const points = Array.from({ length: n }, (_, i) => {
    const angle = ((i + 0.3 * random()) / n) * 2 * Math.PI;
    const r = radius * (0.45 + 0.55 * random());
    return { x: centre.x + r * Math.cos(angle), y: centre.y + r * Math.sin(angle) };
  });
  const segments = points.map((from, i) =>
    bulgedEdge(from, points[(i + 1) % n]!, random() < 0.5 ? 0 : (random() - 0.5) * 0.5),
  );
  const curve = { segments };
  // Corners that turn almost straight back may cross within any flattening.
  const sharp = segments.some((segment, i) => {
    const p = tangentAt(segments[(i + n - 1) % n]!, 1);
    const q = tangentAt(segment, 0);
    return p.x * q.x + p.y * q.y < -0.97;
  });
  // A union takes overlaps away: edges that cross change the area.
  const ring = flattenCurve(curve);
  const crosses = Math.abs(regionArea(regionFromRings([ring], 'nonzero')) - ringArea(ring)) > 1e-5;
  return sharp || crosses ? null : curve;
}
