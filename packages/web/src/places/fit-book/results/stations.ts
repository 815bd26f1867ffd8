/** The stations of a trial's form, in the order of the work at the bench: the steps, the sizes, then board and notes. */
import type { TrialBody } from '@inlaywright/formats';
import type { Grade } from '@inlaywright/workshop';
import {
  type EntryKey,
  entriesOf,
  partsOf,
  type Reading,
  type SizePart,
  sizeKey,
  stepKey,
} from '../../../workspace/trial-entries.ts';

export type Station =
  | {
      readonly kind: 'step';
      readonly key: EntryKey;
      readonly step: number;
      readonly allowanceMm: number;
      readonly grade: Grade | undefined;
    }
  | {
      readonly kind: 'size';
      readonly key: EntryKey;
      readonly reading: Reading;
      readonly part: SizePart;
      readonly values: readonly number[];
      /** Mark on the coupon and size in short: `G x`, `X`. */
      readonly mark: string;
    }
  | { readonly kind: 'board'; readonly key: 'board' };

export function stationsOf(body: TrialBody): readonly Station[] {
  const entries = entriesOf(body);
  const steps = body.trial.steps.map(
    ({ step, allowanceMm, grade }): Station => ({
      kind: 'step',
      key: stepKey(step),
      step,
      allowanceMm,
      grade,
    }),
  );
  const seen = new Map<string, number>();
  const sizes = body.trial.readings.flatMap((reading) => {
    const same = `${reading.kind}:${reading.axis}:${reading.face}`;
    const count = (seen.get(same) ?? 0) + 1;
    seen.set(same, count);
    const suffix = count === 1 ? '' : `#${count}`;
    return partsOf(reading).map((part): Station => {
      const key = sizeKey(reading, part) + suffix;
      const mark = part === 'slats' ? reading.axis.toUpperCase() : `G ${reading.axis}`;
      return {
        kind: 'size',
        key,
        reading,
        part,
        values: (entries.get(key) as readonly number[]) ?? [],
        mark,
      };
    });
  });
  return [...steps, ...sizes, { kind: 'board', key: 'board' }];
}

export function isFilled(station: Station): boolean {
  if (station.kind === 'step') return station.grade !== undefined;
  return station.kind === 'size' && station.values.length > 0;
}

/** Where to go on: the first station that holds nothing yet, the last one where all do. */
export function firstOpen(stations: readonly Station[]): number {
  const index = stations.findIndex((station) => !isFilled(station));
  return index === -1 ? stations.length - 1 : index;
}

/** Which face of the coupon lies up for a reading. */
export function faceWords(face: Reading['face']): string {
  return face === 'entry' ? 'where the beam enters' : 'where the beam leaves';
}

export function sizeName(reading: Reading, part: SizePart): string {
  if (part === 'slats') return `Slats ${reading.axis.toUpperCase()}`;
  return part === 'hole' ? 'Gauge, hole' : 'Gauge, plug';
}
