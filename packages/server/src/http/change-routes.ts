import type { ServerResponse } from 'node:http';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { Sessions } from '../access/sessions.ts';
import type { Who } from '../access/who.ts';
import { WorkspaceError } from '../errors.ts';
import type { Store } from '../storage/store.ts';
import { COMMON_HEADERS } from './headers.ts';

/** Open streams; a workshop has a handful of devices. */
const MOST_STREAMS = 64;
/** A quiet stream says so, ms: proxies and sleeping phones cut what is silent. */
const HEARTBEAT_MS = 20_000;
/** A reader that does not read is let go when this much waits for it, bytes. */
const MOST_WAITING_BYTES = 1024 * 1024;
/** How soon a browser tries a broken stream again, ms. */
const RETRY_MS = 1000;

/** Live changes as server-sent events (HTML standard, section 9.2). */
export function changeRoutes(
  app: FastifyInstance,
  store: Store,
  who: (request: FastifyRequest) => Who,
  sessions: Sessions,
): void {
  const streams = new Map<ServerResponse, string | undefined>();

  function write(stream: ServerResponse, text: string): void {
    stream.write(text);
    if (stream.writableLength > MOST_WAITING_BYTES) stream.destroy();
  }

  const end = store.changes.listen((position, change) => {
    const text = event('change', position, change);
    for (const stream of streams.keys()) write(stream, text);
  });
  const heart = setInterval(() => {
    for (const stream of streams.keys()) write(stream, ': still here\n\n');
  }, HEARTBEAT_MS);
  heart.unref();
  sessions.onEnd((id) => {
    for (const [stream, session] of streams) if (session === id) stream.end();
  });
  // Before the server waits for open requests to end: these never do by themselves.
  app.addHook('preClose', async () => {
    clearInterval(heart);
    end();
    for (const stream of streams.keys()) stream.end();
  });

  app.get<{ Querystring: { after?: string } }>('/api/changes', (request, reply) => {
    if (streams.size >= MOST_STREAMS) {
      throw new WorkspaceError('too-many-listeners', `${streams.size} pages are open already.`, {
        hint: 'Close pages that nobody looks at.',
        details: { retryAfterS: 30 },
      });
    }
    const asker = who(request as FastifyRequest);
    const header = request.headers['last-event-id'];
    const from = typeof header === 'string' ? header : request.query.after;
    const stream = reply.raw;
    reply.hijack();
    stream.writeHead(200, {
      ...COMMON_HEADERS,
      'content-type': 'text/event-stream; charset=utf-8',
      'cache-control': 'no-cache, no-transform',
      'x-accel-buffering': 'no',
    });
    const missed = from === undefined ? [] : store.changes.after(from);
    const here = store.changes.position();
    // The first event tells where the reader stands, so that it can resume even if nothing else comes.
    const opening =
      missed === undefined
        ? event('reset', here, {})
        : [
            ...missed.map(({ position, change }) => event('change', position, change)),
            event('here', here, {}),
          ].join('');
    stream.write(`retry: ${RETRY_MS}\n\n${opening}`);
    streams.set(stream, asker.kind === 'device' ? asker.session : undefined);
    stream.on('close', () => streams.delete(stream));
  });
}

function event(name: string, id: string, data: unknown): string {
  return `event: ${name}\nid: ${id}\ndata: ${JSON.stringify(data)}\n\n`;
}
