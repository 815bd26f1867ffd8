import { basename, dirname } from 'node:path';
import { readTrial, type TrialFile, trialResults, writeFit } from '@inlaywright/formats';
import {
  type Evidence,
  evidenceOf,
  GRADES,
  type Grade,
  type Judgement,
  judge,
  weightOfAge,
} from '@inlaywright/workshop';
import type { Command } from 'commander';
import { EXIT, InputError } from '../fail.ts';
import { readText } from '../read-input.ts';
import { findingLine } from '../report.ts';
import { writeFiles } from '../write-files.ts';

interface FitCommandOptions {
  readonly older: readonly string[];
  readonly grade: string;
  readonly halfLife: string;
  readonly out?: string;
  readonly json?: boolean;
}

const collect = (value: string, all: readonly string[]): string[] => [...all, value];

export function addFit(program: Command, done: (code: number) => void): void {
  program
    .command('fit')
    .description('weigh a fit trial: kerf, allowance and scatter with intervals, and what to measure next')
    .argument('<trial>', 'a trial file with grades, readings or both')
    .option(
      '--older <trial>',
      'an earlier trial of the same machine, stock and setting; repeatable',
      collect,
      [],
    )
    .option('--half-life <days>', 'age at which an earlier trial counts half', '90')
    .option('--grade <grade>', 'the grade that seams should land in', 'presses by hand')
    .option('--out <file>', 'write the fit file for make here')
    .option('--json', 'print one JSON object')
    .action((trial: string, options: FitCommandOptions) => done(fitCommand(trial, options)));
}

function fitCommand(path: string, options: FitCommandOptions): number {
  const grade = gradeOption(options.grade);
  const halfLife = Number(options.halfLife);
  if (!(halfLife > 0))
    throw new InputError(`${options.halfLife} is not a number of days.`, '--half-life', 'For example 90.');
  const trial = readTrial(readText(path));
  const older = options.older.map((file) => olderEvidence(readTrial(readText(file)), trial, halfLife, file));
  const result = judgeTrial(trial, { grade, older }, path);
  const files =
    options.out === undefined
      ? []
      : writeFiles(dirname(options.out), [
          { name: basename(options.out), text: writeFit({ default: result.record, byTone: {} }) },
        ]);
  if (options.json) console.log(JSON.stringify({ ...result, files }, null, 2));
  else
    console.log(
      [...result.words, ...result.findings.map(findingLine), ...files.map((file) => `Written: ${file}`)].join(
        '\n',
      ),
    );
  return result.findings.some((finding) => finding.severity === 'decision') ? EXIT.decide : EXIT.made;
}

function judgeTrial(
  trial: TrialFile,
  options: { readonly grade: Grade; readonly older: readonly Evidence[] },
  path: string,
): Judgement {
  try {
    return judge(trialResults(trial), options);
  } catch (error) {
    if (error instanceof RangeError)
      throw new InputError(error.message, path, 'Add a grade to a step, or a caliper reading.');
    throw error;
  }
}

/** An earlier trial, counted by its age before the newer one; both need a date for that. */
function olderEvidence(earlier: TrialFile, newer: TrialFile, halfLifeDays: number, path: string): Evidence {
  for (const field of ['machine', 'stock', 'setting'] as const) {
    if (earlier[field] !== newer[field]) {
      throw new InputError(
        `${path} is of another ${field}: "${earlier[field]}" instead of "${newer[field]}".`,
        '--older',
        'A different machine, stock or setting is a different fit record.',
      );
    }
  }
  if (earlier.date === undefined || newer.date === undefined) {
    throw new InputError(
      `${earlier.date === undefined ? path : 'The trial'} has no date.`,
      'date',
      'Add "date": "YYYY-MM-DD" to both files.',
    );
  }
  const days = (Date.parse(newer.date) - Date.parse(earlier.date)) / 86_400_000;
  return evidenceOf(trialResults(earlier), weightOfAge(days, halfLifeDays));
}

function gradeOption(text: string): Grade {
  const inner = GRADES.slice(1, 4);
  const grade = inner.find((candidate) => candidate === text);
  if (grade !== undefined) return grade;
  throw new InputError(
    `"${text}" cannot be aimed at.`,
    '--grade',
    `Give one of ${inner.map((g) => `"${g}"`).join(', ')}.`,
  );
}
