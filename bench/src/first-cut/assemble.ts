import type { Mosaic } from '@inlaywright/workshop';
import type { GeosPlane } from '../geos-plane.ts';
import type { PartPath } from './cut-paths.ts';
import { type Board, free } from './laser.ts';
import { FITS } from './maker.ts';
import type { Random } from './random.ts';
import { type Solid, solidOf } from './walls.ts';

export interface SeamTruth {
  readonly seam: string;
  /** Mean gap along the seam at the show face, mm. */
  readonly meanMm: number;
  /** Gaps that 2.5 % and 97.5 % of the length lie below, mm. */
  readonly lowMm: number;
  readonly highMm: number;
  /** Deepest interference anywhere between the two parts, mm. */
  readonly deepestMm: number;
  readonly fits: boolean;
}

const SAMPLE_MM = 0.2;
/** Interference deeper than this is not told apart: it is far past what a corner may have. */
const REACH_MM = 0.3;

/** Cuts the parts on their boards, puts them together and measures the true gaps at the show face. */
export function assemble(
  plane: GeosPlane,
  mosaic: Mosaic,
  paths: readonly PartPath[],
  boardOf: (tone: string) => Board,
  random: Random,
): SeamTruth[] {
  const solids = new Map<string, Solid>();
  for (const part of paths) {
    const walls = free(plane, part.path, boardOf(part.tone), random);
    // Turned over, the face where the beam left is the one that shows.
    solids.set(part.part, solidOf(part.turned ? walls.exit : walls.entry));
  }
  return mosaic.seams.map((seam) => {
    const [a, b] = [solids.get(seam.a), solids.get(seam.b)];
    if (!a || !b) return { seam: seam.id, meanMm: 1, lowMm: 1, highMm: 1, deepestMm: 0, fits: false };
    const gaps = seamPoints(seam.stretches)
      .map(([x, y]) => -(a.signedDistance(x, y) + b.signedDistance(x, y)))
      .sort((p, q) => p - q);
    const at = (share: number): number => gaps[Math.min(gaps.length - 1, Math.floor(share * gaps.length))]!;
    const meanMm = gaps.reduce((sum, gap) => sum + gap, 0) / gaps.length;
    const [lowMm, highMm] = [at(0.025), at(0.975)];
    const deepestMm = Math.max(deepest(a, b), deepest(b, a));
    const fits = lowMm >= FITS.min && highMm <= FITS.max && deepestMm <= FITS.corner;
    return { seam: seam.id, meanMm, lowMm, highMm, deepestMm, fits };
  });
}

function seamPoints(stretches: Mosaic['seams'][number]['stretches']): [number, number][] {
  const found: [number, number][] = [];
  for (const { points, closed } of stretches) {
    const count = points.length / 2;
    let left = SAMPLE_MM / 2;
    for (let i = 0; i < (closed ? count : count - 1); i++) {
      const j = (i + 1) % count;
      const [ax, ay, bx, by] = [points[2 * i]!, points[2 * i + 1]!, points[2 * j]!, points[2 * j + 1]!];
      const length = Math.hypot(bx - ax, by - ay);
      for (; left <= length; left += SAMPLE_MM) {
        found.push([ax + ((bx - ax) * left) / length, ay + ((by - ay) * left) / length]);
      }
      left -= length;
    }
  }
  return found;
}

/** How deep the wall of one solid reaches into another. */
function deepest(wall: Solid, other: Solid): number {
  let depth = 0;
  for (const ring of wall.polygons.flat()) {
    for (let i = 0; i < ring.length; i += 2) {
      depth = Math.max(depth, other.depth(ring[i]!, ring[i + 1]!, REACH_MM));
    }
  }
  return depth;
}
