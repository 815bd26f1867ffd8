import { existsSync, readFileSync } from 'node:fs';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { addressToShare } from './access/network.ts';
import { qrText } from './access/qr.ts';
import { type App, createApp } from './app.ts';
import { dailyBackup } from './backup.ts';
import { WorkspaceError } from './errors.ts';
import { enterAddress } from './http/access-routes.ts';
import { userDataFolder } from './storage/place.ts';
import { openWorkspace, type Workspace } from './workspace.ts';

/** First port tried; the 20 after it are tried in turn when it is taken. */
const FIRST_PORT = 4780;
const PORTS_TRIED = 20;
/** How often it is looked whether a new day has begun, ms. */
const BACKUP_CHECK_MS = 30 * 60_000;

export interface ServeOptions {
  /** Port to listen on, 0 for any free one; absent to take the first free one from 4780. */
  readonly port?: number;
  /** Folder of the workspace; absent for the user's data folder. */
  readonly workspace?: string;
  /** Folder of demo pieces, and of the built page; absent for those of this installation. */
  readonly demos?: string;
  readonly page?: string;
  /** Also listen for other devices: on this address of the machine, or on the one of its private network. */
  readonly share?: true | { readonly address: string };
  /** Told of errors that nobody expected; they go to the terminal where absent. */
  readonly onError?: (error: Error) => void;
}

export interface Shared {
  /** Address of the page for other devices, `http://HOST:PORT/`. */
  readonly address: string;
  /** The access code that they need. */
  readonly code: string;
  /** A QR code of the address with the code, for the terminal. */
  readonly qr: string;
}

export interface Running {
  /** Address of the page on this machine, `http://127.0.0.1:PORT/`. */
  readonly address: string;
  readonly port: number;
  /** Folder of the workspace. */
  readonly workspace: string;
  readonly shared?: Shared;
  close(): Promise<void>;
}

/**
 * Serves page and workspace on the loopback interface, which no other machine reaches; on one more address where it
 * is shared.
 * @throws WorkspaceError page-not-built, port-taken, no-network, and what opening the workspace throws
 */
export async function serve(options: ServeOptions = {}): Promise<Running> {
  const page = options.page ?? installed('../../web/dist');
  if (!existsSync(join(page, 'index.html'))) {
    throw new WorkspaceError('page-not-built', `The page is not built: there is no index.html in ${page}.`, {
      where: page,
      hint: 'Run "npm run build" first.',
    });
  }
  const { share } = options;
  const host = share === undefined ? undefined : addressToShare(share === true ? undefined : share.address);
  const demos = options.demos ?? installed('../../../examples');
  const workspace = openWorkspace({ folder: options.workspace ?? userDataFolder(), demos });
  const onError = options.onError ?? ((error: Error): void => console.error(error));
  try {
    return await running(workspace, { page, host, onError, port: options.port });
  } catch (error) {
    workspace.close();
    throw error;
  }
}

interface RunOptions {
  readonly page: string;
  readonly host: string | undefined;
  readonly onError: (error: Error) => void;
  readonly port: number | undefined;
}

async function running(
  workspace: Workspace,
  { page, host, onError, port: wanted }: RunOptions,
): Promise<Running> {
  const made = await createApp({ workspace, page, version: programVersion(), onError });
  const { app } = made;
  const port = await listen(app, wanted);
  let second: Server | undefined;
  let shared: Shared | undefined;
  try {
    if (host !== undefined) [second, shared] = await listenFor(made, host, port);
  } catch (error) {
    await app.close();
    throw error;
  }
  const backup = (): void => {
    try {
      dailyBackup(workspace.sqlite, workspace.place, new Date());
    } catch (error) {
      // A full disk must not stop the workshop; saving would tell of it too.
      onError(error as Error);
    }
  };
  backup();
  const timer = setInterval(backup, BACKUP_CHECK_MS);
  timer.unref();
  return {
    address: `http://127.0.0.1:${port}/`,
    port,
    workspace: workspace.place.folder,
    ...(shared === undefined ? {} : { shared }),
    async close() {
      clearInterval(timer);
      // Ends the streams of changes too; without that the second server would wait for them.
      await app.close();
      await closed(second);
      workspace.close();
    },
  };
}

async function listen(app: App['app'], wanted: number | undefined): Promise<number> {
  const ports =
    wanted === undefined ? Array.from({ length: PORTS_TRIED }, (_, i) => FIRST_PORT + i) : [wanted];
  for (const port of ports) {
    try {
      await app.listen({ host: '127.0.0.1', port });
      return (app.server.address() as AddressInfo).port;
    } catch (error) {
      if ((error as NodeJS.ErrnoException).code !== 'EADDRINUSE') throw error;
    }
  }
  const which =
    wanted === undefined ? `Ports ${FIRST_PORT} to ${FIRST_PORT + PORTS_TRIED - 1} are` : `Port ${wanted} is`;
  throw portTaken(which);
}

function portTaken(which: string): WorkspaceError {
  return new WorkspaceError('port-taken', `${which} taken by another program (EADDRINUSE).`, {
    where: '--port',
    hint: 'Name another with --port, or leave the option out to take the next free one.',
  });
}

/** The same routes on one more address, at the same port. */
async function listenFor({ app, access }: App, host: string, port: number): Promise<[Server, Shared]> {
  const server = createServer((request, response) => app.routing(request, response));
  try {
    await new Promise<void>((resolve, reject) => {
      server.once('error', reject);
      server.listen({ host, port }, resolve);
    });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EADDRINUSE') throw portTaken(`Port ${port} of ${host} is`);
    throw error;
  }
  const code = access.share([`${host}:${port}`]);
  const address = `http://${host}:${port}/`;
  return [server, { address, code, qr: await qrText(enterAddress(address, code)) }];
}

function closed(server: Server | undefined): Promise<void> {
  if (!server) return Promise.resolve();
  return new Promise((resolve) => {
    server.close(() => resolve());
    server.closeAllConnections();
  });
}

/** A place of this installation, seen from this file (same depth in src and in dist). */
function installed(path: string): string {
  return fileURLToPath(new URL(path, import.meta.url));
}

function programVersion(): string {
  const manifest: unknown = JSON.parse(readFileSync(installed('../package.json'), 'utf8'));
  return String((manifest as { version?: unknown }).version);
}
