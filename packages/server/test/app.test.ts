import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pieceRegisterSchema, problemSchema, readPiece, writePiece } from '@inlaywright/formats';
import type { Piece } from '@inlaywright/workshop';
import type { FastifyInstance, InjectOptions, LightMyRequestResponse } from 'fastify';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { BODY_LIMIT_BYTES, createApp, openWorkspace, writeFileAtomically } from '../src/index.ts';

const piece: Piece = {
  name: 'Moon over fern',
  tones: [{ id: 'ground', name: 'Cherry', colour: '#b8763f', grainDeg: 90 }],
  areas: [
    {
      id: 'a1',
      name: 'ground',
      tone: 'ground',
      shape: { kind: 'disc', centre: { x: 0, y: 0 }, diameterMm: 24 },
    },
  ],
};

let folder: string;
let app: FastifyInstance;
const errors: Error[] = [];

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'inlaywright-server-'));
  const demos = join(folder, 'demos');
  const page = join(folder, 'page');
  mkdirSync(demos);
  mkdirSync(join(page, 'worker'), { recursive: true });
  mkdirSync(join(page, 'assets'));
  writeFileSync(join(demos, 'moon-over-fern.json'), writePiece(piece));
  writeFileSync(join(demos, 'some-fit.json'), '{"format":"inlaywright-fit"}');
  writeFileSync(join(page, 'index.html'), '<!doctype html><title>page</title>');
  writeFileSync(join(page, 'worker/w-1.js'), '');
  writeFileSync(join(page, 'assets/p-1.js'), '');
  app = await createApp({
    workspace: openWorkspace({ folder: join(folder, 'workspace'), demos }),
    page,
    version: '1.2.3',
    onError: (error) => errors.push(error),
  });
});

afterEach(async () => {
  await app.close();
  rmSync(folder, { recursive: true, force: true });
  expect(errors.splice(0)).toEqual([]);
});

const json = { 'content-type': 'application/json' };

function ask(request: InjectOptions): Promise<LightMyRequestResponse> {
  return app.inject({ ...request, headers: { host: '127.0.0.1:4780', ...request.headers } });
}

function problemIn(answer: LightMyRequestResponse): ReturnType<typeof problemSchema.parse> {
  expect(answer.headers['content-type']).toBe('application/problem+json; charset=utf-8');
  const problem = problemSchema.parse(answer.json());
  expect(problem.status).toBe(answer.statusCode);
  expect(problem.hint).not.toBe('');
  return problem;
}

test('health names the program and its version', async () => {
  const answer = await ask({ url: '/api/health' });
  expect(answer.json()).toEqual({ status: 'ok', program: 'inlaywright', version: '1.2.3' });
});

test('demo pieces are listed and read; other files of their folder are not', async () => {
  const register = pieceRegisterSchema.parse((await ask({ url: '/api/pieces' })).json());
  expect(register).toEqual({
    pieces: [{ id: 'moon-over-fern', name: 'Moon over fern', version: 1, savedAt: null }],
    unreadable: [],
  });
  const answer = await ask({ url: '/api/pieces/moon-over-fern' });
  expect(answer.headers.etag).toBe('"1"');
  expect(readPiece(answer.body)).toEqual(piece);
});

test('saving a demo piece starts its history in the workspace and leaves the demo alone', async () => {
  const changed = writePiece({ ...piece, name: 'Moon over fern, larger' });
  const put = await ask({
    method: 'PUT',
    url: '/api/pieces/moon-over-fern',
    headers: { ...json, 'if-match': '"1"' },
    payload: changed,
  });
  expect(put.statusCode).toBe(200);
  expect(put.json()).toMatchObject({ id: 'moon-over-fern', name: 'Moon over fern, larger', version: 2 });
  const back = await ask({ url: '/api/pieces/moon-over-fern' });
  expect(back.body).toBe(changed);
  expect(back.headers.etag).toBe('"2"');
  expect(readPiece(readFileSync(join(folder, 'demos/moon-over-fern.json'), 'utf8')).name).toBe(
    'Moon over fern',
  );
});

test('a change that started from an older version is refused, and nothing is written', async () => {
  const request = {
    method: 'PUT' as const,
    url: '/api/pieces/moon-over-fern',
    headers: { ...json, 'if-match': '"1"' },
    payload: writePiece(piece),
  };
  expect((await ask(request)).statusCode).toBe(200);
  const second = await ask(request);
  expect(second.statusCode).toBe(412);
  expect(problemIn(second).detail).toContain('newest version of moon-over-fern is 2');
  expect(readdirSync(join(folder, 'workspace/pieces/moon-over-fern'))).toEqual(['2.json']);
  const without = await ask({ ...request, headers: json });
  expect(without.statusCode).toBe(428);
  problemIn(without);
});

test('two new pieces of one name get two ids', async () => {
  const request = { method: 'POST' as const, url: '/api/pieces', headers: json, payload: writePiece(piece) };
  const first = await ask(request);
  const second = await ask(request);
  expect([first.statusCode, second.statusCode]).toEqual([201, 201]);
  expect([first.json().id, second.json().id]).toEqual(['moon-over-fern-2', 'moon-over-fern-3']);
  expect(second.headers.location).toBe('/api/pieces/moon-over-fern-3');
});

test('a file that is no piece is refused with the place and what to do', async () => {
  for (const payload of ['{', '{"format":"something-else"}', '[]', 'null']) {
    const answer = await ask({ method: 'POST', url: '/api/pieces', headers: json, payload });
    expect(answer.statusCode, payload).toBe(422);
    expect(problemIn(answer).where, payload).not.toBe('');
  }
});

test('a broken file in the workspace is named and does not hide the others', async () => {
  mkdirSync(join(folder, 'workspace/pieces/cut-short'), { recursive: true });
  writeFileSync(join(folder, 'workspace/pieces/cut-short/1.json'), '{"format":"inlaywright-piece","ver');
  const register = pieceRegisterSchema.parse((await ask({ url: '/api/pieces' })).json());
  expect(register.pieces.map(({ id }) => id)).toEqual(['moon-over-fern']);
  expect(register.unreadable.map(({ id }) => id)).toEqual(['cut-short']);
});

test('what is missing, too large or of another type gets a problem document', async () => {
  expect(problemIn(await ask({ url: '/api/pieces/nowhere' })).status).toBe(404);
  expect(problemIn(await ask({ url: '/api/nothing' })).status).toBe(404);
  expect(problemIn(await ask({ url: '/api/pieces/..%2F..%2Fetc' })).status).toBe(404);
  const put = { method: 'PUT' as const, headers: { ...json, 'if-match': '"0"' }, payload: writePiece(piece) };
  expect(problemIn(await ask({ ...put, url: '/api/pieces/..%2Fescape' })).status).toBe(404);
  const large = await ask({
    method: 'POST',
    url: '/api/pieces',
    headers: json,
    payload: `"${'x'.repeat(BODY_LIMIT_BYTES)}"`,
  });
  expect(problemIn(large).status).toBe(413);
  const text = await ask({
    method: 'POST',
    url: '/api/pieces',
    headers: { 'content-type': 'text/plain' },
    payload: '{}',
  });
  expect(problemIn(text).status).toBe(415);
});

test('foreign hosts, origins and pages are refused on every route', async () => {
  const foreign = [
    { host: 'inlay.example' },
    { host: '127.0.0.1.example:4780' },
    { host: '127.0.0.1:4780', origin: 'http://inlay.example' },
    { host: '127.0.0.1:4780', origin: 'http://127.0.0.1:9999' },
    { host: '127.0.0.1:4780', origin: 'null' },
    { host: '127.0.0.1:4780', 'sec-fetch-site': 'cross-site', 'sec-fetch-mode': 'no-cors' },
  ];
  for (const headers of foreign) {
    for (const url of ['/', '/api/pieces', '/worker/w-1.js']) {
      const answer = await app.inject({ url, headers });
      expect(answer.statusCode, `${url} ${JSON.stringify(headers)}`).toBe(403);
      problemIn(answer);
    }
  }
  for (const headers of [
    { host: 'localhost:4780', origin: 'http://localhost:4780' },
    { host: '[::1]:4780' },
  ]) {
    expect((await app.inject({ url: '/api/pieces', headers })).statusCode).toBe(200);
  }
});

test('the page may not turn text into code; only the computing worker may', async () => {
  const policy = async (url: string): Promise<string> =>
    String((await ask({ url })).headers['content-security-policy']);
  for (const url of ['/', '/assets/p-1.js', '/api/health', '/api/nothing']) {
    expect(await policy(url), url).toMatch(/script-src 'self';/);
    expect(await policy(url), url).not.toContain('unsafe');
  }
  expect(await policy('/worker/w-1.js')).toBe(
    "default-src 'none'; script-src 'self' 'unsafe-eval' 'wasm-unsafe-eval'; connect-src 'self'",
  );
  const headers = (await ask({ url: '/' })).headers;
  expect(headers['x-content-type-options']).toBe('nosniff');
  expect(headers['cache-control']).toBe('no-cache');
  expect((await ask({ url: '/worker/w-1.js' })).headers['cache-control']).toContain('immutable');
});

test('a write that fails leaves the old file and nothing beside it', () => {
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
