import type { AimedGrade, Document, Problem, TrialFile, WireJudgement } from '@inlaywright/formats';
import { useEffect, useState } from 'react';
import { workspace } from '../../workspace/client.ts';
import { hasResult } from '../../workspace/trial-entries.ts';

export interface Judged {
  readonly judgement: WireJudgement | null;
  readonly problem: Problem | null;
  readonly working: boolean;
}

const NOTHING: Judged = { judgement: null, problem: null, working: false };
/** Several taps in a row are weighed once. */
const QUIET_MS = 200;

/** What a trial tells, weighed by the server together with earlier ones; follows every change. Null where there is no result yet. */
export function useJudgement(
  trial: TrialFile | null,
  older: readonly TrialFile[],
  grade: AimedGrade,
  halfLifeDays: number,
): Judged {
  const [judged, setJudged] = useState<Judged>(NOTHING);
  const question =
    trial === null || !hasResult(trial) ? '' : JSON.stringify({ trial, older, grade, halfLifeDays });
  useEffect(() => {
    if (question === '') {
      setJudged(NOTHING);
      return;
    }
    let overtaken = false;
    setJudged((before) => ({ ...before, working: true }));
    const timer = setTimeout(async () => {
      const answer = await workspace.judge(JSON.parse(question) as Parameters<typeof workspace.judge>[0]);
      if (overtaken) return;
      setJudged(
        answer.ok
          ? { judgement: answer.value, problem: null, working: false }
          : { judgement: null, problem: answer.problem, working: false },
      );
    }, QUIET_MS);
    return () => {
      overtaken = true;
      clearTimeout(timer);
    };
  }, [question]);
  return judged;
}

/** Trials belong together by what they are of; the names in their files are only words, and may have changed since. */
export function unnamed(trial: TrialFile): TrialFile {
  return { ...trial, machine: '', stock: '', setting: '' };
}

/**
 * The newest of some trials of one machine, stock and setting, and those before it. Trials without a result or a day
 * cannot be weighed with others.
 */
export function inOrder(trials: readonly Document<'trials'>[]): {
  readonly newest: TrialFile | null;
  readonly older: readonly TrialFile[];
} {
  const usable = trials
    .filter(({ body }) => hasResult(body.trial) && body.trial.date !== undefined)
    .sort((a, b) => (`${a.body.trial.date} ${a.savedAt}` < `${b.body.trial.date} ${b.savedAt}` ? -1 : 1))
    .map(({ body }) => unnamed(body.trial));
  return { newest: usable.at(-1) ?? null, older: usable.slice(0, -1) };
}

/** Earlier trials than one, of the same machine, stock and setting. */
export function earlierThan(
  trial: Document<'trials'>['body'],
  id: string,
  all: readonly Document<'trials'>[],
): readonly TrialFile[] {
  const day = trial.trial.date;
  if (day === undefined) return [];
  const same = all.filter(
    ({ id: other, body }) =>
      other !== id &&
      body.machine === trial.machine &&
      body.stock === trial.stock &&
      body.setting === trial.setting &&
      (body.trial.date ?? '9999') <= day,
  );
  const { newest, older } = inOrder(same);
  return newest ? [...older, newest] : [];
}
