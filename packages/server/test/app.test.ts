import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pieceRegisterSchema, problemCode, readPiece, writePiece } from '@inlaywright/formats';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { BODY_LIMIT_BYTES, writeFileAtomically } from '../src/index.ts';
import { type Bench, JSON_TYPE, moon, moonText, openBench, problemIn } from './workshop-bench.ts';

let bench: Bench;

beforeEach(async () => {
  bench = await openBench({
    demos: [
      ['moon-over-fern.json', moonText],
      ['some-fit.json', '{"format":"inlaywright-fit"}'],
    ],
  });
});
afterEach(() => bench.close());

const larger = writePiece({ ...moon, name: 'Moon over fern, larger' });

test('health names the program and its version', async () => {
  const answer = await bench.ask({ url: '/api/health' });
  expect(answer.json()).toEqual({ status: 'ok', program: 'inlaywright', version: '1.2.3' });
});

test('demo pieces are listed and read; other files of their folder are not', async () => {
  const register = pieceRegisterSchema.parse((await bench.ask({ url: '/api/pieces' })).json());
  expect(register).toEqual({
    pieces: [{ id: 'moon-over-fern', name: 'Moon over fern', version: 1, savedAt: null }],
    unreadable: [],
  });
  const answer = await bench.ask({ url: '/api/pieces/moon-over-fern' });
  expect(answer.headers.etag).toBe('"1"');
  expect(readPiece(answer.body)).toEqual(moon);
});

test('saving a demo piece makes a version of the maker and leaves the demo file alone', async () => {
  const put = await bench.ask({
    method: 'PUT',
    url: '/api/pieces/moon-over-fern',
    headers: { ...JSON_TYPE, 'if-match': '"1"' },
    payload: larger,
  });
  expect(put.statusCode).toBe(200);
  expect(put.json()).toEqual({
    id: 'moon-over-fern',
    name: 'Moon over fern, larger',
    version: 2,
    savedAt: '2026-11-20T09:00:00.000Z',
  });
  const back = await bench.ask({ url: '/api/pieces/moon-over-fern' });
  expect(back.body).toBe(larger);
  expect(back.headers.etag).toBe('"2"');
  expect((await bench.ask({ url: '/api/pieces/moon-over-fern/versions/1' })).body).toBe(moonText);
  expect(readFileSync(join(bench.folder, 'demos/moon-over-fern.json'), 'utf8')).toBe(moonText);
});

test('saving without saying which version it started from is refused', async () => {
  for (const headers of [JSON_TYPE, { ...JSON_TYPE, 'if-match': '*' }, { ...JSON_TYPE, 'if-match': '1' }]) {
    const answer = await bench.ask({
      method: 'PUT',
      url: '/api/pieces/moon-over-fern',
      headers,
      payload: larger,
    });
    expect(answer.statusCode).toBe(428);
    expect(problemIn(answer).type).toContain('version-missing');
  }
});

test('two new pieces of one name get two ids', async () => {
  const request = { method: 'POST' as const, url: '/api/pieces', headers: JSON_TYPE, payload: moonText };
  const first = await bench.ask(request);
  const second = await bench.ask(request);
  expect([first.statusCode, second.statusCode]).toEqual([201, 201]);
  expect([first.json().id, second.json().id]).toEqual(['moon-over-fern-2', 'moon-over-fern-3']);
  expect(second.headers.location).toBe('/api/pieces/moon-over-fern-3');
});

test('a file that is no piece is refused with the place and what to do', async () => {
  for (const payload of ['{', '{"format":"something-else"}', '[]', 'null']) {
    const answer = await bench.ask({ method: 'POST', url: '/api/pieces', headers: JSON_TYPE, payload });
    expect(answer.statusCode, payload).toBe(422);
    expect(problemIn(answer).where, payload).not.toBe('');
  }
});

test('what is missing, too large or of another type gets a problem document', async () => {
  const { ask } = bench;
  expect(problemIn(await ask({ url: '/api/pieces/nowhere' })).status).toBe(404);
  expect(problemIn(await ask({ url: '/api/nothing' })).status).toBe(404);
  expect(problemIn(await ask({ url: '/api/pieces/..%2F..%2Fetc' })).status).toBe(404);
  const put = { method: 'PUT' as const, headers: { ...JSON_TYPE, 'if-match': '"0"' }, payload: moonText };
  expect(problemIn(await ask({ ...put, url: '/api/pieces/..%2Fescape' })).status).toBe(404);
  const large = (url: string, bytes: number) =>
    ask({ method: 'POST', url, headers: JSON_TYPE, payload: `"${'x'.repeat(bytes)}"` });
  expect(problemIn(await large('/api/pieces', BODY_LIMIT_BYTES)).status).toBe(413);
  expect(problemIn(await large('/api/stocks', 2 * 1024 * 1024)).status).toBe(413);
  for (const type of ['text/plain', 'application/x-www-form-urlencoded', 'multipart/form-data; boundary=x']) {
    const answer = await ask({
      method: 'POST',
      url: '/api/pieces',
      headers: { 'content-type': type },
      payload: moonText,
    });
    expect(problemIn(answer).status, type).toBe(415);
  }
});

test('foreign hosts, origins and pages are refused on every route', async () => {
  const here = '127.0.0.1:4780';
  const foreign = [
    { host: 'inlay.example' },
    { host: '127.0.0.1.example:4780' },
    { host: 'localhost.example' },
    { host: '127.0.0.1@inlay.example' },
    { host: '127.0.0.2:4780' },
    { host: '0.0.0.0:4780' },
    { host: '192.168.1.20:4780' },
    { host: '[::2]:4780' },
    { host: '127.0.0.1:4780:80' },
    { host: here, origin: 'http://inlay.example' },
    { host: here, origin: 'http://127.0.0.1:9999' },
    { host: here, origin: 'http://localhost:4780' },
    { host: here, origin: 'https://127.0.0.1:4780' },
    { host: here, origin: 'null' },
    { host: '[::1]:4780', origin: 'http://[::1]:4781' },
    { host: here, 'sec-fetch-site': 'cross-site', 'sec-fetch-mode': 'no-cors' },
    { host: here, 'sec-fetch-site': 'same-site', 'sec-fetch-mode': 'cors' },
  ];
  for (const headers of foreign) {
    for (const url of ['/', '/api/pieces', '/worker/w-1.js', '/enter', '/api/session', '/api/health']) {
      const answer = await bench.app.inject({ url, headers });
      expect(answer.statusCode, `${url} ${JSON.stringify(headers)}`).toBe(403);
      expect(problemIn(answer).type).toContain('foreign-request');
    }
  }
  for (const headers of [
    { host: 'localhost:4780', origin: 'http://localhost:4780' },
    { host: 'LOCALHOST:4780' },
    { host: '[::1]:4780', origin: 'http://[::1]:4780' },
    { host: here, 'sec-fetch-site': 'cross-site', 'sec-fetch-mode': 'navigate' },
    { host: here, 'sec-fetch-site': 'same-origin', 'sec-fetch-mode': 'cors' },
  ]) {
    const answer = await bench.app.inject({ url: '/api/pieces', headers });
    expect(answer.statusCode, JSON.stringify(headers)).toBe(200);
  }
});

test('the page may not turn text into code; only the computing worker may', async () => {
  const policy = async (url: string): Promise<string> =>
    String((await bench.ask({ url })).headers['content-security-policy']);
  for (const url of ['/', '/assets/p-1.js', '/api/health', '/api/nothing', '/api/changes-not']) {
    expect(await policy(url), url).toMatch(/script-src 'self';/);
    expect(await policy(url), url).not.toContain('unsafe');
  }
  expect(await policy('/worker/w-1.js')).toBe(
    "default-src 'none'; script-src 'self' 'unsafe-eval' 'wasm-unsafe-eval'; connect-src 'self'",
  );
  const headers = (await bench.ask({ url: '/' })).headers;
  expect(headers['x-content-type-options']).toBe('nosniff');
  expect(headers['cache-control']).toBe('no-cache');
  expect((await bench.ask({ url: '/worker/w-1.js' })).headers['cache-control']).toContain('immutable');
});

test('a page that runs wild is slowed down', async () => {
  let refused: Awaited<ReturnType<Bench['ask']>> | undefined;
  for (let i = 0; i < 1300 && !refused; i++) {
    const answer = await bench.ask({ url: '/api/health' });
    if (answer.statusCode === 429) refused = answer;
  }
  expect(problemCode(problemIn(refused!))).toBe('too-many-requests');
});

test('a write that fails leaves the old file and nothing beside it', () => {
  const { folder } = bench;
  const target = join(folder, 'kept.json');
  writeFileAtomically(target, 'first');
  writeFileAtomically(target, 'second');
  expect(readFileSync(target, 'utf8')).toBe('second');
  mkdirSync(join(folder, 'taken.json'));
  writeFileSync(join(folder, 'taken.json/inside'), 'x');
  expect(() => writeFileAtomically(join(folder, 'taken.json'), 'text')).toThrow();
  expect(() => writeFileAtomically(join(folder, 'no-such-folder/a.json'), 'text')).toThrow(/ENOENT/);
  expect(readdirSync(folder).filter((name) => name.endsWith('.part'))).toEqual([]);
  expect(readFileSync(join(folder, 'taken.json/inside'), 'utf8')).toBe('x');
});
