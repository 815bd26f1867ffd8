/**
 * The widest and the narrowest gap of a seam lie between stations as a rule. Around the station that leads, at each
 * depth, the step is halved again and again, always towards the better side: on smooth walls the gap has one extreme
 * between two stations there. What is found becomes a sample that counts for the extremes only.
 */
import { type Facing, gapAtStation, type SeamSamples, takeStation } from './seam-samples.ts';
import { stationAtCorner, turnAt } from './stations.ts';
import { neighbourSegment, stationOn, type WrittenPath } from './written-path.ts';

/** Halvings of the step: 0.25 mm becomes 4 um, over which a gap changes by less than a nanometre at an extreme. */
const HALVINGS = 6;
/** A sample more is worth it from this much, mm. */
const WORTH_MM = 0.00001;

const station = new Float64Array(5);

/** @param depths at how many depths to look, from the show face on; where all are alike one will do */
export function refineExtremes(samples: SeamSamples, depths: 1 | 3, facingOf: (run: number) => Facing): void {
  const stations = samples.count;
  for (let depth = 0; depth < depths; depth++) {
    for (const sign of [1, -1]) {
      const gaps = samples.gaps[depth]!;
      let lead = 0;
      for (let i = 1; i < stations; i++) if (sign * gaps[i]! > sign * gaps[lead]!) lead = i;
      const facing = facingOf(samples.run[lead]!);
      const segment = samples.segment[lead]!;
      const t = samples.t[lead]!;
      const step = samples.step[lead]!;
      const start = { depth, sign, gap: sign * gaps[lead]!, nearEnd: samples.nearEnd[lead] === 1 };
      climb(samples, start, samples.run[lead]!, facing, segment, t, step);
      // A station at a joint has another segment beside it.
      const step1 = Math.min(1, step);
      if (segment >= 0 && t === 1) {
        climb(
          samples,
          start,
          samples.run[lead]!,
          facing,
          neighbourSegment(facing.part.path, segment, 1),
          0,
          step1,
        );
      } else if (segment >= 0 && t === 0) {
        climb(
          samples,
          start,
          samples.run[lead]!,
          facing,
          neighbourSegment(facing.part.path, segment, -1),
          1,
          step1,
        );
      }
    }
  }
}

interface Start {
  readonly depth: number;
  /** +1 looks for the widest gap, -1 for the narrowest. */
  readonly sign: number;
  /** The gap to beat, times the sign, mm. */
  readonly gap: number;
  readonly nearEnd: boolean;
}

function climb(
  samples: SeamSamples,
  start: Start,
  run: number,
  facing: Facing,
  segment: number,
  from: number,
  stride: number,
): void {
  const { path } = facing.part;
  const first = segment < 0 ? turnAt(path, ~segment) : 0;
  const last = segment < 0 ? 0 : 1;
  let best = start.gap;
  let t = from;
  let step = stride / 2;
  for (let k = 0; k < HALVINGS; k++) {
    let better = t;
    for (const candidate of [t - step, t + step]) {
      if (candidate < first || candidate > last) continue;
      stand(path, segment, candidate);
      const gap = start.sign * gapAtStation(facing, station, start.depth, start.nearEnd);
      if (gap > best) {
        best = gap;
        better = candidate;
      }
    }
    t = better;
    step /= 2;
  }
  if (best < start.gap + WORTH_MM) return;
  stand(path, segment, t);
  const slot = takeStation(samples, run, facing, station, start.nearEnd);
  samples.segment[slot] = segment;
  samples.t[slot] = t;
}

function stand(path: WrittenPath, segment: number, t: number): void {
  station[4] = 1;
  if (segment < 0) stationAtCorner(path, ~segment, t, station);
  else stationOn(path, segment, t, station);
}
