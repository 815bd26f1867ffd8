import {
  BODY_SCHEMAS,
  type BodyOf,
  daysBetween,
  fitRecordFromFile,
  fitRecordToFile,
  judgeTrials,
  trialResults,
  type weighRequestSchema,
} from '@inlaywright/formats';
import { type Evidence, outcomeEvidence, weightOfAge } from '@inlaywright/workshop';
import type { z } from 'zod';
import { WorkspaceError } from '../errors.ts';
import { draftOf, type RecordKey, recordInForce } from '../kinds.ts';
import { noSuch, type OnceKey, type Saved, type Store, type Stored } from '../storage/store.ts';

type TrialStored = { readonly stored: Stored; readonly body: BodyOf<'trials'> };
type OutcomeStored = { readonly stored: Stored; readonly body: BodyOf<'outcomes'> };

/**
 * Weighs the trials and outcomes of a machine, stock and setting, and stores the result as the record in force. The
 * newest trial counts whole; earlier trials and outcomes count less by their age before it (docs/fit-trials.md).
 * @throws WorkspaceError nothing-to-weigh, no-such-document; FormatError trial-undated, trial-empty
 */
export function weigh(
  store: Store,
  request: z.output<typeof weighRequestSchema>,
  now: Date,
  once: OnceKey | undefined,
): Saved {
  const preferences = BODY_SCHEMAS.preferences.parse(
    JSON.parse(store.get('preferences', 'workshop')!.content),
  );
  const grade = request.grade ?? preferences.grade;
  const trials = trialsOf(store, request);
  const newest = trials.at(-1);
  if (!newest) {
    throw new WorkspaceError(
      'nothing-to-weigh',
      `The fit book has no trial of ${request.machine}, ${request.stock} and ${request.setting}.`,
      { where: 'trials', hint: 'Cut a coupon, type its results in, and store them as a trial first.' },
    );
  }
  const outcomes = outcomesOf(store, request);
  const judged = judgeTrials(named(newest), {
    grade,
    halfLifeDays: preferences.halfLifeDays,
    older: trials.slice(0, -1).map(named),
    outcomes: outcomes.map((outcome) => evidenceOfOutcome(store, outcome, newest, preferences.halfLifeDays)),
  });
  const { machine, stock, setting } = request;
  const thicknessMm = newest.body.trial.thicknessMm;
  const days = [newest.body.trial.date, ...outcomes.map(({ body }) => body.date)].filter(
    (day) => day !== undefined,
  );
  const measuredOn = days.sort().at(-1);
  const supersedes = recordInForce(store, request)?.id;
  const body = BODY_SCHEMAS.records.parse({
    name: `${newest.body.name}, ${now.toISOString().slice(0, 10)}`.slice(0, 200),
    machine,
    stock,
    setting,
    grade,
    fit: fitRecordToFile(judged.record),
    intervals: {
      kerf: judged.kerf,
      scatter: judged.scatter,
      windows: judged.windows,
      probability: judged.probability,
    },
    words: judged.words,
    trials: trials.map(sourceOf),
    outcomes: outcomes.map(sourceOf),
    ...(thicknessMm === undefined ? {} : { thicknessMm }),
    ...(measuredOn === undefined ? {} : { measuredOn }),
    createdAt: now.toISOString(),
    ...(supersedes === undefined ? {} : { supersedes }),
    notes: request.notes,
  });
  return store.create(draftOf('records', body), { once });
}

function sourceOf({ stored }: { readonly stored: Stored }): { id: string; version: number } {
  return { id: stored.id, version: stored.version };
}

/** In the workspace trials belong together by their links; the names in their files are only words. */
function named({ stored, body }: TrialStored): { name: string; trial: BodyOf<'trials'>['trial'] } {
  return { name: stored.name, trial: { ...body.trial, machine: '', stock: '', setting: '' } };
}

/** Trials to weigh, the newest last; undated ones first. */
function trialsOf(store: Store, request: z.output<typeof weighRequestSchema>): TrialStored[] {
  const stored =
    request.trials === undefined
      ? store.list('trials', { where: keyOf(request) })
      : request.trials.map((id) => live(store, 'trials', id));
  const trials = stored.map((one) => ({
    stored: one,
    body: BODY_SCHEMAS.trials.parse(JSON.parse(one.content)),
  }));
  for (const { stored: one, body } of trials) refuseOther(one, body, request);
  // A coupon that was drawn and not yet tried tells nothing.
  const tried =
    request.trials === undefined
      ? trials.filter(({ body }) => {
          const { steps, readings } = trialResults(body.trial);
          return steps.length > 0 || readings.length > 0;
        })
      : trials;
  return tried.sort((a, b) => {
    const [x, y] = [a, b].map(({ stored: one, body }) => `${body.trial.date ?? ''} ${one.savedAt}`);
    return x! < y! ? -1 : 1;
  });
}

function outcomesOf(store: Store, request: z.output<typeof weighRequestSchema>): OutcomeStored[] {
  if (request.outcomes !== undefined) {
    return request.outcomes.map((id) => {
      const stored = live(store, 'outcomes', id);
      return { stored, body: BODY_SCHEMAS.outcomes.parse(JSON.parse(stored.content)) };
    });
  }
  // Also those of records that were put aside: the seams were pressed all the same.
  const records = store.list('records', { deleted: true, where: keyOf(request) });
  return records
    .flatMap((record) => store.list('outcomes', { where: { record: record.id } }))
    .map((stored) => ({ stored, body: BODY_SCHEMAS.outcomes.parse(JSON.parse(stored.content)) }));
}

function keyOf({ machine, stock, setting }: RecordKey): { machine: string; stock: string; setting: string } {
  return { machine, stock, setting };
}

function live(store: Store, kind: 'trials' | 'outcomes', id: string): Stored {
  const stored = store.get(kind, id);
  if (!stored || stored.deletedAt !== null) throw noSuch(kind, id);
  return stored;
}

function refuseOther(stored: Stored, body: BodyOf<'trials'>, key: RecordKey): void {
  for (const field of ['machine', 'stock', 'setting'] as const) {
    if (body[field] === key[field]) continue;
    throw new WorkspaceError(
      'nothing-to-weigh',
      `${stored.name} is of another ${field}: ${body[field]} instead of ${key[field]}.`,
      { where: 'trials', hint: 'A different machine, stock or setting is a different fit record.' },
    );
  }
}

function evidenceOfOutcome(
  store: Store,
  { body }: OutcomeStored,
  newest: TrialStored,
  halfLifeDays: number,
): Evidence {
  const record = BODY_SCHEMAS.records.parse(JSON.parse(store.get('records', body.record)!.content));
  const day = newest.body.trial.date ?? newest.stored.savedAt.slice(0, 10);
  const weight = weightOfAge(daysBetween(body.date, day), halfLifeDays);
  return outcomeEvidence(body.seams, fitRecordFromFile(record.fit, body.record), body.turned, weight);
}
