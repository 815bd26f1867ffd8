import { exportWorkspace, userDataFolder } from '@inlaywright/server';
import type { Command } from 'commander';
import { size } from './backup.ts';

export function addExport(program: Command): void {
  program
    .command('export')
    .description('write the whole workspace as a folder of readable files, also while it is being served')
    .argument('<dir>', 'a folder that is not there yet, or an empty one')
    .option('--workspace <dir>', "folder of the workspace; in the user's data folder otherwise")
    .action((dir: string, options: { readonly workspace?: string }) => {
      const { files, bytes } = exportWorkspace(options.workspace ?? userDataFolder(), dir);
      console.log(`Exported ${files} files (${size(bytes)}) to ${dir}.`);
    });
}
