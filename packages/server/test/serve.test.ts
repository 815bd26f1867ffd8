import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { networkInterfaces, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type Running, serve } from '../src/index.ts';

let folder: string;
let running: Running | undefined;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'inlaywright-serve-'));
  mkdirSync(join(folder, 'page'));
  writeFileSync(join(folder, 'page/index.html'), '<!doctype html><title>page</title>');
});

afterEach(async () => {
  await running?.close();
  running = undefined;
  rmSync(folder, { recursive: true, force: true });
});

function start(port?: number, workspace = 'workspace'): Promise<Running> {
  return serve({
    ...(port === undefined ? {} : { port }),
    workspace: join(folder, workspace),
    demos: join(folder, 'none'),
    page: join(folder, 'page'),
  });
}

/** One request as bytes, and the first line of the answer. */
function raw(host: string, port: number, request: string): Promise<string> {
  return new Promise((resolve, reject) => {
    const socket = connect({ host, port, timeout: 2000 });
    let answer = '';
    socket.on('data', (data) => {
      answer += String(data);
    });
    socket.on('end', () => resolve(answer.split('\r\n')[0]!));
    socket.on('timeout', () => socket.destroy(new Error('timeout')));
    socket.on('error', reject);
    socket.write(request);
  });
}

test('serves page and pieces at the address it tells', async () => {
  running = await start(0);
  expect(running.address).toBe(`http://127.0.0.1:${running.port}/`);
  expect(await (await fetch(running.address)).text()).toContain('<title>page</title>');
  expect(await (await fetch(`${running.address}api/pieces`)).json()).toEqual({ pieces: [], unreadable: [] });
});

test('two servers do not open one workspace; the second says who has it', async () => {
  running = await start(0);
  await expect(start(0)).rejects.toMatchObject({
    code: 'workspace-locked',
    message: expect.stringContaining(`process ${process.pid}, serving`),
  });
  await running.close();
  running = await start(0);
});

test('a request without a Host header is refused', async () => {
  running = await start(0);
  expect(await raw('127.0.0.1', running.port, 'GET /api/pieces HTTP/1.0\r\n\r\n')).toMatch(
    /^HTTP\/1\.[01] 403/,
  );
});

test('no other address of this machine answers', async () => {
  running = await start(0);
  const others = Object.values(networkInterfaces())
    .flatMap((addresses) => addresses ?? [])
    .filter(({ internal, family }) => !internal && family === 'IPv4');
  for (const { address } of others) {
    await expect(raw(address, running.port, 'GET / HTTP/1.0\r\n\r\n'), address).rejects.toThrow(
      /ECONNREFUSED|timeout|EHOSTUNREACH/,
    );
  }
  // A machine without a network has no other address; the loopback one answers in any case.
  expect(await raw('127.0.0.1', running.port, 'GET / HTTP/1.0\r\nHost: localhost\r\n\r\n')).toContain('200');
});

test('without a port the first free one is taken; a port that is asked for and taken is an error', async () => {
  running = await start();
  const second = await start(undefined, 'second');
  expect(second.port).toBeGreaterThan(running.port);
  await second.close();
  await expect(start(running.port, 'second')).rejects.toMatchObject({ code: 'port-taken' });
});

test('a page that is not built is said so, with what to do', async () => {
  rmSync(join(folder, 'page/index.html'));
  await expect(start(0)).rejects.toMatchObject({
    code: 'page-not-built',
    hint: expect.stringContaining('npm run build'),
  });
});
