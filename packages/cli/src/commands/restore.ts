import { restoreWorkspace, userDataFolder } from '@inlaywright/server';
import type { Command } from 'commander';

export function addRestore(program: Command): void {
  program
    .command('restore')
    .description('put a backup in the place of the workspace; the present one is kept beside it')
    .argument('<file>', 'a backup')
    .option('--workspace <dir>', "folder of the workspace; in the user's data folder otherwise")
    .action((file: string, options: { readonly workspace?: string }) => {
      const { kept } = restoreWorkspace(options.workspace ?? userDataFolder(), file);
      console.log(`Restored ${file}, checked.`);
      if (kept !== undefined) console.log(`The workspace before it is kept as ${kept}.`);
    });
}
