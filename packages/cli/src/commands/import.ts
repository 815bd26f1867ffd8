import { importWorkspace, userDataFolder } from '@inlaywright/server';
import type { Command } from 'commander';

interface ImportOptions {
  readonly workspace?: string;
  readonly replace?: boolean;
}

export function addImport(program: Command): void {
  program
    .command('import')
    .description('make a workspace of an export')
    .argument('<dir>', 'a folder that export wrote')
    .option('--workspace <dir>', "folder of the workspace; in the user's data folder otherwise")
    .option(
      '--replace',
      'put it in the place of a workspace that holds something; that one is kept beside it',
    )
    .action((dir: string, options: ImportOptions) => {
      const { documents, versions, kept } = importWorkspace(options.workspace ?? userDataFolder(), dir, {
        replace: options.replace ?? false,
      });
      console.log(`Imported ${documents} documents in ${versions} versions, checked.`);
      if (kept !== undefined) console.log(`The workspace before it is kept as ${kept}.`);
    });
}
