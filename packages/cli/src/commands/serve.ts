import { type Running, type Shared, serve } from '@inlaywright/server';
import type { Command } from 'commander';
import { InputError } from '../fail.ts';

interface ServeOptions {
  readonly port?: string;
  readonly workspace?: string;
  readonly share?: true | string;
}

export function addServe(program: Command): void {
  program
    .command('serve')
    .description('serve the page on this machine')
    .option('--port <number>', 'port to listen on; the next free one from 4780 otherwise')
    .option('--workspace <dir>', "folder of the workspace; in the user's data folder otherwise")
    .option('--share [address]', "also serve the workshop's network; other devices enter a code")
    .action(async (options: ServeOptions) => {
      const running = await serve({
        ...(options.port === undefined ? {} : { port: portOption(options.port) }),
        ...(options.workspace === undefined ? {} : { workspace: options.workspace }),
        ...(options.share === undefined
          ? {}
          : { share: options.share === true ? options.share : { address: options.share } }),
      });
      console.log(words(running, process.stdout.isTTY === true));
      await new Promise<void>((resolve) => {
        for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => resolve());
      });
      await running.close();
    });
}

function portOption(text: string): number {
  if (/^\d{1,5}$/.test(text) && Number(text) <= 65_535) return Number(text);
  throw new InputError(
    `${text} is not a port.`,
    '--port',
    'Give a number from 1 to 65535, or 0 for any free one.',
  );
}

/** What the terminal shows; `coloured` where it can show the QR code dark on light whatever its own colours are. */
export function words(running: Pick<Running, 'address' | 'workspace' | 'shared'>, coloured: boolean): string {
  return [
    `Inlaywright is at ${running.address} (Ctrl+C ends it)`,
    `The workspace is in ${running.workspace}`,
    ...(running.shared === undefined ? [] : sharedWords(running.shared, coloured)),
  ].join('\n');
}

function sharedWords({ address, code, qr }: Shared, coloured: boolean): string[] {
  const lines = qr.split('\n').filter((line) => line !== '');
  return [
    '',
    `Other devices open ${address} and enter the code ${code}, or point their camera here:`,
    ...(coloured ? lines.map((line) => `\u001b[30;107m${line}\u001b[0m`) : lines),
    'Everybody who has the code may see and change everything. The network must be one that you trust:',
    'what goes over it is not encrypted.',
  ];
}
