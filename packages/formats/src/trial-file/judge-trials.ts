import {
  type Evidence,
  evidenceOf,
  type Grade,
  type Judgement,
  judge,
  weightOfAge,
} from '@inlaywright/workshop';
import { FormatError } from '../errors.ts';
import { fitRecordSchema, fitRecordToFile } from '../fit-file/fit-file.ts';
import { type TrialFile, trialResults } from './trial-file.ts';

/** A trial with what to call it in a message: a file's name, a trial's name in the workspace. */
export interface NamedTrial {
  readonly name: string;
  readonly trial: TrialFile;
}

export interface JudgeTrialsOptions {
  readonly grade: Grade;
  /** Earlier trials of the same machine, stock and setting. */
  readonly older?: readonly NamedTrial[];
  /** Age at which an earlier trial counts half, days. */
  readonly halfLifeDays: number;
  /** Other evidence, already weighted: outcomes of batches. */
  readonly outcomes?: readonly Evidence[];
}

/**
 * Weighs a trial together with earlier ones, each counted by its age before the newest.
 * @throws FormatError trial-empty (no result yet), trial-of-another (another machine, stock or setting),
 *   trial-undated, trial-impossible (a kerf or scatter that no fit file takes: a mistyped reading)
 */
export function judgeTrials(newest: NamedTrial, options: JudgeTrialsOptions): Judgement {
  const older = (options.older ?? []).map((earlier) => olderEvidence(earlier, newest, options.halfLifeDays));
  let judged: Judgement;
  try {
    judged = judge(trialResults(newest.trial), {
      grade: options.grade,
      older: [...older, ...(options.outcomes ?? [])],
    });
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new FormatError('trial-empty', error.message, {
      where: newest.name,
      hint: 'Add a grade to a step, or a caliper reading.',
    });
  }
  refuseUnusable(newest.name, judged);
  return judged;
}

/** A slipped digit can give a kerf or a scatter that no fit file takes: better said here than by whoever reads it. */
function refuseUnusable(where: string, judged: Judgement): void {
  const parsed = fitRecordSchema.safeParse(fitRecordToFile(judged.record));
  if (parsed.success) return;
  const unlikely = judged.findings.find(({ code }) => code === 'reading-unlikely');
  throw new FormatError(
    'trial-impossible',
    unlikely?.message ??
      `No fit record can be made of it: ${parsed.error.issues[0]!.path.join('.')} is out of range.`,
    {
      where,
      hint: 'Look at the readings again: a slipped digit, inches for millimetres, or hole and plug exchanged.',
    },
  );
}

function olderEvidence(earlier: NamedTrial, newest: NamedTrial, halfLifeDays: number): Evidence {
  for (const field of ['machine', 'stock', 'setting'] as const) {
    const [was, is] = [earlier.trial[field], newest.trial[field]];
    if (was === is) continue;
    throw new FormatError(
      'trial-of-another',
      `${earlier.name} is of another ${field}: "${was}" instead of "${is}".`,
      {
        where: earlier.name,
        hint: 'A different machine, stock or setting is a different fit record.',
      },
    );
  }
  const undated = [earlier, newest].find(({ trial }) => trial.date === undefined);
  if (undated) {
    throw new FormatError('trial-undated', `${undated.name} has no date.`, {
      where: undated.name,
      hint: 'Add "date": "YYYY-MM-DD" to both: earlier evidence counts by its age.',
    });
  }
  const days = daysBetween(earlier.trial.date!, newest.trial.date!);
  return evidenceOf(trialResults(earlier.trial), weightOfAge(days, halfLifeDays));
}

/** Whole days from one day to another, `YYYY-MM-DD`; negative where the second comes first. */
export function daysBetween(from: string, to: string): number {
  return Math.round((Date.parse(to) - Date.parse(from)) / 86_400_000);
}
