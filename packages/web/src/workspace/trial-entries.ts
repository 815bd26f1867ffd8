/**
 * A trial as a set of entries that are typed in one by one: a grade of a step, the readings of a size, a note. Two
 * devices' versions of a trial are compared and joined entry by entry. Pure data, no React.
 */
import type { TrialBody, TrialFile } from '@inlaywright/formats';
import type { Grade } from '@inlaywright/workshop';

export type Reading = TrialFile['readings'][number];
/** Which list of readings of a size. */
export type SizePart = 'hole' | 'plug' | 'slats';

/** Names an entry: `step:4`, `size:two-face:x:entry:hole`, `field:date`. */
export type EntryKey = string;

const FIELDS = ['date', 'thicknessMm', 'turned', 'caliper'] as const;
type Field = (typeof FIELDS)[number];

export function stepKey(step: number): EntryKey {
  return `step:${step}`;
}

export function sizeKey(reading: Pick<Reading, 'kind' | 'axis' | 'face'>, part: SizePart): EntryKey {
  return `size:${reading.kind}:${reading.axis}:${reading.face}:${part}`;
}

export function partsOf(reading: Reading): readonly SizePart[] {
  return reading.kind === 'slats' ? ['slats'] : ['hole', 'plug'];
}

export function valuesOf(reading: Reading, part: SizePart): readonly number[] {
  if (reading.kind === 'slats') return reading.measuredMm;
  return part === 'hole' ? reading.holeMm : reading.plugMm;
}

/** Every entry of a trial that holds something. A second reading of the same kind, axis and face is counted up. */
export function entriesOf(body: TrialBody): ReadonlyMap<EntryKey, unknown> {
  const entries = new Map<EntryKey, unknown>();
  const { trial } = body;
  for (const { step, grade } of trial.steps) if (grade !== undefined) entries.set(stepKey(step), grade);
  for (const [reading, suffix] of numbered(trial.readings)) {
    for (const part of partsOf(reading)) {
      const values = valuesOf(reading, part);
      if (values.length > 0) entries.set(sizeKey(reading, part) + suffix, values);
    }
  }
  for (const field of FIELDS) if (trial[field] !== undefined) entries.set(`field:${field}`, trial[field]);
  entries.set('name', body.name);
  entries.set('notes', body.notes);
  if (body.sheet !== undefined) entries.set('sheet', body.sheet);
  return entries;
}

function numbered(readings: readonly Reading[]): readonly (readonly [Reading, string])[] {
  const seen = new Map<string, number>();
  return readings.map((reading) => {
    const key = `${reading.kind}:${reading.axis}:${reading.face}`;
    const count = (seen.get(key) ?? 0) + 1;
    seen.set(key, count);
    return [reading, count === 1 ? '' : `#${count}`] as const;
  });
}

/** The trial with one entry changed; `undefined` empties it. An entry that the trial has no place for changes nothing. */
export function withEntry(body: TrialBody, key: EntryKey, value: unknown): TrialBody {
  if (key === 'name') return { ...body, name: String(value) };
  if (key === 'notes') return { ...body, notes: String(value ?? '') };
  if (key === 'sheet') {
    const { sheet: _, ...rest } = body;
    return value === undefined ? rest : { ...rest, sheet: String(value) };
  }
  const { trial } = body;
  if (key.startsWith('step:')) {
    const wanted = Number(key.slice(5));
    const steps = trial.steps.map((one) => {
      if (one.step !== wanted) return one;
      const { grade: _, ...rest } = one;
      return value === undefined ? rest : { ...rest, grade: value as Grade };
    });
    return { ...body, trial: { ...trial, steps } };
  }
  if (key.startsWith('size:')) {
    const suffixed = new Map(numbered(trial.readings));
    const readings = trial.readings.map((reading): Reading => {
      for (const part of partsOf(reading)) {
        if (sizeKey(reading, part) + suffixed.get(reading) !== key) continue;
        const values = [...((value as readonly number[] | undefined) ?? [])];
        if (reading.kind === 'slats') return { ...reading, measuredMm: values };
        return part === 'hole' ? { ...reading, holeMm: values } : { ...reading, plugMm: values };
      }
      return reading;
    });
    return { ...body, trial: { ...trial, readings } };
  }
  const field = key.slice('field:'.length) as Field;
  const { [field]: _, ...rest } = trial;
  // The schema gives `turned` and `caliper` a value wherever they are left out, so they are never emptied here.
  return { ...body, trial: (value === undefined ? rest : { ...rest, [field]: value }) as TrialFile };
}

/** Entries in which two versions differ. */
export function differing(a: TrialBody, b: TrialBody): readonly EntryKey[] {
  const [left, right] = [entriesOf(a), entriesOf(b)];
  return [...new Set([...left.keys(), ...right.keys()])].filter(
    (key) => JSON.stringify(left.get(key)) !== JSON.stringify(right.get(key)),
  );
}

export interface Joined {
  /** Theirs with my changes on top. */
  readonly body: TrialBody;
  /** What I changed and what they changed since the version that both started from. */
  readonly mine: readonly EntryKey[];
  readonly theirs: readonly EntryKey[];
  /** Entries that both changed, differently. */
  readonly both: readonly EntryKey[];
}

/** Joins two versions that grew from `base`. `keepTheirs` names entries changed by both of which theirs is kept. */
export function join(
  base: TrialBody,
  mine: TrialBody,
  theirs: TrialBody,
  keepTheirs: ReadonlySet<EntryKey> = new Set(),
): Joined {
  const changedMine = differing(base, mine);
  const changedTheirs = differing(base, theirs);
  const apart = new Set(differing(mine, theirs));
  const both = changedMine.filter((key) => changedTheirs.includes(key) && apart.has(key));
  const entries = entriesOf(mine);
  let body = theirs;
  for (const key of changedMine) {
    if (both.includes(key) && keepTheirs.has(key)) continue;
    body = withEntry(body, key, entries.get(key));
  }
  return { body, mine: changedMine, theirs: changedTheirs, both };
}

/** What an entry is called on the screen. */
export function entryName(key: EntryKey): string {
  if (key.startsWith('step:')) return `Step ${key.slice(5)}`;
  if (key.startsWith('size:')) {
    const [, , axis, face, part = ''] = key.split(':');
    const [name, again] = part.split('#');
    const what = name === 'slats' ? 'Slats' : name === 'hole' ? 'Gauge hole' : 'Gauge plug';
    return `${what} across ${axis}, ${face === 'entry' ? 'face the beam enters' : 'face it leaves'}${again ? ` (${again})` : ''}`;
  }
  return (
    {
      name: 'Name',
      notes: 'Notes',
      sheet: 'Board',
      'field:date': 'Day',
      'field:thicknessMm': 'Thickness',
      'field:turned': 'Turned',
      'field:caliper': 'Caliper',
    }[key] ?? key
  );
}

/** An entry's value in words; empty where it holds nothing. */
export function entryText(body: TrialBody, key: EntryKey): string {
  const value = entriesOf(body).get(key);
  if (value === undefined || value === '') return 'nothing';
  if (Array.isArray(value)) return `${value.map((mm: number) => mm.toFixed(2)).join(', ')} mm`;
  if (typeof value === 'number') return `${value} mm`;
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (typeof value === 'object') return JSON.stringify(value);
  return String(value);
}

/** How far a trial is filled in. */
export interface Progress {
  readonly graded: number;
  readonly steps: number;
  readonly sizesRead: number;
  readonly sizes: number;
}

export function progressOf(trial: TrialFile): Progress {
  const sizes = trial.readings.flatMap((reading) => partsOf(reading).map((part) => valuesOf(reading, part)));
  return {
    graded: trial.steps.filter(({ grade }) => grade !== undefined).length,
    steps: trial.steps.length,
    sizesRead: sizes.filter((values) => values.length > 0).length,
    sizes: sizes.length,
  };
}

/** Whether there is anything to weigh: a graded step, or a reading with all of its sizes. */
export function hasResult(trial: TrialFile): boolean {
  return (
    trial.steps.some(({ grade }) => grade !== undefined) ||
    trial.readings.some((reading) => partsOf(reading).every((part) => valuesOf(reading, part).length > 0))
  );
}
