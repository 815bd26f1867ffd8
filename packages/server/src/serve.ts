import { existsSync, readFileSync } from 'node:fs';
import type { AddressInfo } from 'node:net';
import { homedir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { createApp } from './app.ts';
import { openWorkspace } from './workspace.ts';

/** First port tried; the 20 after it are tried in turn when it is taken. */
const FIRST_PORT = 4780;
const PORTS_TRIED = 20;

export interface ServeOptions {
  /** Port to listen on, 0 for any free one; absent to take the first free one from 4780. */
  readonly port?: number;
  /** Folder of the workspace; absent for the user's data folder. */
  readonly workspace?: string;
  /** Folder of demo pieces, and of the built page; absent for those of this installation. */
  readonly demos?: string;
  readonly page?: string;
}

export interface Running {
  /** Address of the page, `http://127.0.0.1:PORT/`. */
  readonly address: string;
  readonly port: number;
  close(): Promise<void>;
}

/**
 * Serves page and pieces on the loopback interface, which no other machine reaches.
 * Throws where the port is taken, the page is not built, or the workspace folder cannot be made.
 */
export async function serve(options: ServeOptions = {}): Promise<Running> {
  const page = options.page ?? installed('../../web/dist');
  if (!existsSync(join(page, 'index.html'))) {
    throw new Error(`The page is not built: there is no index.html in ${page}. Run "npm run build" first.`);
  }
  const demos = options.demos ?? installed('../../../examples');
  const app = await createApp({
    workspace: openWorkspace({
      folder: options.workspace ?? userDataFolder(),
      ...(existsSync(demos) ? { demos } : {}),
    }),
    page,
    version: programVersion(),
    onError: (error) => console.error(error),
  });
  const ports =
    options.port === undefined
      ? Array.from({ length: PORTS_TRIED }, (_, i) => FIRST_PORT + i)
      : [options.port];
  for (const [index, port] of ports.entries()) {
    try {
      await app.listen({ host: '127.0.0.1', port });
      break;
    } catch (error) {
      const taken = (error as NodeJS.ErrnoException).code === 'EADDRINUSE';
      if (!taken || index === ports.length - 1) throw error;
    }
  }
  const { port } = app.server.address() as AddressInfo;
  return { address: `http://127.0.0.1:${port}/`, port, close: () => app.close() };
}

/** A place of this installation, seen from this file (same depth in src and in dist). */
function installed(path: string): string {
  return fileURLToPath(new URL(path, import.meta.url));
}

function programVersion(): string {
  const manifest: unknown = JSON.parse(readFileSync(installed('../package.json'), 'utf8'));
  return String((manifest as { version?: unknown }).version);
}

/** Where the system keeps a user's data (XDG base directories; their customary places elsewhere). */
function userDataFolder(): string {
  const home = homedir();
  if (process.platform === 'win32')
    return join(process.env.APPDATA ?? join(home, 'AppData', 'Roaming'), 'Inlaywright');
  if (process.platform === 'darwin') return join(home, 'Library', 'Application Support', 'Inlaywright');
  return join(process.env.XDG_DATA_HOME ?? join(home, '.local', 'share'), 'inlaywright');
}
