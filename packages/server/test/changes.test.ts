import { type Change, changeSchema, type Fetch, watchChanges, workspaceClient } from '@inlaywright/formats';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { type EventStream, openStream, type Served, type StreamEvent, startServer } from './served.ts';
import { accepted, moonText, openBench } from './workshop-bench.ts';

let served: Served;
const streams: EventStream[] = [];
beforeEach(async () => {
  served = await startServer();
});
afterEach(async () => {
  for (const stream of streams.splice(0)) stream.close();
  await served.close();
});

const client = () => workspaceClient(fetch as Fetch, served.running.address.replace(/\/$/, ''));
const machine = { name: 'Bench laser', bedWidthMm: 600, bedHeightMm: 400 };

async function listen(headers: Record<string, string> = {}, query = ''): Promise<EventStream> {
  const stream = await openStream(`${served.running.address}api/changes${query}`, headers);
  streams.push(stream);
  return stream;
}

function changeIn({ event, data }: StreamEvent): Change {
  expect(event).toBe('change');
  return changeSchema.parse(JSON.parse(data));
}

test('a second device sees what the first one saves, puts aside and takes back', async () => {
  const [tablet, phone] = [await listen(), await listen()];
  for (const stream of [tablet, phone]) expect((await stream.next()).event).toBe('here');
  accepted(await client().create('machines', machine));
  accepted(await client().replace('machines', 'bench-laser', 1, machine));
  accepted(await client().remove('machines', 'bench-laser', 2));
  accepted(await client().restore('machines', 'bench-laser'));
  accepted(await client().createPiece(moonText));
  for (const stream of [tablet, phone]) {
    const changes = [];
    for (let i = 0; i < 5; i++) changes.push(changeIn(await stream.next()));
    expect(changes.map(({ kind, id, version, action }) => `${kind}/${id} ${version} ${action}`)).toEqual([
      'machines/bench-laser 1 saved',
      'machines/bench-laser 2 saved',
      'machines/bench-laser 2 deleted',
      'machines/bench-laser 2 restored',
      'pieces/moon-over-fern 1 saved',
    ]);
  }
});

test('a refused save tells nobody anything', async () => {
  accepted(await client().create('machines', machine));
  const stream = await listen();
  await stream.next();
  expect((await client().replace('machines', 'bench-laser', 9, machine)).ok).toBe(false);
  expect(
    (await client().create('settings', { name: 'x', machine: 'no', powerPercent: 1, speedMmPerS: 1 })).ok,
  ).toBe(false);
  accepted(await client().create('machines', { ...machine, name: 'Second' }));
  expect(changeIn(await stream.next()).id).toBe('second');
});

test('a broken stream is taken up where it broke, by header or by address', async () => {
  const first = await listen();
  const here = await first.next();
  accepted(await client().create('machines', machine));
  const seen = await first.next();
  first.close();
  accepted(await client().create('machines', { ...machine, name: 'Second' }));
  accepted(await client().create('machines', { ...machine, name: 'Third' }));
  const again = await listen({ 'last-event-id': seen.id });
  expect(changeIn(await again.next()).id).toBe('second');
  expect(changeIn(await again.next()).id).toBe('third');
  expect((await again.next()).event).toBe('here');
  // Also from a stream that had seen no change at all.
  const fresh = await listen({}, `?after=${encodeURIComponent(here.id)}`);
  for (const id of ['bench-laser', 'second', 'third']) expect(changeIn(await fresh.next()).id).toBe(id);
});

test('whoever stands where the log does not reach is told to load everything anew', async () => {
  accepted(await client().create('machines', machine));
  const now = (await (await listen()).next()).id;
  const [epoch, number] = now.split('.') as [string, string];
  for (const id of [`${epoch}.${Number(number) + 1}`, `000000000000.${number}`, 'nonsense', '']) {
    const event = await (await listen({ 'last-event-id': id })).next();
    expect([event.event, event.id], id).toEqual(['reset', now]);
  }
});

test('the log keeps the newest 10,000 changes', async () => {
  const bench = await openBench();
  const { store, sqlite } = bench.workspace;
  const start = store.changes.position();
  accepted(await bench.client.create('machines', machine));
  expect(store.changes.after(start)).toHaveLength(1);
  // As if 10,000 more had come in between.
  sqlite.run("UPDATE sqlite_sequence SET seq = seq + 10000 WHERE name = 'change'");
  accepted(await bench.client.create('machines', { ...machine, name: 'Second' }));
  expect(store.changes.after(start)).toBeUndefined();
  expect(store.changes.after(store.changes.position())).toEqual([]);
  await bench.close();
});

test('the typed listener hands changes on, asks for a reload after a gap, and tells when the stream breaks', async () => {
  const heard: string[] = [];
  const on = new Map<string, (message: { data?: unknown }) => void>();
  let closed = false;
  const stop = watchChanges(
    (address) => {
      expect(address).toBe('/api/changes');
      return {
        addEventListener: (name, listener) => void on.set(name, listener),
        close: () => {
          closed = true;
        },
      };
    },
    {
      change: ({ kind, id }) => void heard.push(`${kind}/${id}`),
      reset: () => void heard.push('reset'),
      state: (live) => void heard.push(live ? 'live' : 'broken'),
    },
  );
  // Fed with what the server really sends.
  const stream = await listen();
  await stream.next();
  on.get('open')!({});
  accepted(await client().create('machines', machine));
  on.get('change')!(await stream.next());
  on.get('error')!({});
  on.get('reset')!({});
  on.get('change')!({ data: 'not what was agreed' });
  stop();
  expect(heard).toEqual(['live', 'machines/bench-laser', 'broken', 'reset', 'reset']);
  expect(closed).toBe(true);
});

test('the sixty-fifth open page is turned away; closing one makes room', async () => {
  const open = await Promise.all(Array.from({ length: 64 }, () => listen()));
  const turnedAway = await listen().catch((error: Error) => error.message);
  expect(turnedAway).toMatch(/^status 503/);
  expect(turnedAway).toContain('too-many-listeners');
  open[0]!.close();
  await expect
    .poll(async () => {
      try {
        return await listen().then(() => true);
      } catch {
        return false;
      }
    })
    .toBe(true);
});

test('ending the server ends the streams, and takes no time', async () => {
  const stream = await listen();
  await stream.next();
  const started = performance.now();
  await served.running.close();
  await stream.ended;
  expect(performance.now() - started).toBeLessThan(2000);
  served = await startServer();
});
