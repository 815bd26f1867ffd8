import { basename, dirname } from 'node:path';
import { judgeTrials, readTrial, writeFit } from '@inlaywright/formats';
import { GRADES, type Grade } from '@inlaywright/workshop';
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
  const named = (file: string) => ({ name: file, trial: readTrial(readText(file)) });
  const result = judgeTrials(named(path), {
    grade,
    older: options.older.map(named),
    halfLifeDays: halfLife,
  });
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
