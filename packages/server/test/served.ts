import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { request as httpRequest, type IncomingHttpHeaders } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Running, type ServeOptions, serve } from '../src/index.ts';

/** A server on real sockets with a workspace and a page of its own. */
export interface Served {
  readonly running: Running;
  readonly folder: string;
  close(): Promise<void>;
}

export async function startServer(options: Partial<ServeOptions> = {}): Promise<Served> {
  const folder = mkdtempSync(join(tmpdir(), 'inlaywright-served-'));
  mkdirSync(join(folder, 'page'));
  writeFileSync(join(folder, 'page/index.html'), '<!doctype html><title>page</title>');
  const running = await serve({
    port: 0,
    workspace: join(folder, 'workspace'),
    demos: join(folder, 'none'),
    page: join(folder, 'page'),
    ...options,
  });
  return {
    running,
    folder,
    async close() {
      await running.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export interface Answered {
  readonly status: number;
  readonly headers: IncomingHttpHeaders;
  readonly body: string;
}

export interface AskOptions {
  readonly method?: string;
  readonly headers?: Record<string, string>;
  readonly body?: string;
  /** Address of ours that the connection comes from. */
  readonly from?: string;
}

/** One request over a socket of its own, with whatever headers a test wants to try. */
export function askServer(address: string, options: AskOptions = {}): Promise<Answered> {
  return new Promise((resolve, reject) => {
    const request = httpRequest(
      address,
      {
        method: options.method ?? 'GET',
        headers: { connection: 'close', ...options.headers },
        agent: false,
        ...(options.from === undefined ? {} : { localAddress: options.from }),
      },
      (response) => {
        let body = '';
        response.setEncoding('utf8');
        response.on('data', (text: string) => {
          body += text;
        });
        response.on('end', () =>
          resolve({ status: response.statusCode ?? 0, headers: response.headers, body }),
        );
      },
    );
    request.on('error', reject);
    request.end(options.body);
  });
}

export interface StreamEvent {
  readonly event: string;
  readonly id: string;
  readonly data: string;
}

/** A reader of server-sent events, as plain as the standard allows. */
export interface EventStream {
  /** The next event; rejects after a while without one. */
  next(): Promise<StreamEvent>;
  /** Resolves when the server ends the stream. */
  readonly ended: Promise<void>;
  close(): void;
}

export function openStream(address: string, headers: Record<string, string> = {}): Promise<EventStream> {
  return new Promise((resolve, reject) => {
    const request = httpRequest(address, { headers, agent: false }, (response) => {
      if (response.statusCode !== 200) {
        let body = '';
        response.on('data', (text) => {
          body += String(text);
        });
        response.on('end', () => reject(new Error(`status ${response.statusCode}: ${body}`)));
        return;
      }
      const waiting: ((event: StreamEvent) => void)[] = [];
      const come: StreamEvent[] = [];
      let text = '';
      response.setEncoding('utf8');
      response.on('data', (chunk: string) => {
        text += chunk;
        for (let end = text.indexOf('\n\n'); end >= 0; end = text.indexOf('\n\n')) {
          const event = parse(text.slice(0, end));
          text = text.slice(end + 2);
          if (!event) continue;
          const reader = waiting.shift();
          if (reader) reader(event);
          else come.push(event);
        }
      });
      response.on('error', () => {});
      resolve({
        ended: new Promise((end) => response.on('close', () => end())),
        next: () =>
          new Promise((give, fail) => {
            const event = come.shift();
            if (event) {
              give(event);
              return;
            }
            const timer = setTimeout(() => fail(new Error('no event came')), 5000);
            waiting.push((late) => {
              clearTimeout(timer);
              give(late);
            });
          }),
        close: () => request.destroy(),
      });
    });
    request.on('error', (error) => reject(error));
    request.end();
  });
}

function parse(block: string): StreamEvent | undefined {
  const field = (name: string): string =>
    block
      .split('\n')
      .find((line) => line.startsWith(`${name}: `))
      ?.slice(name.length + 2) ?? '';
  return field('event') === '' ? undefined : { event: field('event'), id: field('id'), data: field('data') };
}
