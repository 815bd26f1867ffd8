import { relative, sep } from 'node:path';
import rateLimit from '@fastify/rate-limit';
import fastifyStatic from '@fastify/static';
import type { Health } from '@inlaywright/formats';
import fastify, { type FastifyInstance } from 'fastify';
import { WorkspaceError } from './errors.ts';
import { type Access, accessRoutes, openAccess } from './http/access-routes.ts';
import { changeRoutes } from './http/change-routes.ts';
import { documentRoutes } from './http/document-routes.ts';
import { fitRoutes } from './http/fit-routes.ts';
import { COMMON_HEADERS, policyOf } from './http/headers.ts';
import { pieceRoutes } from './http/piece-routes.ts';
import { problemOf, sendProblem } from './http/problem.ts';
import { BODY_LIMIT_BYTES } from './http/request.ts';
import { materialTable } from './material-table.ts';
import type { Workspace } from './workspace.ts';

export interface AppOptions {
  readonly workspace: Workspace;
  /** Folder of the built page; absent to serve the interface only. */
  readonly page?: string;
  /** The program's version, told by /api/health. */
  readonly version: string;
  /** Called with errors that nobody expected. */
  readonly onError?: (error: Error) => void;
  readonly now?: () => Date;
}

export interface App {
  readonly app: FastifyInstance;
  readonly access: Access;
}

/** The server without its socket: routes, guards and headers. `serve` gives it one; tests inject requests. */
export async function createApp(options: AppOptions): Promise<App> {
  const { store, sqlite } = options.workspace;
  const now = options.now ?? (() => new Date());
  const app = fastify({
    bodyLimit: BODY_LIMIT_BYTES,
    logger: false,
    forceCloseConnections: true,
    // A request that trickles in keeps no connection for itself.
    requestTimeout: 60_000,
    // Addresses that cannot be decoded never reach a hook.
    frameworkErrors: (error, request, reply) =>
      void sendProblem(request, reply.headers(COMMON_HEADERS), problemOf(error)),
  });
  const access = openAccess(sqlite, now);
  // Piece files are read by their own reader, which says more than a JSON parser: bodies stay text until then.
  app.removeAllContentTypeParsers();
  for (const type of ['application/json', 'application/x-www-form-urlencoded']) {
    app.addContentTypeParser(type, { parseAs: 'string' }, (request, body, done) => {
      // A form of another site could be sent without asking the browser; only our own form is taken.
      if (type !== 'application/json' && request.url !== '/enter') done(unsupported(), undefined);
      else done(null, body);
    });
  }

  app.addHook('onRequest', async (request, reply) => {
    reply.headers(COMMON_HEADERS);
    return access.guard(request, reply);
  });
  app.setErrorHandler((error: Error, request, reply) => {
    const problem = problemOf(error);
    if (problem.type.endsWith(':server-failed')) options.onError?.(error);
    return sendProblem(request, reply, problem);
  });
  app.setNotFoundHandler((request, reply) =>
    sendProblem(
      request,
      reply,
      problemOf(
        new WorkspaceError('no-such-route', `There is no ${request.method} ${request.url.slice(0, 200)}.`, {
          hint: 'Go back to the start page.',
        }),
      ),
    ),
  );

  // One maker at a few pages: far above what hands can do, low enough to stop a page that runs wild.
  await app.register(rateLimit, { max: 1200, timeWindow: '1 minute' });
  app.get('/api/health', (): Health => ({ status: 'ok', program: 'inlaywright', version: options.version }));
  accessRoutes(app, access, now);
  changeRoutes(app, store, access.who, access.sessions);
  app.get('/api/material-table', () => ({ materials: materialTable(store) }));
  documentRoutes(app, store);
  pieceRoutes(app, store);
  fitRoutes(app, store, now);
  if (options.page !== undefined) await servePage(app, options.page);
  return { app, access };
}

function unsupported(): Error {
  return Object.assign(new Error('Only application/json is taken here.'), { statusCode: 415 });
}

async function servePage(app: FastifyInstance, page: string): Promise<void> {
  await app.register(fastifyStatic, {
    root: page,
    cacheControl: false,
    setHeaders(reply, path) {
      const file = relative(page, path).split(sep).join('/');
      reply.header('content-security-policy', policyOf(file));
      // Files below assets/ and worker/ carry a hash of their content in their names.
      const named = /^(assets|worker)\//.test(file);
      reply.header('cache-control', named ? 'public, max-age=31536000, immutable' : 'no-cache');
    },
  });
}
