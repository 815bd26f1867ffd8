import { CONFLICT_TYPE, readPiece, writePiece } from '@inlaywright/formats';
import { afterEach, beforeEach, expect, test } from 'vitest';
import {
  accepted,
  type Bench,
  JSON_TYPE,
  moon,
  moonText,
  openBench,
  problemIn,
  refused,
} from './workshop-bench.ts';

let bench: Bench;
beforeEach(async () => {
  bench = await openBench();
});
afterEach(() => bench.close());

const named = (name: string): string => writePiece({ ...moon, name });

test('of two devices that edit one piece the later is told, and offered both', async () => {
  const { client } = bench;
  accepted(await client.createPiece(moonText));
  accepted(await client.savePiece('moon-over-fern', 1, named('From the tablet')));
  const { conflict, ...problem } = refused(
    await client.savePiece('moon-over-fern', 1, named('From the phone')),
  );
  expect([problem.status, problem.type]).toEqual([412, CONFLICT_TYPE]);
  expect(conflict).toMatchObject({ kind: 'pieces', id: 'moon-over-fern', base: 1, theirs: { version: 2 } });
  expect(readPiece(String(conflict!.mine)).name).toBe('From the phone');
  expect(readPiece(String(conflict!.theirs.content)).name).toBe('From the tablet');

  // Both ways out take one call each, and neither loses the other's work.
  const beside = accepted(await client.copyPiece('moon-over-fern', 1, String(conflict!.mine)));
  expect(beside).toMatchObject({
    id: 'from-the-phone',
    version: 1,
    copyOf: { id: 'moon-over-fern', version: 1 },
  });
  const onTop = accepted(
    await client.savePiece('moon-over-fern', conflict!.theirs.version, String(conflict!.mine)),
  );
  expect(onTop).toMatchObject({ id: 'moon-over-fern', version: 3, name: 'From the phone' });
  const names = [];
  for (const version of [1, 2, 3]) {
    names.push(readPiece(accepted(await client.getPiece('moon-over-fern', version)).text).name);
  }
  expect(names).toEqual(['Moon over fern', 'From the tablet', 'From the phone']);
});

test('documents conflict in the same way, with both bodies', async () => {
  const { client } = bench;
  const machine = { name: 'Bench laser', bedWidthMm: 600, bedHeightMm: 400 };
  accepted(await client.create('machines', machine));
  accepted(await client.replace('machines', 'bench-laser', 1, { ...machine, bedWidthMm: 610 }));
  const { conflict } = refused(
    await client.replace('machines', 'bench-laser', 1, { ...machine, bedWidthMm: 620 }),
  );
  expect(conflict).toMatchObject({
    kind: 'machines',
    base: 1,
    mine: { bedWidthMm: 620 },
    theirs: { version: 2, deletedAt: null, content: { bedWidthMm: 610 } },
  });
  const copy = accepted(
    await client.copy('machines', 'bench-laser', 1, { ...machine, name: 'Bench laser', bedWidthMm: 620 }),
  );
  expect(copy).toMatchObject({ id: 'bench-laser-2', copyOf: { id: 'bench-laser', version: 1 } });
});

test('a save over what was put aside conflicts and says so; a deletion that comes late does too', async () => {
  const { client } = bench;
  accepted(await client.createPiece(moonText));
  accepted(await client.remove('pieces', 'moon-over-fern', 1));
  const late = refused(await client.savePiece('moon-over-fern', 1, named('Late')));
  expect(late.conflict).toMatchObject({
    base: 1,
    theirs: { version: 1, deletedAt: '2026-11-20T09:00:00.000Z' },
  });
  expect(refused(await client.getPiece('moon-over-fern')).status).toBe(410);
  accepted(await client.restorePiece('moon-over-fern'));
  accepted(await client.savePiece('moon-over-fern', 1, named('Late')));
  const removal = refused(await client.remove('pieces', 'moon-over-fern', 1));
  expect(removal.conflict).toMatchObject({ base: 1, mine: null, theirs: { version: 2 } });
});

test('a save whose answer was lost on the way is taken for done, not for a conflict', async () => {
  const { client } = bench;
  accepted(await client.createPiece(moonText));
  const first = accepted(await client.savePiece('moon-over-fern', 1, named('Once')));
  expect(accepted(await client.savePiece('moon-over-fern', 1, named('Once')))).toEqual(first);
  expect(accepted(await client.versions('pieces', 'moon-over-fern')).versions).toHaveLength(2);
});

test('a creation that is repeated with its key stores nothing twice', async () => {
  const { client, clock } = bench;
  const key = 'b1f7a2c0-0000-4000-8000-000000000001';
  const machine = { name: 'Bench laser', bedWidthMm: 600, bedHeightMm: 400 };
  const [a, b] = [
    await client.create('machines', machine, { key }),
    await client.create('machines', machine, { key }),
  ];
  expect(accepted(b)).toEqual(accepted(a));
  expect(accepted(await client.list('machines')).items).toHaveLength(1);

  const pieceKey = { key: 'b1f7a2c0-0000-4000-8000-000000000002' };
  accepted(await client.createPiece(moonText, pieceKey));
  expect(accepted(await client.createPiece(moonText, pieceKey)).id).toBe('moon-over-fern');
  accepted(await client.copyPiece('moon-over-fern', 1, moonText, { key: 'copy-key-1' }));
  accepted(await client.copyPiece('moon-over-fern', 1, moonText, { key: 'copy-key-1' }));
  expect(accepted(await client.listPieces()).pieces).toHaveLength(2);

  // The same key for something else is a fault of the sender, and is not guessed at.
  const other = refused(await client.create('machines', { ...machine, name: 'Other' }, { key }));
  expect([other.status, other.type.split(':').at(-1)]).toEqual([422, 'key-reused']);
  expect(refused(await client.createPiece(moonText, { key })).type).toContain('key-reused');
  expect(refused(await client.create('machines', machine, { key: 'short' })).type).toContain('key-invalid');

  // Keys are forgotten after a week.
  clock.now = new Date(clock.now.getTime() + 8 * 86_400_000);
  expect(accepted(await client.create('machines', machine, { key })).id).toBe('bench-laser-2');
});

test('a key that came with a refused request can be used for the mended one', async () => {
  const { client } = bench;
  const key = 'some-key-123';
  const setting = { name: 'Fast', machine: 'bench-laser', powerPercent: 70, speedMmPerS: 30 };
  expect(refused(await client.create('settings', setting, { key })).status).toBe(422);
  accepted(await client.create('machines', { name: 'Bench laser', bedWidthMm: 600, bedHeightMm: 400 }));
  expect(accepted(await client.create('settings', setting, { key })).id).toBe('fast');
});

test('a saved version cannot be changed or removed, even in the database itself', async () => {
  accepted(await bench.client.createPiece(moonText));
  const { sqlite } = bench.workspace;
  expect(() => sqlite.run("UPDATE version SET content = '{}' WHERE kind = 'pieces'")).toThrow(
    /never changed/,
  );
  expect(() => sqlite.run("DELETE FROM version WHERE kind = 'pieces'")).toThrow(/never removed/);
  expect(() =>
    sqlite.run("INSERT INTO link VALUES ('pieces', 'moon-over-fern', 'x', 'stocks', 'none')"),
  ).toThrow(/FOREIGN KEY/);
});

test('an entity tag is the version, and a stale one says what the newest is', async () => {
  const { ask } = bench;
  const post = await ask({ method: 'POST', url: '/api/pieces', headers: JSON_TYPE, payload: moonText });
  expect(post.headers.etag).toBe('"1"');
  const put = await ask({
    method: 'PUT',
    url: '/api/pieces/moon-over-fern',
    headers: { ...JSON_TYPE, 'if-match': '"7"' },
    payload: named('From the future'),
  });
  expect(problemIn(put).detail).toContain('newest version of pieces/moon-over-fern is 1');
});
