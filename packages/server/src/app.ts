import { relative, sep } from 'node:path';
import rateLimit from '@fastify/rate-limit';
import fastifyStatic from '@fastify/static';
import type { Health } from '@inlaywright/formats';
import fastify, { type FastifyInstance } from 'fastify';
import { COMMON_HEADERS, foreign, policyOf } from './headers.ts';
import { pieceRoutes } from './piece-routes.ts';
import { problemOf, sendProblem } from './problem.ts';
import type { Workspace } from './workspace.ts';

/** Bodies above this are refused, bytes; a piece of 20,000 segments takes about 3 MB. */
export const BODY_LIMIT_BYTES = 8 * 1024 * 1024;

export interface AppOptions {
  readonly workspace: Workspace;
  /** Folder of the built page; absent to serve the interface only. */
  readonly page?: string;
  /** The program's version, told by /api/health. */
  readonly version: string;
  /** Called with errors that nobody expected. */
  readonly onError?: (error: Error) => void;
}

/** The server without its socket: routes, guards and headers. `serve` gives it one; tests inject requests. */
export async function createApp(options: AppOptions): Promise<FastifyInstance> {
  const app = fastify({ bodyLimit: BODY_LIMIT_BYTES, logger: false });
  // Piece files are read by their own reader, which says more than a JSON parser: bodies stay text until then.
  app.removeAllContentTypeParsers();
  app.addContentTypeParser('application/json', { parseAs: 'string' }, (_request, body, done) =>
    done(null, body),
  );

  app.addHook('onRequest', async (request, reply) => {
    reply.headers(COMMON_HEADERS);
    const why = foreign(request);
    if (why === undefined) return;
    return sendProblem(reply, {
      type: 'urn:inlaywright:problem:foreign-request',
      title: 'Not from here',
      status: 403,
      detail: why,
      hint: 'Open the address that the terminal printed at the start.',
    });
  });
  app.setErrorHandler((error: Error, _request, reply) => {
    const problem = problemOf(error);
    if (problem.status === 500) options.onError?.(error);
    return sendProblem(reply, problem);
  });
  app.setNotFoundHandler((request, reply) =>
    sendProblem(reply, {
      type: 'about:blank',
      title: 'Nothing here',
      status: 404,
      detail: `There is no ${request.method} ${request.url.slice(0, 200)}.`,
      hint: 'Go back to the start page.',
    }),
  );

  // One maker at one page: far above what hands can do, low enough to stop a page that runs wild.
  await app.register(rateLimit, { max: 1200, timeWindow: '1 minute' });
  app.get('/api/health', (): Health => ({ status: 'ok', program: 'inlaywright', version: options.version }));
  pieceRoutes(app, options.workspace);
  if (options.page !== undefined) await servePage(app, options.page);
  return app;
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
