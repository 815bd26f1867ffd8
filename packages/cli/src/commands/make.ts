import { cutFiles, readCutSvg } from '@inlaywright/formats';
import { openKernel } from '@inlaywright/geometry';
import { checkPiece, dryFit, type Finding, make } from '@inlaywright/workshop';
import type { Command } from 'commander';
import { EXIT, InputError } from '../fail.ts';
import { loadPiece, type PieceOptions } from '../load-piece.ts';
import { chooseFit, type FitOptions, pairsOption } from '../options.ts';
import { readText } from '../read-input.ts';
import { type Report, report, table } from '../report.ts';
import { writeFiles } from '../write-files.ts';

interface MakeCommandOptions extends PieceOptions, FitOptions {
  readonly out: string;
  readonly stock: readonly string[];
  readonly pair?: boolean;
  readonly share: string;
  readonly turn: string;
  readonly json?: boolean;
}

const collect = (value: string, all: readonly string[]): string[] => [...all, value];

export function addMake(program: Command, done: (code: number) => void): void {
  program
    .command('make')
    .description('write the cut files of a piece, and check from those files that its parts press together')
    .argument('<file>', 'a piece file, or artwork as SVG')
    .requiredOption('--out <dir>', 'folder for the files; made if it is not there')
    .option('--fit <file>', 'a fit file: how the machine cuts each stock')
    .option('--kerf <length>', 'kerf at both faces, where there is no fit file')
    .option('--allowance <length>', 'overlap a side; positive presses, negative is loose')
    .option(
      '--tone <colour=tone>',
      "name a fill's tone; two fills with one name become one tone",
      collect,
      [],
    )
    .option('--pierce <colour>', 'this fill is a through opening', collect, [])
    .option('--stock <tone=stock>', 'what a tone is cut from', collect, [])
    .option('--pair', 'also make the mirrored partner')
    .option('--width <length>', "width of the artwork's viewport")
    .option('--strokes', 'turn strokes into outlines')
    .option('--share <who>', 'who takes the allowance: inserted or both', 'inserted')
    .option(
      '--turn <which>',
      'which parts are cut mirrored and turned over: auto, none, or tones with commas',
      'auto',
    )
    .option('--json', 'print one JSON object instead of the table')
    .action(async (file: string, options: MakeCommandOptions) => done(await makeCommand(file, options)));
}

async function makeCommand(file: string, options: MakeCommandOptions): Promise<number> {
  await openKernel();
  const chosen = chooseFit(options);
  const { piece, findings } = loadPiece(file, options);
  const checks = checkPiece(piece);
  refuseFaults(file, checks);
  const stocks = pairsOption('--stock', options.stock);
  const tones = new Set(piece.tones.map((tone) => tone.id));
  for (const tone of Object.keys(stocks)) {
    if (!tones.has(tone)) {
      throw new InputError(
        `${file} has no tone "${tone}".`,
        '--stock',
        `Its tones are ${[...tones].join(', ')}.`,
      );
    }
  }
  const made = make(piece, chosen.fit, {
    share: shareOption(options.share),
    turn: turnOption(options.turn, tones),
    stocks,
    pair: options.pair ?? piece.pair ?? false,
  });
  if (made.sheets.length === 0) {
    throw new InputError(
      `${file} has no part to cut.`,
      file,
      findings.length > 0
        ? findings.map((finding) => finding.message).join(' ')
        : 'Draw at least one filled area.',
    );
  }
  const files = writeFiles(options.out, cutFiles(piece.name, made.sheets, made.mosaic.parts));
  // The dry fit reads the very files that go to the laser, from the disk: a bug in writing would show.
  const sheets = files.filter((path) => path.endsWith('.svg')).map((path) => readCutSvg(readText(path)));
  const result = report({
    piece: piece.name,
    fitOrigin: chosen.origin,
    sheets,
    dryFit: dryFit(sheets, chosen.fit),
    mosaic: made.mosaic,
    findings: [...findings, ...checks, ...made.findings, ...sheets.flatMap((sheet) => sheet.warnings)],
    files,
  });
  print(result, options.json ?? false);
  return exitCode(result);
}

/** Faults of the drawing that leave nothing to compute; all of them are named at once. */
function refuseFaults(file: string, checks: readonly Finding[]): void {
  const faults = checks.filter((finding) => finding.severity === 'error');
  if (faults.length === 0) return;
  throw new InputError(
    faults.map((fault) => fault.message).join('\n  '),
    file,
    [...new Set(faults.map((fault) => fault.hint))].join('\n         '),
  );
}

function shareOption(value: string): 'inserted' | 'both' {
  if (value === 'inserted' || value === 'both') return value;
  throw new InputError(`${value} cannot take the allowance.`, '--share', 'Give inserted or both.');
}

function turnOption(value: string, tones: ReadonlySet<string>): 'auto' | 'none' | readonly string[] {
  if (value === 'auto' || value === 'none') return value;
  const named = value.split(',').map((name) => name.trim());
  const unknown = named.find((name) => !tones.has(name));
  if (unknown === undefined) return named;
  throw new InputError(
    `There is no tone "${unknown}" to turn.`,
    '--turn',
    `Give auto, none, or some of ${[...tones].join(', ')}.`,
  );
}

export function print(result: Report, json: boolean): void {
  console.log(json ? JSON.stringify(result, null, 2) : table(result));
}

export function exitCode(result: Report): number {
  return result.warnings.some((finding) => finding.severity === 'decision') ? EXIT.decide : EXIT.made;
}
