import type { GapSample, Stretch } from '@inlaywright/workshop';
import { type GapClassId, gapClass } from './gap-class.ts';
import type { Face, Place, SeamRun } from './model.ts';
import { placesPath } from './path-data.ts';

/** Longest piece of a drawn seam between two looks at the gap, mm: the dry fit's own step. */
const STEP_MM = 0.25;
/** Corners of a seam's line closer than this to the chord are left out, mm; below a pixel at 60 px to the mm. */
const CHORD_MM = 0.004;

/** A line of a seam in the model's frame, close enough together for its colours. */
export type SeamLine = readonly { readonly x: number; readonly y: number }[];

/** The lines of a seam: its stretches without superfluous points, and with points where there are too few. */
export function seamLines(stretches: readonly Stretch[]): readonly SeamLine[] {
  return stretches.map((stretch) => {
    const corners: { x: number; y: number }[] = [];
    const { points } = stretch;
    for (let i = 0; i + 1 < points.length; i += 2) corners.push({ x: points[i]!, y: points[i + 1]! });
    if (stretch.closed && corners.length > 0) corners.push(corners[0]!);
    return divided(thinned(corners));
  });
}

/** Drops points as long as every one dropped lies within CHORD_MM of the chord that replaces it. */
function thinned(points: SeamLine): SeamLine {
  const kept = points.slice(0, 1);
  let from = 0;
  while (from < points.length - 1) {
    let to = from + 1;
    while (to + 1 < points.length && within(points, from, to + 1)) to++;
    kept.push(points[to]!);
    from = to;
  }
  return kept;
}

/** No chord is longer than this many points, so that the work stays linear. */
const MOST_POINTS = 40;

function within(points: SeamLine, from: number, to: number): boolean {
  if (to - from > MOST_POINTS) return false;
  const a = points[from]!;
  const b = points[to]!;
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  if (length === 0) return false;
  for (let i = from + 1; i < to; i++) {
    const p = points[i]!;
    const off = Math.abs((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / length;
    if (off > CHORD_MM) return false;
  }
  return true;
}

function divided(points: SeamLine): SeamLine {
  const out: { x: number; y: number }[] = points.slice(0, 1);
  for (let i = 1; i < points.length; i++) {
    const a = points[i - 1]!;
    const b = points[i]!;
    const pieces = Math.max(1, Math.ceil(Math.hypot(b.x - a.x, b.y - a.y) / STEP_MM));
    for (let j = 1; j <= pieces; j++) {
      out.push({ x: a.x + ((b.x - a.x) * j) / pieces, y: a.y + ((b.y - a.y) * j) / pieces });
    }
  }
  return out;
}

/** For each point of each line, the sample of the dry fit that lies nearest. */
export function nearestSamples(
  lines: readonly SeamLine[],
  samples: readonly GapSample[],
): readonly (readonly GapSample[])[] {
  if (samples.length === 0) return [];
  const cells = new Map<string, GapSample[]>();
  const cellOf = (value: number): number => Math.floor(value / (2 * STEP_MM));
  for (const sample of samples) {
    const key = `${cellOf(sample.at.x)} ${cellOf(sample.at.y)}`;
    const cell = cells.get(key);
    if (cell) cell.push(sample);
    else cells.set(key, [sample]);
  }
  return lines.map((line) =>
    line.map((point) => {
      const near: GapSample[] = [];
      for (let dx = -1; dx <= 1; dx++) {
        for (let dy = -1; dy <= 1; dy++) {
          near.push(...(cells.get(`${cellOf(point.x) + dx} ${cellOf(point.y) + dy}`) ?? []));
        }
      }
      return nearest(point, near.length > 0 ? near : samples);
    }),
  );
}

function nearest(
  point: { readonly x: number; readonly y: number },
  samples: readonly GapSample[],
): GapSample {
  let best = samples[0]!;
  let least = Number.POSITIVE_INFINITY;
  for (const sample of samples) {
    const d = (sample.at.x - point.x) ** 2 + (sample.at.y - point.y) ** 2;
    if (d < least) {
      least = d;
      best = sample;
    }
  }
  return best;
}

const READ: Readonly<Record<Face, (sample: GapSample) => number>> = {
  show: (sample) => sample.showMm,
  middle: (sample) => sample.middleMm,
  back: (sample) => sample.backMm,
};

/** Stretches of a seam whose gap is of one class at a face, as path data; a class changes half-way between points. */
export function seamRuns(
  lines: readonly SeamLine[],
  samples: readonly (readonly GapSample[])[],
  face: Face,
): readonly SeamRun[] {
  const paths = new Map<GapClassId, string>();
  lines.forEach((line, l) => {
    let places: Place[] = [];
    let current: GapClassId | null = null;
    const finish = (): void => {
      if (current !== null) paths.set(current, (paths.get(current) ?? '') + placesPath(places));
    };
    line.forEach((point, i) => {
      const sample = samples[l]?.[i];
      if (!sample) return;
      const place = { x: point.x, y: -point.y };
      const next = gapClass(READ[face](sample)).id;
      if (next !== current) {
        const before = line[i - 1];
        const half = before ? { x: (before.x + point.x) / 2, y: -(before.y + point.y) / 2 } : place;
        if (before) places.push(half);
        finish();
        places = before ? [half] : [];
        current = next;
      }
      places.push(place);
    });
    finish();
  });
  return [...paths].map(([id, path]) => ({ gapClass: id, path }));
}
