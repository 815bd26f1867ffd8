import { readdirSync, statSync } from 'node:fs';
import { extname, join } from 'node:path';
import { type CutSheetRead, FormatError, readCutDxf, readCutSvg } from '@inlaywright/formats';
import { openKernel } from '@inlaywright/geometry';
import { type CutSheet, dryFit, type FitByTone } from '@inlaywright/workshop';
import type { Command } from 'commander';
import { InputError } from '../fail.ts';
import { chooseFit, type FitOptions } from '../options.ts';
import { readText } from '../read-input.ts';
import { report } from '../report.ts';
import { exitCode, print } from './make.ts';

interface DryFitOptions extends FitOptions {
  readonly json?: boolean;
}

export function addDryFit(program: Command, done: (code: number) => void): void {
  program
    .command('dryfit')
    .description('assemble cut files on screen and measure every seam, from the files alone')
    .argument('<path>', 'a folder of cut files, or one of them')
    .option('--fit <file>', 'judge by this fit file instead of the records inside the cut files')
    .option('--kerf <length>', 'judge by this kerf at both faces')
    .option('--allowance <length>', 'the allowance that belongs to --kerf')
    .option('--json', 'print one JSON object instead of the table')
    .action(async (path: string, options: DryFitOptions) => done(await dryFitCommand(path, options)));
}

async function dryFitCommand(path: string, options: DryFitOptions): Promise<number> {
  if (options.allowance !== undefined && options.kerf === undefined) {
    throw new InputError(
      '--allowance is taken only together with --kerf.',
      '--allowance',
      'Give both, or neither: the files hold the numbers that they were made for.',
    );
  }
  await openKernel();
  const files = cutFilesAt(path);
  const sheets = files.map(readSheet);
  const pieces = new Set(sheets.map((sheet) => sheet.piece));
  if (pieces.size > 1) {
    throw new InputError(
      `${path} holds cut files of several pieces: ${[...pieces].join(', ')}.`,
      path,
      'Keep each piece in a folder of its own, or name one file.',
    );
  }
  const own = options.fit === undefined && options.kerf === undefined;
  const chosen = own ? { fit: recordedFit(sheets), origin: 'as recorded in the files' } : chooseFit(options);
  const result = report({
    piece: [...pieces][0] ?? '',
    fitOrigin: chosen.origin,
    sheets,
    dryFit: dryFit(sheets, chosen.fit),
    findings: sheets.flatMap((sheet) => sheet.warnings),
    files: [],
  });
  print(result, options.json ?? false);
  return exitCode(result);
}

/** A cut file, told by its content; an error names the file, for there may be several. */
function readSheet(file: string): CutSheetRead {
  const text = readText(file);
  const start = text.replace(/^\uFEFF/, '').trimStart();
  try {
    if (start.startsWith('<')) return readCutSvg(text);
    if (extname(file).toLowerCase() === '.dxf' || /^(?:0|999)\r?\n/.test(start)) return readCutDxf(text);
  } catch (error) {
    if (!(error instanceof FormatError)) throw error;
    throw new InputError(error.message, [file, error.where].filter(Boolean).join(', '), error.hint);
  }
  throw new InputError(
    `${file} is neither SVG nor DXF.`,
    file,
    'Name a cut file that make wrote, or the folder of them.',
  );
}

/** The SVG files of a folder, or its DXF files where it has no SVG: the same parts must not be read twice. */
function cutFilesAt(path: string): string[] {
  if (!statSync(path).isDirectory()) return [path];
  const names = readdirSync(path).sort();
  const of = (ending: string) => names.filter((name) => extname(name).toLowerCase() === ending);
  const chosen = of('.svg').length > 0 ? of('.svg') : of('.dxf');
  if (chosen.length === 0) {
    throw new InputError(`${path} holds no SVG or DXF file.`, path, 'Name the folder that make wrote to.');
  }
  return chosen.map((name) => join(path, name));
}

/** The records that travel inside the files. */
function recordedFit(sheets: readonly CutSheet[]): FitByTone {
  const byTone = Object.assign({}, ...sheets.map((sheet) => sheet.fit));
  const first = Object.values(byTone)[0] as FitByTone['default'] | undefined;
  if (first === undefined) {
    throw new InputError(
      'The cut files hold no fit record.',
      'cut files',
      'Give --fit FILE, or --kerf and --allowance.',
    );
  }
  return { default: first, byTone };
}
