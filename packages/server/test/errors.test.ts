import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { DOCUMENT_KINDS, problemCode, ROUTES } from '@inlaywright/formats';
import type { InjectOptions, LightMyRequestResponse } from 'fastify';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { problemOf } from '../src/http/problem.ts';
import { CATALOGUE, type ErrorCode, EXIT_CODE, WorkspaceError } from '../src/index.ts';
import { type Bench, fill, JSON_TYPE, moonText, openBench, problemIn } from './workshop-bench.ts';

const read = (path: string): string =>
  readFileSync(fileURLToPath(new URL(`../../../${path}`, import.meta.url)), 'utf8');

/** Codes that a request provokes: how, against a filled workspace that is shared at 192.168.1.5:4780. */
const provoked: Readonly<Partial<Record<ErrorCode, (bench: Bench) => InjectOptions>>> = {
  'foreign-request': () => ({ url: '/api/pieces', headers: { host: 'inlay.example' } }),
  'no-such-route': () => ({ url: '/api/nothing' }),
  'no-such-document': () => ({ url: '/api/stocks/none' }),
  'piece-missing': () => ({ url: '/api/pieces/none' }),
  'no-such-version': () => ({ url: '/api/stocks/cherry-3-mm/versions/99' }),
  deleted: () => ({ url: '/api/pieces/put-aside' }),
  'version-missing': () => ({ method: 'DELETE', url: '/api/machines/bench-laser' }),
  'stale-version': () => put('/api/machines/bench-laser', '"9"', machine),
  'body-not-json': () => post('/api/machines', '{'),
  'body-invalid': () => post('/api/machines', '{}'),
  'query-invalid': () => ({ url: '/api/machines?colour=red' }),
  'reference-missing': () =>
    post('/api/settings', '{"name":"x","machine":"none","powerPercent":1,"speedMmPerS":1}'),
  'still-used': () => ({
    method: 'DELETE',
    url: '/api/machines/bench-laser',
    headers: { 'if-match': '"1"' },
  }),
  'laser-refused': () => post('/api/stocks', '{"name":"PVC","material":"acrylic-cast","thicknessMm":3}'),
  'built-in': () => put('/api/materials/sapele', '"1"', '{"name":"Sapele","type":"wood"}'),
  'key-invalid': () => post('/api/machines', machine, { 'idempotency-key': 'x' }),
  'key-reused': () => post('/api/machines', machine, { 'idempotency-key': 'used-before' }),
  'nothing-to-weigh': () =>
    post('/api/fit/records', '{"machine":"bench-laser","stock":"bog-oak-3-mm","setting":"hardwood"}'),
  'code-needed': () => ({ url: '/api/pieces', ...stranger }),
  'code-wrong': () => ({ ...post('/api/session', '{"code":"0000-0000"}'), ...stranger }),
  'code-wait': () => ({ ...post('/api/session', '{"code":"0000-0000"}'), ...guesser }),
  'machine-only': (bench) => ({
    url: '/api/sessions',
    ...stranger,
    headers: { ...stranger.headers, cookie: `inlaywright-session=${bench.access.sessions.open('Phone')}` },
  }),
  'no-such-session': () => ({ method: 'DELETE', url: '/api/sessions/none' }),
  'request-unreadable': () => ({ url: '/api/pieces/%ff' }),
  'too-large': () => post('/api/machines', `"${'x'.repeat(3_000_000)}"`),
  'not-json-type': () => ({
    method: 'POST',
    url: '/api/machines',
    headers: { 'content-type': 'text/plain' },
    payload: '',
  }),
};

const machine = '{"name":"Other laser","bedWidthMm":300,"bedHeightMm":200}';
const stranger = { remoteAddress: '192.168.1.77', headers: { ...JSON_TYPE, host: '192.168.1.5:4780' } };
const guesser = { ...stranger, remoteAddress: '192.168.1.78' };

function post(url: string, payload: string, headers: Record<string, string> = {}): InjectOptions {
  return { method: 'POST', url, payload, headers: { ...JSON_TYPE, ...headers } };
}

function put(url: string, version: string, payload: string): InjectOptions {
  return { method: 'PUT', url, payload, headers: { ...JSON_TYPE, 'if-match': version } };
}

/** Codes that no request of this file provokes, with the test that does. */
const elsewhere: Readonly<Partial<Record<ErrorCode, string>>> = {
  'not-shared': 'share.test.ts',
  'too-many-requests': 'app.test.ts',
  'too-many-listeners': 'changes.test.ts',
  'workspace-locked': 'workspace.test.ts',
  'workspace-newer': 'workspace.test.ts',
  'workspace-damaged': 'workspace.test.ts',
  'workspace-missing': 'backup.test.ts',
  'workspace-not-empty': 'export.test.ts',
  'file-exists': 'backup.test.ts',
  'backup-invalid': 'backup.test.ts',
  'export-invalid': 'export.test.ts',
  'no-network': 'share.test.ts',
  'page-not-built': 'serve.test.ts',
  'port-taken': 'serve.test.ts',
};

/** Trouble of disk and system, told from the error that the system gives. */
const systemErrors: readonly (readonly [ErrorCode, unknown])[] = [
  ['workspace-busy', Object.assign(new Error('database is locked'), { code: 'SQLITE_BUSY' })],
  ['workspace-busy', Object.assign(new Error('locked'), { code: 'SQLITE_BUSY_SNAPSHOT' })],
  ['workspace-full', Object.assign(new Error('database or disk is full'), { code: 'SQLITE_FULL' })],
  ['workspace-full', Object.assign(new Error('no space left'), { code: 'ENOSPC' })],
  ['workspace-unwritable', Object.assign(new Error('read-only'), { code: 'SQLITE_READONLY' })],
  ['workspace-unwritable', Object.assign(new Error('permission denied'), { code: 'EACCES' })],
  ['workspace-damaged', Object.assign(new Error('malformed'), { code: 'SQLITE_CORRUPT' })],
  ['server-failed', new Error('a bug')],
  ['server-failed', Object.assign(new Error('bad SQL'), { code: 'SQLITE_ERROR' })],
];

let bench: Bench;
beforeAll(async () => {
  bench = await openBench({ demos: [['put-aside.json', moonText]] });
  await fill(bench.client);
  bench.workspace.store.remove('pieces', 'put-aside', 1);
  await bench.client.create('machines', JSON.parse(machine), { key: 'other-one' });
  await bench.client.create('orders', { name: 'x' }, { key: 'used-before' });
  bench.access.share(['192.168.1.5:4780']);
  for (let i = 0; i < 4; i++)
    await bench.ask({ ...post('/api/session', '{"code":"0000-0000"}'), ...guesser });
});
afterAll(() => bench.close());

const codes = Object.keys(CATALOGUE) as ErrorCode[];

describe('the catalogue', () => {
  test.each(Object.keys(provoked) as ErrorCode[])(
    '%s is told with its status, in a problem document',
    async (code) => {
      const answer: LightMyRequestResponse = await bench.ask(provoked[code]!(bench));
      const problem = problemIn(answer);
      expect(problemCode(problem)).toBe(code);
      expect(problem.status).toBe(CATALOGUE[code].status);
      expect(problem.title).toBe(CATALOGUE[code].title);
    },
  );

  test.each(systemErrors)('%s is told from the error of the system', (code, error) => {
    const problem = problemOf(error);
    expect(problemCode(problem)).toBe(code);
    expect(problem.status).toBe(CATALOGUE[code].status);
    if (code === 'server-failed') expect(problem.detail).not.toContain((error as Error).message);
  });

  test('has no code that nothing provokes', () => {
    const told = [...Object.keys(provoked), ...Object.keys(elsewhere), ...systemErrors.map(([code]) => code)];
    expect([...new Set(told)].sort()).toEqual([...codes].sort());
    for (const [code, file] of Object.entries(elsewhere)) {
      expect(read(`packages/server/test/${file}`), `${file} tests ${code}`).toContain(`'${code}'`);
    }
  });

  test('is what docs/errors.md lists, with the same titles and statuses', () => {
    const section = /## Server and workspace\n([\s\S]*?)(?=\n## |$)/.exec(read('docs/errors.md'))![1]!;
    const rows = [...section.matchAll(/^\| `([a-z-]+)` \| (\d{3}) \| ([^|]+) \|/gm)].map(
      ([, code, status, title]) => [code!, Number(status), title!.trim()] as const,
    );
    expect(Object.fromEntries(rows.map(([code, status, title]) => [code, { title, status }]))).toEqual(
      CATALOGUE,
    );
    expect(rows).toHaveLength(codes.length);
  });

  test('every command ends with the exit code of bad input', () => {
    expect(EXIT_CODE).toBe(2);
    expect(new WorkspaceError('workspace-locked', 'x', { hint: 'y' })).toMatchObject({
      where: '',
      details: {},
    });
  });
});

describe('the routes', () => {
  test('are those of the table, no more and no fewer', () => {
    const printed = bench.app.printRoutes({ commonPrefix: false, includeHooks: false });
    const inTable = new Set(ROUTES.map(({ method, path }) => `${method} ${path}`));
    expect(inTable.size).toBe(ROUTES.length);
    for (const { method, path } of ROUTES) {
      expect(bench.app.hasRoute({ method, url: path }), `${method} ${path}`).toBe(true);
    }
    const served = routesIn(printed).flatMap(([path, methods]) =>
      // Pages are no part of the table; HEAD is what Fastify adds to every GET.
      path.startsWith('/api/')
        ? methods.filter((method) => method !== 'HEAD').map((method) => `${method} ${path}`)
        : [],
    );
    expect(served.sort()).toEqual([...inTable].sort());
  });

  test('are all described in docs/server.md', () => {
    const text = read('docs/server.md');
    for (const { path } of ROUTES) {
      const general = DOCUMENT_KINDS.reduce((name, kind) => name.replace(`/api/${kind}`, '/api/KIND'), path);
      const shown = general.replace('/api/pieces', '/api/KIND');
      expect(text.includes(`\`${path}\``) || text.includes(`\`${shown}\``), path).toBe(true);
    }
  });

  test('for this machine only are closed to devices, and everything else to strangers', async () => {
    const cookie = `inlaywright-session=${bench.access.sessions.open('Tablet')}`;
    for (const { method, path, who } of ROUTES) {
      if (path === '/api/changes' || (method === 'DELETE' && path === '/api/session')) continue;
      const url = path.replace(':id', 'some-id').replace(':version', '1');
      const ask = (headers: Record<string, string>) =>
        bench.ask({
          method,
          url,
          remoteAddress: '192.168.1.90',
          headers: { ...stranger.headers, ...headers },
          payload: '{}',
        });
      if (path !== '/api/session') {
        expect((await ask({})).statusCode === 401, `${method} ${path}`).toBe(who !== 'everybody');
      }
      expect((await ask({ cookie })).statusCode === 403, `${method} ${path}`).toBe(who === 'machine');
    }
  });
});

/** Paths and methods of Fastify's own print of its routes. */
function routesIn(printed: string): [string, string[]][] {
  const stack: string[] = [];
  const found: [string, string[]][] = [];
  for (const line of printed.split('\n')) {
    const match = /^([│ ]*)[├└]── (\S*)(?: \(([A-Z, ]+)\))?/.exec(line);
    if (!match) continue;
    const depth = match[1]!.length / 4;
    stack.length = depth;
    stack.push(match[2]!);
    if (match[3]) found.push([stack.join(''), match[3].split(', ')]);
  }
  return found;
}
