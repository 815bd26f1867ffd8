import { GeometryError } from './errors.ts';
import type { Region, Ring } from './region.ts';

/**
 * The region with fewer vertices: a subset of its own, boundary within `tolerance` of the old one both ways.
 * @throws GeometryError bad-tolerance
 */
export function simplifyRegion(region: Region, tolerance: number): Region {
  if (!(tolerance >= 0 && Number.isFinite(tolerance))) {
    throw new GeometryError(
      'bad-tolerance',
      `The tolerance is ${tolerance}; it must be a number of 0 or more.`,
      {
        tolerance,
      },
    );
  }
  return { rings: region.rings.map((ring) => simplifyRing(ring, tolerance)) };
}

function simplifyRing(ring: Ring, tolerance: number): Ring {
  const n = ring.length / 2;
  if (n < 4) return ring;
  const keep = new Uint8Array(n + 1);
  let far = 0;
  let best = -1;
  for (let i = 1; i < n; i++) {
    const d = Math.hypot(ring[2 * i]! - ring[0]!, ring[2 * i + 1]! - ring[1]!);
    if (d > best) {
      best = d;
      far = i;
    }
  }
  keep[0] = keep[far] = keep[n] = 1;
  const stack = [0, far, far, n];
  while (stack.length > 0) {
    const to = stack.pop()!;
    const from = stack.pop()!;
    let worst = tolerance;
    let at = -1;
    for (let i = from + 1; i < to; i++) {
      const d = segmentDistance(ring, i, from, to % n);
      if (d > worst) {
        worst = d;
        at = i;
      }
    }
    if (at < 0) continue;
    keep[at] = 1;
    stack.push(from, at, at, to);
  }
  const out: number[] = [];
  for (let i = 0; i < n; i++) if (keep[i]) out.push(ring[2 * i]!, ring[2 * i + 1]!);
  return out.length < 6 ? ring : Float64Array.from(out);
}

function segmentDistance(ring: Ring, p: number, a: number, b: number): number {
  const ax = ring[2 * a]!;
  const ay = ring[2 * a + 1]!;
  const dx = ring[2 * b]! - ax;
  const dy = ring[2 * b + 1]! - ay;
  const px = ring[2 * p]! - ax;
  const py = ring[2 * p + 1]! - ay;
  const length2 = dx * dx + dy * dy;
  const t = length2 > 0 ? Math.max(0, Math.min(1, (px * dx + py * dy) / length2)) : 0;
  return Math.hypot(px - t * dx, py - t * dy);
}
