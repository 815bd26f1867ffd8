/**
 * Seams and rims: the boundary of every part, cut where its neighbour changes. Each edge of the partition has one face
 * on either side, so a seam has exactly two parts and every bit of boundary is in one seam or one rim.
 */
import { type Boundaries, isPassedThrough } from './boundaries.ts';
import { type FaceGraph, originOf } from './face-graph.ts';
import type { Rim, Seam, Stretch } from './model.ts';
import { NM_PER_MM } from './noding.ts';

export interface NumberedPart {
  readonly id: string;
  /** Cycle numbers of its boundary. */
  readonly cycles: readonly number[];
}

/** @param partOf per walk, index into `parts`, or -1 where there is no part */
export function seamsAndRims(
  graph: FaceGraph,
  boundaries: Boundaries,
  parts: readonly NumberedPart[],
  partOf: Int32Array,
): { seams: Seam[]; rims: Rim[] } {
  const { edges, walk } = graph;
  const seams = new Map<number, { a: number; b: number; stretches: Stretch[] }>();
  const rims: Rim[] = [];
  for (let part = 0; part < parts.length; part++) {
    const rim: Stretch[] = [];
    for (const cycle of parts[part]!.cycles) {
      const halves = boundaries.cycleHalf.subarray(
        boundaries.cycleStart[cycle]!,
        boundaries.cycleStart[cycle + 1]!,
      );
      const count = halves.length;
      const neighbour = (i: number): number => partOf[walk[halves[i]! ^ 1]!]!;
      let first = 0;
      while (first < count && neighbour(first) === neighbour((first + count - 1) % count)) first++;
      const closed = first === count;
      if (closed) first = 0;
      for (let done = 0; done < count; ) {
        const other = neighbour((first + done) % count);
        let length = 1;
        while (done + length < count && neighbour((first + done + length) % count) === other) length++;
        // The neighbour with the lower number has or will have the same stretch on its left.
        if (other < 0 || other > part) {
          const stretch = toStretch(halves, first + done, length, closed);
          if (other < 0) rim.push(stretch);
          else {
            const key = part * parts.length + other;
            const seam = seams.get(key);
            if (seam) seam.stretches.push(stretch);
            else seams.set(key, { a: part, b: other, stretches: [stretch] });
          }
        }
        done += length;
      }
    }
    if (rim.length > 0) rims.push({ part: parts[part]!.id, stretches: rim, lengthMm: totalLength(rim) });
  }
  const ordered = [...seams.values()].sort((p, q) => p.a - q.a || p.b - q.b);
  return {
    seams: ordered.map(({ a, b, stretches }) => ({
      id: `${parts[a]!.id}-${parts[b]!.id}`,
      a: parts[a]!.id,
      b: parts[b]!.id,
      stretches,
      lengthMm: totalLength(stretches),
    })),
    rims,
  };

  function toStretch(halves: Int32Array, first: number, length: number, closed: boolean): Stretch {
    const count = halves.length;
    const points: number[] = [];
    for (let i = 0; i < length; i++) {
      const half = halves[(first + i) % count]!;
      const before = halves[(first + i + count - 1) % count]!;
      const mayPass = closed || i > 0;
      if (mayPass && isPassedThrough(edges, boundaries.degree, before, half)) continue;
      const v = originOf(edges, half);
      points.push(edges.x[v]! / NM_PER_MM, edges.y[v]! / NM_PER_MM);
    }
    if (!closed) {
      const v = originOf(edges, halves[(first + length - 1) % count]! ^ 1);
      points.push(edges.x[v]! / NM_PER_MM, edges.y[v]! / NM_PER_MM);
    }
    return { points: Float64Array.from(points), closed };
  }
}

/** Length of stretches, mm. */
export function totalLength(stretches: readonly Stretch[]): number {
  let sum = 0;
  for (const { points, closed } of stretches) {
    for (let i = 2; i < points.length; i += 2) {
      sum += Math.hypot(points[i]! - points[i - 2]!, points[i + 1]! - points[i - 1]!);
    }
    const n = points.length;
    if (closed) sum += Math.hypot(points[0]! - points[n - 2]!, points[1]! - points[n - 1]!);
  }
  return sum;
}
