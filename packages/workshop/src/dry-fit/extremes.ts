/**
 * The widest and the narrowest gap of a seam lie between stations as a rule. Around the station that leads, at each
 * depth, the step is halved again and again, always towards the better side: on smooth walls the gap has one extreme
 * between two stations there. What is found becomes a sample that counts for the extremes only.
 */
import { type Facing, gapAtStation, type SeamSamples, takeStation, WEIGHTLESS } from './seam-samples.ts';
import { stationAtCorner, turnAt } from './stations.ts';
import { stationOn, type WrittenPath } from './written-path.ts';

/** Halvings of the step: 0.25 mm becomes 4 um, over which a gap changes by less than a nanometre at an extreme. */
const HALVINGS = 6;
/** A sample more is worth it from this much, mm. */
const WORTH_MM = 0.00001;

const station = new Float64Array(4);

export function refineExtremes(samples: SeamSamples, facingOf: (run: number) => Facing): void {
  const stations = samples.count;
  for (let depth = 0; depth < 3; depth++) {
    for (const sign of [1, -1]) {
      const gaps = samples.gaps[depth]!;
      let lead = 0;
      for (let i = 1; i < stations; i++) if (sign * gaps[i]! > sign * gaps[lead]!) lead = i;
      climb(samples, lead, depth, sign, facingOf(samples.run[lead]!));
    }
  }
}

function climb(samples: SeamSamples, lead: number, depth: number, sign: number, facing: Facing): void {
  const { path } = facing.part;
  const segment = samples.segment[lead]!;
  const nearEnd = samples.nearEnd[lead] === 1;
  const first = segment < 0 ? turnAt(path, ~segment) : 0;
  const last = segment < 0 ? 0 : 1;
  const start = sign * samples.gaps[depth]![lead]!;
  let best = start;
  let t = samples.t[lead]!;
  let step = samples.step[lead]! / 2;
  for (let k = 0; k < HALVINGS; k++) {
    let better = t;
    for (const candidate of [t - step, t + step]) {
      if (candidate < first || candidate > last) continue;
      stand(path, segment, candidate);
      const gap = sign * gapAtStation(facing, station, depth, nearEnd);
      if (gap > best) {
        best = gap;
        better = candidate;
      }
    }
    t = better;
    step /= 2;
  }
  if (best < start + WORTH_MM) return;
  stand(path, segment, t);
  const slot = takeStation(samples, samples.run[lead]!, facing, station, nearEnd);
  samples.segment[slot] = segment;
  samples.t[slot] = t;
  for (const weights of samples.weights) weights[slot] = WEIGHTLESS;
}

function stand(path: WrittenPath, segment: number, t: number): void {
  if (segment < 0) stationAtCorner(path, ~segment, t, station);
  else stationOn(path, segment, t, station);
}
