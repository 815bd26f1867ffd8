import { serve } from '@inlaywright/server';
import type { Command } from 'commander';

interface ServeOptions {
  readonly port?: string;
  readonly workspace?: string;
}

export function addServe(program: Command): void {
  program
    .command('serve')
    .description('serve the page on this machine')
    .option('--port <number>', 'port to listen on; the next free one from 4780 otherwise')
    .option('--workspace <dir>', "folder of the workspace; in the user's data folder otherwise")
    .action(async (options: ServeOptions) => {
      const running = await serve({
        ...(options.port === undefined ? {} : { port: Number(options.port) }),
        ...(options.workspace === undefined ? {} : { workspace: options.workspace }),
      });
      console.log(`Inlaywright is at ${running.address} (Ctrl+C ends it)`);
      await new Promise<void>((resolve) => {
        for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
      });
      await running.close();
    });
}
