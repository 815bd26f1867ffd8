import { fitCurve } from '@inlaywright/geometry';
import type { Stretch } from '../mosaic/model.ts';
import type { PathSegment } from './beam-path-segments.ts';

const fitted = new WeakMap<Stretch, readonly PathSegment[]>();

/** A stretch of the mosaic as lines and arcs. */
export function fittedStretch(stretch: Stretch): readonly PathSegment[] {
  let segments = fitted.get(stretch);
  if (!segments) {
    segments = fit(stretch);
    fitted.set(stretch, segments);
  }
  return segments;
}

function fit({ points, closed }: Stretch): readonly PathSegment[] {
  if (closed) return fitCurve(points, { tolerance: 0.001 }).segments as PathSegment[];
  const ps: { x: number; y: number }[] = [];
  for (let i = 0; i < points.length; i += 2) ps.push({ x: points[i]!, y: points[i + 1]! });
  return ps.slice(1).map((to, i) => ({ kind: 'line', from: ps[i]!, to }));
}
