import { statSync } from 'node:fs';
import { backupWorkspace, userDataFolder } from '@inlaywright/server';
import type { Command } from 'commander';

interface BackupOptions {
  readonly workspace?: string;
  readonly replace?: boolean;
}

export function addBackup(program: Command): void {
  program
    .command('backup')
    .description('copy the workspace into one file, also while it is being served')
    .argument('<file>', 'where the copy goes')
    .option('--workspace <dir>', "folder of the workspace; in the user's data folder otherwise")
    .option('--replace', 'write over a file that is there already')
    .action((file: string, options: BackupOptions) => {
      backupWorkspace(options.workspace ?? userDataFolder(), file, { replace: options.replace ?? false });
      console.log(`Backed up to ${file} (${size(statSync(file).size)}), checked.`);
    });
}

export function size(bytes: number): string {
  return bytes < 1024 * 1024 ? `${Math.ceil(bytes / 1024)} kB` : `${(bytes / 1024 / 1024).toFixed(1)} MB`;
}
