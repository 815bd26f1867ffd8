import { readFileSync } from 'node:fs';
import { networkInterfaces } from 'node:os';
import { problemCode, sessionListSchema, sessionStateSchema, shareSchema } from '@inlaywright/formats';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { newCode, readCode, sameCode } from '../src/access/code.ts';
import { addressToShare, ownAddresses } from '../src/access/network.ts';
import { openThrottle } from '../src/access/throttle.ts';
import { askServer, openStream, type Served, startServer } from './served.ts';
import { openBench, problemIn } from './workshop-bench.ts';

/**
 * The shared address of these tests is 127.0.0.2: a loopback address too, so that nothing leaves the machine, yet
 * not the one that needs no code. Other devices are played by connections from 127.0.0.3 and on.
 */
const SHARED = '127.0.0.2';
const DEVICE = '127.0.0.3';
// Only Linux gives every 127.x address to the loopback interface without being asked.
const hasAddresses = process.platform === 'linux';

describe.skipIf(!hasAddresses)('a shared workspace', () => {
  let served: Served;
  let local: string;
  let shared: string;
  let code: string;

  beforeEach(async () => {
    served = await startServer({ share: { address: SHARED } });
    local = served.running.address;
    shared = served.running.shared!.address;
    code = served.running.shared!.code;
  });
  afterEach(() => served.close());

  const form = { 'content-type': 'application/x-www-form-urlencoded' };
  const json = { 'content-type': 'application/json' };

  /** The cookie of a device that entered the code. */
  async function signedIn(device = 'Phone', from = DEVICE): Promise<string> {
    const answer = await askServer(`${shared}api/session`, {
      method: 'POST',
      headers: json,
      body: JSON.stringify({ code, device }),
      from,
    });
    expect(answer.status).toBe(201);
    return answer.headers['set-cookie']![0]!.split(';')[0]!;
  }

  test('answers at the address that it tells, with a code to type and a QR code of both', () => {
    expect(shared).toBe(`http://${SHARED}:${served.running.port}/`);
    expect(code).toMatch(/^[0-9A-HJKMNP-TV-Z]{4}-[0-9A-HJKMNP-TV-Z]{4}$/);
    expect(served.running.shared!.qr).toMatch(/[▀▄█]{5}/);
  });

  test('gives nothing to who has no code, by no address, name or method', async () => {
    for (const path of [
      'api/pieces',
      'api/changes',
      'api/machines',
      'api/share',
      'api/sessions',
      'api/material-table',
      'api/fit/record',
      'api//pieces',
      'api/../api/pieces',
      '%61pi/pieces',
      'api/session/../pieces',
      'api/health/../pieces',
      'enter/../api/pieces',
      'index.html',
      'assets/p-1.js',
      '',
    ]) {
      for (const method of ['GET', 'HEAD', 'POST', 'PUT', 'DELETE', 'OPTIONS']) {
        const answer = await askServer(shared + path, { method, from: DEVICE, headers: json, body: '{}' });
        expect([401, 303, 400], `${method} ${path} ${answer.status}`).toContain(answer.status);
        if (answer.status === 303) expect(answer.headers.location).toBe('/enter');
        expect(answer.body).not.toContain('<title>page');
        expect(answer.body).not.toContain(code);
      }
    }
  });

  test('does not believe what a request says of where it comes from', async () => {
    const lies = [
      { 'x-forwarded-for': '127.0.0.1' },
      { forwarded: 'for=127.0.0.1' },
      { 'x-real-ip': '127.0.0.1' },
      { cookie: 'inlaywright-session=' },
      { cookie: `inlaywright-session=${'A'.repeat(43)}` },
      { cookie: 'inlaywright-session=%27%20OR%201=1' },
      { authorization: `Bearer ${code}` },
    ];
    for (const headers of lies) {
      const answer = await askServer(`${shared}api/pieces`, { from: DEVICE, headers });
      expect(answer.status, JSON.stringify(headers)).toBe(401);
    }
    // Nor does the name of the other address help: the connection came in at this one.
    for (const host of [
      '127.0.0.1',
      'localhost',
      `localhost:${served.running.port}`,
      `127.0.0.1:${served.running.port}`,
    ]) {
      const answer = await askServer(`${shared}api/pieces`, { from: DEVICE, headers: { host } });
      expect(answer.status, host).toBe(403);
    }
    // This machine itself needs the code at the shared address, too.
    expect((await askServer(`${shared}api/pieces`, { from: '127.0.0.1' })).status).toBe(401);
    expect((await askServer(`${local}api/pieces`)).status).toBe(200);
  });

  test('is addressed by its own address and port, by nothing else', async () => {
    const cookie = await signedIn();
    const { port } = served.running;
    for (const host of [
      SHARED,
      `${SHARED}:${port + 1}`,
      `${SHARED}:80`,
      `inlay.example:${port}`,
      `127.0.0.3:${port}`,
      `${SHARED}.example:${port}`,
      `[::1]:${port}`,
    ]) {
      expect((await askServer(`${shared}api/pieces`, { headers: { host, cookie } })).status, host).toBe(403);
    }
    const at = (headers: Record<string, string>) =>
      askServer(`${shared}api/pieces`, { headers: { cookie, ...headers } });
    expect((await at({ origin: `http://${SHARED}:${port + 1}` })).status).toBe(403);
    expect((await at({ origin: `http://127.0.0.1:${port}` })).status).toBe(403);
    expect((await at({ origin: 'http://inlay.example' })).status).toBe(403);
    expect((await at({ 'sec-fetch-site': 'same-site' })).status).toBe(403);
    expect((await at({ origin: `http://${SHARED}:${port}` })).status).toBe(200);
    // The loopback listener does not answer to the shared name.
    expect((await askServer(`${local}api/pieces`, { headers: { host: `${SHARED}:${port}` } })).status).toBe(
      403,
    );
  });

  test('opens to a device that enters the code on its page', async () => {
    const start = await askServer(shared, { from: DEVICE });
    expect([start.status, start.headers.location]).toEqual([303, '/enter']);
    const page = await askServer(`${shared}enter?code=${code.toLowerCase()}`, { from: DEVICE });
    // Otherwise a browser's POST of this form says `Origin: null` and is refused.
    expect(page.headers['referrer-policy']).toBe('same-origin');
    expect(page.body).toContain(`value="${readCode(code)}"`);
    expect(page.headers['content-security-policy']).toContain("default-src 'none'");
    expect(page.headers['content-security-policy']).not.toContain('unsafe');
    expect(page.body).not.toContain('<script');
    // Looking at the page signs nobody in: cameras and messengers look at addresses by themselves.
    expect(page.headers['set-cookie']).toBeUndefined();
    const entered = await askServer(`${shared}enter`, {
      method: 'POST',
      headers: { ...form, origin: shared.replace(/\/$/, '') },
      body: `code=${encodeURIComponent(code.toLowerCase().replace('-', ' '))}&device=Tablet`,
      from: DEVICE,
    });
    expect([entered.status, entered.headers.location]).toEqual([303, '/']);
    const [cookie, ...flags] = entered.headers['set-cookie']![0]!.split('; ');
    expect(flags.sort()).toEqual(['HttpOnly', 'Max-Age=2592000', 'Path=/', 'SameSite=Strict']);
    const opened = await askServer(shared, { from: DEVICE, headers: { cookie: cookie! } });
    expect(opened.body).toContain('<title>page');
    const state = sessionStateSchema.parse(
      JSON.parse((await askServer(`${shared}api/session`, { headers: { cookie: cookie! } })).body),
    );
    expect(state).toEqual({ local: false, signedIn: true, shared: true });
  });

  test('a form of another site cannot enter a code, nor can a wrong one', async () => {
    const post = (headers: Record<string, string>, body: string) =>
      askServer(`${shared}enter`, { method: 'POST', headers: { ...form, ...headers }, body, from: DEVICE });
    expect((await post({ origin: 'http://inlay.example' }, `code=${code}`)).status).toBe(403);
    const wrong = await post({}, 'code=%3Cb%3E%22&device=x');
    expect(wrong.status).toBe(401);
    expect(wrong.headers['set-cookie']).toBeUndefined();
    expect(wrong.body).toContain('role="alert"');
    expect(wrong.body).not.toContain('<b>');
    const empty = await post({}, '');
    expect(empty.status).toBe(401);
  });

  test('makes a guesser wait longer and longer, and takes the right code no sooner', async () => {
    const guess = (guessed: string, from = DEVICE) =>
      askServer(`${shared}api/session`, {
        method: 'POST',
        headers: json,
        body: JSON.stringify({ code: guessed }),
        from,
      });
    for (let i = 0; i < 3; i++) expect((await guess('0000-0000')).status).toBe(401);
    const waiting = await guess('0000-0000');
    expect(waiting.status).toBe(429);
    expect(Number(waiting.headers['retry-after'])).toBeGreaterThanOrEqual(1);
    expect((await guess(code)).status).toBe(429);
    // Another device is not kept out by it.
    expect((await guess(code, '127.0.0.4')).status).toBe(201);
    await new Promise((resolve) => setTimeout(resolve, Number(waiting.headers['retry-after']) * 1000 + 100));
    expect((await guess(code)).status).toBe(201);
  });

  test('devices are listed and turned away on the serving machine only; their streams end with them', async () => {
    const [phone, tablet] = [await signedIn('Phone'), await signedIn('Tablet', '127.0.0.4')];
    expect((await askServer(`${shared}api/sessions`, { headers: { cookie: phone } })).status).toBe(403);
    expect((await askServer(`${shared}api/share`, { headers: { cookie: phone } })).status).toBe(403);
    const listed = sessionListSchema.parse(
      JSON.parse((await askServer(`${local}api/sessions`)).body),
    ).sessions;
    expect(listed.map(({ device }) => device)).toEqual(['Phone', 'Tablet']);
    const other = await askServer(`${shared}api/sessions/${listed[0]!.id}`, {
      method: 'DELETE',
      headers: { cookie: tablet },
    });
    expect(other.status).toBe(403);

    const stream = await openStream(`${shared}api/changes`, { cookie: phone });
    expect((await stream.next()).event).toBe('here');
    expect((await askServer(`${local}api/sessions/${listed[0]!.id}`, { method: 'DELETE' })).status).toBe(204);
    await stream.ended;
    expect((await askServer(`${shared}api/pieces`, { headers: { cookie: phone } })).status).toBe(401);
    expect((await askServer(`${shared}api/pieces`, { headers: { cookie: tablet } })).status).toBe(200);
    expect((await askServer(`${local}api/sessions/${listed[0]!.id}`, { method: 'DELETE' })).status).toBe(404);

    // A device signs itself out; its token is worth nothing then, wherever it was copied to.
    expect(
      (await askServer(`${shared}api/session`, { method: 'DELETE', headers: { cookie: tablet } })).status,
    ).toBe(204);
    expect((await askServer(`${shared}api/pieces`, { headers: { cookie: tablet } })).status).toBe(401);
  });

  test('the serving machine shows the code, as data and as a page with a QR code', async () => {
    const share = shareSchema.parse(JSON.parse((await askServer(`${local}api/share`)).body));
    expect(share).toMatchObject({ shared: true, addresses: [shared], code });
    expect(share.qrSvg).toMatch(/^<svg /);
    const page = await askServer(`${local}api/share`, {
      headers: { accept: 'text/html,application/xhtml+xml' },
    });
    expect(page.headers['content-type']).toContain('text/html');
    expect(page.body).toContain(code);
    expect(page.body).toContain('<svg ');
    expect(page.headers['cache-control']).toBe('no-store');
  });

  test('tokens are long, differ, and are not in the database', async () => {
    const cookies = await Promise.all([signedIn('a'), signedIn('b')]);
    const tokens = cookies.map((cookie) => cookie.split('=')[1]!);
    expect(new Set(tokens).size).toBe(2);
    for (const token of tokens) expect(Buffer.from(token, 'base64url')).toHaveLength(32);
    await served.running.close();
    const bytes = readFileSync(`${served.folder}/workspace/workspace.sqlite`);
    for (const token of [...tokens, code, readCode(code)]) expect(bytes.includes(token), token).toBe(false);
    served = await startServer({ share: { address: SHARED } });
  });
});

test('sessions end after thirty days', async () => {
  const bench = await openBench();
  const token = bench.access.sessions.open('Phone');
  const day = (n: number) => {
    bench.clock.now = new Date(Date.parse('2026-11-20T09:00:00.000Z') + n * 86_400_000);
  };
  day(29.9);
  expect(bench.access.sessions.find(token)).toBeDefined();
  expect(bench.access.sessions.list()[0]!.lastSeenAt).toBe(bench.clock.now.toISOString());
  day(30);
  expect(bench.access.sessions.find(token)).toBeUndefined();
  expect(bench.access.sessions.list()).toEqual([]);
  await bench.close();
});

test('a workspace that is not shared has no code to enter, and answers no other device', async () => {
  const bench = await openBench();
  const answer = await bench.ask({
    method: 'POST',
    url: '/api/session',
    headers: { 'content-type': 'application/json' },
    payload: '{"code":"0000-0000"}',
  });
  expect(problemCode(problemIn(answer))).toBe('not-shared');
  for (const remoteAddress of ['192.168.1.20', '127.0.0.2', '10.0.0.1', '::2']) {
    for (const host of ['127.0.0.1:4780', 'localhost', '192.168.1.5:4780']) {
      expect((await bench.ask({ url: '/', remoteAddress, headers: { host } })).statusCode).toBe(403);
    }
  }
  const share = await bench.ask({ url: '/api/share' });
  expect(share.json()).toEqual({ shared: false, addresses: [], code: null, qrSvg: null });
  const page = await bench.ask({ url: '/api/share', headers: { accept: 'text/html' } });
  expect(page.body).toContain('--share');
  await bench.close();
});

describe('codes', () => {
  test('have forty bits from letters and digits that are told apart', () => {
    const codes = Array.from({ length: 4000 }, newCode);
    expect(new Set(codes).size).toBe(codes.length);
    const counts = new Map<string, number>();
    for (const letter of codes.join('').replaceAll('-', ''))
      counts.set(letter, (counts.get(letter) ?? 0) + 1);
    expect(counts.size).toBe(32);
    for (const banned of 'ILOU') expect(counts.has(banned)).toBe(false);
    // Each letter comes 1,000 times on average; eight standard deviations are 249.
    for (const [letter, count] of counts) expect(Math.abs(count - 1000), letter).toBeLessThan(249);
  });

  test('are read as they may be typed, and compared whole', () => {
    const code = '01AB-CD23';
    for (const typed of ['01AB-CD23', '01abcd23', ' oiab cd23', 'OLAB-CD23', '0-1-A-B-C-D-2-3']) {
      expect(sameCode(typed, code), typed).toBe(true);
    }
    for (const typed of [
      '',
      '01AB',
      '01AB-CD2',
      '01AB-CD233',
      '01AB-CD24',
      '01AB-CD23\0',
      '\u00e9'.repeat(8),
    ]) {
      expect(sameCode(typed, code), typed).toBe(false);
    }
  });
});

describe('waits after wrong codes', () => {
  test('double from two seconds to a quarter of an hour, and end with the right code', () => {
    let now = 0;
    const throttle = openThrottle(() => now);
    const waits: number[] = [];
    for (let i = 0; i < 16; i++) {
      now += throttle.waitS('a') * 1000;
      throttle.wrong('a');
      waits.push(throttle.waitS('a'));
    }
    expect(waits.slice(0, 6)).toEqual([0, 0, 2, 4, 8, 16]);
    expect(waits.slice(-2)).toEqual([900, 900]);
    throttle.right('a');
    expect(throttle.waitS('a')).toBe(0);
  });

  test('many addresses together have sixty tries an hour', () => {
    let now = 0;
    const throttle = openThrottle(() => now);
    let tries = 0;
    for (let i = 0; i < 100_000 && now < 86_400_000; i++) {
      const address = `10.0.${i >> 8}.${i & 255}`;
      now += throttle.waitS(address) * 1000;
      if (now >= 86_400_000) break;
      throttle.wrong(address);
      tries += 1;
    }
    expect(tries).toBeLessThanOrEqual(24 * 60);
    expect(tries).toBeGreaterThan(23 * 60);
    const full = openThrottle(() => 0);
    for (let i = 0; i < 60; i++) full.wrong(`10.0.0.${i}`);
    expect(full.waitS('a new one')).toBe(3600);
  });
});

describe('the address that is shared', () => {
  const own = [
    { name: 'docker0', address: '172.17.0.1' },
    { name: 'wlan0', address: '169.254.3.4' },
    { name: 'eth0', address: '192.168.1.20' },
    { name: 'eth1', address: '203.0.113.9' },
  ];

  test('is the one of a private network that is no virtual one', () => {
    expect(addressToShare(undefined, own)).toBe('192.168.1.20');
    expect(addressToShare(undefined, own.slice(0, 2))).toBe('169.254.3.4');
  });

  test('is never a public one without being asked for, and must be one of this machine', () => {
    expect(() => addressToShare(undefined, [own[0]!, own[3]!])).toThrow(
      /no address in a private network.*203\.0\.113\.9/,
    );
    expect(addressToShare('203.0.113.9', own)).toBe('203.0.113.9');
    expect(addressToShare('127.0.0.2', own)).toBe('127.0.0.2');
    expect(() => addressToShare('127.0.0.1', own)).toThrow(/no address 127\.0\.0\.1/);
    expect(() => addressToShare('192.168.1.99', own)).toThrow(/no address 192\.168\.1\.99; it has/);
    expect(() => addressToShare(undefined, [])).toThrow(expect.objectContaining({ code: 'no-network' }));
  });

  test('the addresses of this machine are those that the system tells', () => {
    const told = Object.values(networkInterfaces()).flat();
    for (const { address } of ownAddresses()) {
      expect(told.find((one) => one?.address === address)).toMatchObject({ internal: false, family: 'IPv4' });
    }
  });
});
