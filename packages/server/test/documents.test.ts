import { DOCUMENT_KINDS, type DocumentKind, type DraftOf } from '@inlaywright/formats';
import { COMPOSITES, LASER_VERDICTS, SPECIES } from '@inlaywright/workshop';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import {
  accepted,
  type Bench,
  EXAMPLES,
  fill,
  JSON_TYPE,
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

describe('every kind', () => {
  test('is stored, listed, read, changed, put aside and taken back', async () => {
    const { client } = bench;
    const seen = new Set<DocumentKind>();
    for (const [kind, draft] of EXAMPLES) {
      const made = accepted(await client.create(kind, draft as DraftOf<typeof kind>));
      expect(made).toMatchObject({ kind, version: 1, deletedAt: null, body: draft });
      expect(accepted(await client.list(kind)).items.map(({ id }) => id)).toContain(made.id);
      seen.add(kind);
    }
    seen.add('preferences');
    expect([...seen].sort()).toEqual([...DOCUMENT_KINDS].sort());

    for (const [kind, draft] of EXAMPLES) {
      if (kind === 'records') continue;
      const { id } = accepted(await client.list(kind)).items.find(
        ({ body }) => (body as { name: string }).name === (draft as { name: string }).name,
      )!;
      const changed = { ...(draft as DraftOf<'machines'>), notes: 'a second look' } as DraftOf<typeof kind>;
      const saved = accepted(await client.replace(kind, id, 1, changed));
      expect(saved.version).toBe(2);
      expect(accepted(await client.get(kind, id))).toEqual(saved);
      const { versions } = accepted(await client.versions(kind, id));
      expect(versions.map(({ version, basedOn }) => [version, basedOn])).toEqual([
        [2, 1],
        [1, 0],
      ]);
      expect(accepted(await client.version(kind, id, 1)).body).toMatchObject(draft);
    }

    // From the last to the first: nothing that is still named by another goes.
    for (const [kind] of [...EXAMPLES].reverse()) {
      for (const { id, version } of accepted(await client.list(kind)).items) {
        const answer = await client.remove(kind, id, version);
        if (!answer.ok) {
          expect(refused(answer).type).toContain('still-used');
          continue;
        }
        expect(accepted(await client.get(kind, id)).deletedAt).not.toBeNull();
        expect(accepted(await client.list(kind)).items.map((item) => item.id)).not.toContain(id);
        expect(accepted(await client.list(kind, { deleted: true })).items.map((item) => item.id)).toContain(
          id,
        );
      }
    }
    for (const [kind] of EXAMPLES) {
      for (const { id } of accepted(await client.list(kind, { deleted: true })).items) {
        expect(accepted(await client.restore(kind, id)).deletedAt).toBeNull();
      }
    }
    const left = await Promise.all(
      EXAMPLES.map(async ([kind]) => accepted(await client.list(kind)).items.length),
    );
    expect(left.every((count) => count > 0)).toBe(true);
  });

  test('refuses what its schema does not know, naming every place', async () => {
    const answer = await bench.client.create('machines', {
      name: '',
      bedWidthMm: -1,
      bedHeightMm: '400',
      colour: 'red',
    } as unknown as DraftOf<'machines'>);
    const problem = refused(answer);
    expect(problem.status).toBe(422);
    expect(problem.issues!.map(({ where }) => where).sort()).toEqual([
      'bedHeightMm',
      'bedWidthMm',
      'body',
      'name',
    ]);
    expect(accepted(await bench.client.list('machines')).items).toEqual([]);
  });

  test('takes the same id for no two documents, also not for one that was put aside', async () => {
    const { client } = bench;
    const draft = { name: 'Bench laser', bedWidthMm: 600, bedHeightMm: 400 };
    expect(accepted(await client.create('machines', draft)).id).toBe('bench-laser');
    accepted(await client.remove('machines', 'bench-laser', 1));
    expect(accepted(await client.create('machines', draft)).id).toBe('bench-laser-2');
  });

  test('is narrowed by what it names, and by nothing else', async () => {
    const { client } = bench;
    await fill(client);
    const where = (fields: Record<string, string>) => client.list('sheets', { where: fields });
    expect(accepted(await where({ stock: 'cherry-3-mm' })).items).toHaveLength(2);
    expect(accepted(await where({ from: 'cherry-board' })).items.map(({ id }) => id)).toEqual([
      'cherry-offcut',
    ]);
    expect(accepted(await where({ stock: 'bog-oak-3-mm' })).items).toEqual([]);
    expect(refused(await where({ colour: 'red' })).type).toContain('query-invalid');
  });
});

describe('what a document names', () => {
  test('must be there', async () => {
    const { client } = bench;
    const setting = { name: 'Fast', machine: 'bench-laser', powerPercent: 70, speedMmPerS: 30 };
    const problem = refused(await client.create('settings', setting));
    expect([problem.status, problem.where]).toEqual([422, 'machine']);
    expect(problem.detail).toContain('machines/bench-laser, which is not there');
    accepted(await client.create('machines', { name: 'Bench laser', bedWidthMm: 600, bedHeightMm: 400 }));
    accepted(await client.create('settings', setting));
    expect(
      refused(await client.create('stocks', { name: 'X', material: 'moonwood', thicknessMm: 3 })).where,
    ).toBe('material');
  });

  test('stays as long as it is named', async () => {
    const { client } = bench;
    await fill(client);
    const problem = refused(await client.remove('machines', 'bench-laser', 1));
    expect(problem.status).toBe(409);
    expect(problem.detail).toContain('settings/hardwood');
    expect((problem.usedBy as { id: string }[]).map(({ id }) => id)).toContain('hardwood');
    expect(refused(await client.remove('materials', 'bog-oak', 1)).detail).toContain('stocks/bog-oak-3-mm');
  });

  test('must be there again when what names it is taken back', async () => {
    const { client } = bench;
    accepted(await client.create('machines', { name: 'Bench laser', bedWidthMm: 600, bedHeightMm: 400 }));
    accepted(
      await client.create('settings', {
        name: 'Fast',
        machine: 'bench-laser',
        powerPercent: 70,
        speedMmPerS: 30,
      }),
    );
    accepted(await client.remove('settings', 'fast', 1));
    accepted(await client.remove('machines', 'bench-laser', 1));
    expect(refused(await client.restore('settings', 'fast')).detail).toContain('was put aside');
    accepted(await client.restore('machines', 'bench-laser'));
    accepted(await client.restore('settings', 'fast'));
  });

  test('a piece on an order cannot be put aside under it', async () => {
    const { client } = bench;
    const piece = accepted(await client.createPiece(moonText));
    const line = { piece: piece.id, count: 12 };
    accepted(await client.create('orders', { name: 'Shop', lines: [line] }));
    expect(refused(await client.remove('pieces', piece.id, 1)).type).toContain('still-used');
    expect(
      refused(await client.create('orders', { name: 'B', lines: [{ ...line, piece: 'no' }] })).where,
    ).toBe('piece');
  });
});

describe('materials and stocks', () => {
  test('the table holds every built-in material with its sources, and the own ones', async () => {
    const { client } = bench;
    accepted(
      await client.create('materials', {
        name: 'Bog oak',
        type: 'wood',
        densityKgM3: 720,
        source: 'weighed',
      }),
    );
    const { materials } = accepted(await client.materialTable());
    expect(materials).toHaveLength(SPECIES.length + COMPOSITES.length + 1);
    const cherry = materials.find(({ id }) => id === 'cherry-black')!;
    expect(cherry.figures.densityKgM3).toMatchObject({
      basis: expect.any(String),
      source: expect.stringContaining('Wood Handbook'),
    });
    expect(materials.find(({ id }) => id === 'bog-oak')).toMatchObject({
      origin: 'own',
      version: 1,
      figures: { densityKgM3: { value: 720, source: 'weighed', basis: 'given by the maker' } },
    });
    expect(materials.find(({ id }) => id === 'plywood-birch-3')).toMatchObject({
      layers: [{ crossGrain: false }, { crossGrain: true }, { crossGrain: false }],
      cautions: [{ verdict: 'caution' }],
    });
  });

  test('built-in materials are not changed, and their ids not taken', async () => {
    const { client } = bench;
    const draft = { name: 'Sapele', type: 'wood' } as const;
    expect(refused(await client.replace('materials', 'sapele', 1, draft)).type).toContain('built-in');
    expect(refused(await client.remove('materials', 'sapele', 1)).type).toContain('built-in');
    expect(accepted(await client.create('materials', draft)).id).toBe('sapele-2');
  });

  test('every refused material of the table is refused as a stock, with its reason', async () => {
    const { client } = bench;
    const refusals = LASER_VERDICTS.filter(({ verdict, words }) => verdict === 'refused' && words.length > 0);
    expect(refusals.length).toBeGreaterThan(5);
    for (const { words, reason } of refusals) {
      for (const word of words) {
        const problem = refused(
          await client.create('stocks', {
            name: `Blue ${word} 2 mm`,
            material: 'acrylic-cast',
            thicknessMm: 2,
          }),
        );
        expect(problem.type, word).toContain('laser-refused');
        expect(problem.detail, word).toContain(reason);
        // An own material of that name can be noted, and is no stock either.
        const own = accepted(await client.create('materials', { name: `My ${word}`, type: 'plastic' }));
        expect(own.cautions![0]!.verdict, word).toBe('refused');
        const made = await client.create('stocks', { name: 'Innocent', material: own.id, thicknessMm: 2 });
        expect(refused(made).detail, word).toContain(reason);
      }
    }
    expect(accepted(await client.list('stocks')).items).toEqual([]);
  });

  test('a stock that becomes unsafe by renaming is refused too; cautions are told', async () => {
    const { client } = bench;
    const mdf = accepted(
      await client.create('stocks', { name: 'MDF 3 mm', material: 'mdf', thicknessMm: 3 }),
    );
    expect(mdf.cautions).toMatchObject([
      { verdict: 'caution', reason: expect.stringContaining('formaldehyde') },
    ]);
    const renamed = { name: 'Vinyl-faced MDF', material: 'mdf', thicknessMm: 3 };
    expect(refused(await client.replace('stocks', mdf.id, 1, renamed)).type).toContain('laser-refused');
    expect(accepted(await client.get('stocks', mdf.id)).version).toBe(1);
  });

  test('the outline of a sheet is checked, and its arcs stay arcs', async () => {
    const { client } = bench;
    await fill(client);
    const sheet = { name: 'S', stock: 'cherry-3-mm', kind: 'offcut', thicknessMm: 3 } as const;
    for (const outline of ['', 'M 0 0 X', 'L 3 3', 'M 0 0 L 1e400 0 L 0 9 Z']) {
      const problem = refused(await client.create('sheets', { ...sheet, outline }));
      expect([problem.status, problem.where], outline).toEqual([422, 'outline']);
    }
    const { body } = accepted(await client.get('sheets', 'cherry-offcut'));
    expect(body.outline).toBe('M 0 0 L 90 0 A 30 30 0 0 1 60 60 L 0 60 Z');
  });
});

test('preferences are there from the start, are changed like anything else, and are only one', async () => {
  const { client, ask } = bench;
  const { items } = accepted(await client.list('preferences'));
  expect(items.map(({ id, version, body }) => [id, version, body.recordLimitDays])).toEqual([
    ['workshop', 1, 90],
  ]);
  expect(accepted(await client.replace('preferences', 'workshop', 1, { recordLimitDays: 30 })).version).toBe(
    2,
  );
  for (const [method, url] of [
    ['POST', '/api/preferences'],
    ['DELETE', '/api/preferences/workshop'],
  ] as const) {
    expect(
      problemIn(await ask({ method, url, headers: { ...JSON_TYPE, 'if-match': '"2"' }, payload: '{}' }))
        .status,
    ).toBe(404);
  }
});

test('fit records are never changed', async () => {
  await fill(bench.client);
  const answer = await bench.ask({
    method: 'PUT',
    url: '/api/records/cherry-typed-in',
    headers: { ...JSON_TYPE, 'if-match': '"1"' },
    payload: '{}',
  });
  expect(problemIn(answer).status).toBe(404);
});
