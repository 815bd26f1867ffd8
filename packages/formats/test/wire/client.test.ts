import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest';
import { type Fetch, type WorkspaceClient, workspaceClient } from '../../src/index.ts';

/**
 * The client against a plain HTTP server that answers with whatever a test says: what must happen when the answer is
 * not what was agreed. Against the real routes it is tested in packages/server.
 */
let server: Server;
let client: WorkspaceClient;
let base: string;
let answer: { status: number; type?: string; body: string; etag?: string } | 'hang up';
let asked: {
  method?: string | undefined;
  url?: string | undefined;
  headers: NodeJS.Dict<string | string[]>;
  body: string;
};

beforeAll(async () => {
  server = createServer((request, response) => {
    let body = '';
    request.on('data', (text) => {
      body += String(text);
    });
    request.on('end', () => {
      asked = { method: request.method, url: request.url, headers: request.headers, body };
      if (answer === 'hang up') {
        request.socket.destroy();
        return;
      }
      response.writeHead(answer.status, {
        'content-type': answer.type ?? 'application/json',
        ...(answer.etag === undefined ? {} : { etag: answer.etag }),
      });
      response.end(answer.body);
    });
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  base = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  client = workspaceClient(fetch as Fetch, base);
});
afterAll(() => {
  server.closeAllConnections();
  server.close();
});
beforeEach(() => {
  answer = { status: 200, body: '{}' };
});

test('asks with the method, address, version and key that were agreed', async () => {
  await client.replace('stocks', 'cherry-3-mm', 4, {
    name: 'Cherry',
    material: 'cherry-black',
    thicknessMm: 3,
  });
  expect(asked).toMatchObject({ method: 'PUT', url: '/api/stocks/cherry-3-mm' });
  expect(asked.headers).toMatchObject({ 'if-match': '"4"', 'content-type': 'application/json' });
  expect(JSON.parse(asked.body)).toEqual({ name: 'Cherry', material: 'cherry-black', thicknessMm: 3 });
  await client.createPiece('{"a":1}', { key: 'some-key-1' });
  expect([asked.method, asked.url, asked.body]).toEqual(['POST', '/api/pieces', '{"a":1}']);
  expect(asked.headers['idempotency-key']).toBe('some-key-1');
  await client.list('sheets', { deleted: true, where: { stock: 'a&b=c' } });
  expect(asked.url).toBe('/api/sheets?stock=a%26b%3Dc&deleted=1');
  await client.get('stocks', '../x y');
  expect(asked.url).toBe('/api/stocks/..%2Fx%20y');
  await client.remove('pieces', 'moon', 2);
  expect(asked.headers['content-type']).toBeUndefined();
  await client.recordInForce({ machine: 'a', stock: 'b', setting: 'c', thicknessMm: 3.05 });
  expect(asked.url).toBe('/api/fit/record?machine=a&stock=b&setting=c&thicknessMm=3.05');
});

test('reads a piece as text, with its version from the entity tag', async () => {
  answer = { status: 200, body: '{ "format": 1 }\n', etag: '"7"' };
  expect(await client.getPiece('moon')).toEqual({
    ok: true,
    value: { version: 7, text: '{ "format": 1 }\n' },
  });
  expect(asked.url).toBe('/api/pieces/moon');
  await client.getPiece('moon', 3);
  expect(asked.url).toBe('/api/pieces/moon/versions/3');
});

test('hands a problem document on as it is', async () => {
  const problem = {
    type: 'urn:inlaywright:problem:still-used',
    title: 't',
    status: 409,
    detail: 'd',
    hint: 'h',
    usedBy: [],
  };
  answer = { status: 409, type: 'application/problem+json', body: JSON.stringify(problem) };
  expect(await client.remove('stocks', 'a', 1)).toEqual({ ok: false, problem });
});

test('never takes something else for an answer', async () => {
  const strange: (typeof answer)[] = [
    { status: 200, body: '<!doctype html>' },
    { status: 200, body: '{"status":"ok"}' },
    { status: 200, body: '{"status":"ok","program":"another","version":"1"}' },
    { status: 502, body: 'Bad gateway', type: 'text/plain' },
    { status: 500, body: '{"error":"x"}' },
  ];
  for (const one of strange) {
    answer = one;
    const got = await client.health();
    expect(got.ok, JSON.stringify(one)).toBe(false);
    if (!got.ok) expect(got.problem.type).toBe('urn:inlaywright:problem:unexpected-answer');
  }
});

test('says so when nobody answers', async () => {
  answer = 'hang up';
  const got = await client.listPieces();
  expect(got).toMatchObject({ ok: false, problem: { type: 'urn:inlaywright:problem:no-server', status: 0 } });
});
