import { Command, CommanderError } from 'commander';
import { addBackup } from './commands/backup.ts';
import { addCoupon } from './commands/coupon.ts';
import { addDryFit } from './commands/dryfit.ts';
import { addExport } from './commands/export.ts';
import { addFit } from './commands/fit.ts';
import { addImport } from './commands/import.ts';
import { addMake } from './commands/make.ts';
import { addRestore } from './commands/restore.ts';
import { addServe } from './commands/serve.ts';
import { EXIT, explain } from './fail.ts';

/** Runs one command line and returns its exit code. */
export async function run(argv: readonly string[]): Promise<number> {
  let code: number = EXIT.made;
  const program = new Command('inlaywright')
    .description('From a drawing to laser-cut wood inlay that presses together.')
    .showHelpAfterError('(inlaywright --help lists the commands and their options)')
    .exitOverride();
  const done = (result: number): void => {
    code = result;
  };
  addMake(program, done);
  addDryFit(program, done);
  addCoupon(program, done);
  addFit(program, done);
  addServe(program);
  addBackup(program);
  addRestore(program);
  addExport(program);
  addImport(program);
  program.addHelpText(
    'after',
    '\nExit codes: 0 made, 1 made with findings that need a decision, 2 bad input.\n' +
      "Laser light, smoke and fire harm: follow the machine's manual and local rules, and never leave a cut alone.",
  );
  try {
    await program.parseAsync([...argv], { from: 'user' });
    return code;
  } catch (error) {
    if (error instanceof CommanderError) return error.exitCode === 0 ? EXIT.made : EXIT.badInput;
    const text = explain(error);
    if (text === undefined) throw error;
    console.error(text);
    return EXIT.badInput;
  }
}
