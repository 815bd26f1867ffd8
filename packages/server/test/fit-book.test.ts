import {
  judgeTrials,
  readCutDxf,
  readCutSvg,
  readTrial,
  trialSchema,
  writeTrial,
} from '@inlaywright/formats';
import { FIRST_LADDER, judge, outcomeEvidence, weightOfAge } from '@inlaywright/workshop';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import {
  accepted,
  type Bench,
  EXAMPLES,
  fill,
  openBench,
  problemIn,
  refused,
  trialFile,
} from './workshop-bench.ts';

let bench: Bench;
beforeEach(async () => {
  bench = await openBench();
});
afterEach(() => bench.close());

const key = { machine: 'bench-laser', stock: 'cherry-3-mm', setting: 'hardwood' } as const;

/** The stocked bench without the record that its examples type in, and without outcomes and trials. */
async function shelves(): Promise<void> {
  for (const [kind, draft] of EXAMPLES) {
    if (
      kind === 'trials' ||
      kind === 'records' ||
      kind === 'outcomes' ||
      kind === 'batches' ||
      kind === 'orders'
    )
      continue;
    accepted(await bench.client.create(kind, draft as never));
  }
}

async function trial(date: string, name = `Coupon of ${date}`): Promise<string> {
  return accepted(await bench.client.create('trials', { ...key, name, trial: trialFile(date) })).id;
}

describe('coupons', () => {
  test('come with their files, steps and cut time, and the files are what they say', async () => {
    const coupon = accepted(
      await bench.client.coupon({
        stock: 'Cherry 3 mm',
        machine: 'Bench laser',
        thicknessMm: 3.05,
        drawnKerfMm: 0.17,
      }),
    );
    expect(coupon.steps.map(({ allowanceMm }) => allowanceMm)).toEqual(FIRST_LADDER);
    const [svg, dxf, trialText] = coupon.files;
    expect(coupon.files.map(({ name }) => name)).toEqual([
      'coupon-cherry-3-mm.svg',
      'coupon-cherry-3-mm.dxf',
      'coupon-cherry-3-mm.trial.json',
    ]);
    const sheet = readCutSvg(svg!.text);
    expect([sheet.widthMm, sheet.heightMm]).toEqual([coupon.widthMm, coupon.heightMm]);
    expect(readCutDxf(dxf!.text).parts).toHaveLength(sheet.parts.length);
    expect(readTrial(trialText!.text)).toEqual(coupon.trial);
    expect(coupon.trial).toMatchObject({ machine: 'Bench laser', drawnKerfMm: 0.17, thicknessMm: 3.05 });
    expect(coupon.cutTime.totalS).toBeGreaterThan(60);
    expect(coupon.typicalMotion).toBe(true);
  });

  test('take twice the cutting time in two passes, and say what does not fit', async () => {
    const { client } = bench;
    const request = { stock: 'Cherry', thicknessMm: 3, speedMmPerS: 20, gauge: false, slats: false };
    const once = accepted(await client.coupon(request)).cutTime;
    const twice = accepted(await client.coupon({ ...request, passes: 2 })).cutTime;
    expect(twice.cutS).toBeCloseTo(2 * once.cutS, 9);
    expect(accepted(await client.coupon({ ...request, allowancesMm: [0.05, -0.05] })).steps).toMatchObject([
      { step: 1, allowanceMm: -0.05 },
      { step: 2, allowanceMm: 0.05 },
    ]);
    const problem = refused(await client.coupon({ ...request, widthMm: 10 }));
    expect([problem.status, problem.type.split(':').at(-1)]).toEqual([422, 'coupon-space']);
    expect(problem.detail).toMatch(/needs \d+ x \d+ mm/);
  });

  test('are not drawn for what must not go under a laser', async () => {
    const problem = refused(await bench.client.coupon({ stock: 'PVC 3 mm', thicknessMm: 3 }));
    expect([problem.status, problem.type.split(':').at(-1)]).toEqual([422, 'laser-refused']);
    expect(problem.detail).toContain('hydrogen chloride');
  });
});

describe('judging', () => {
  test('says over the wire what the workshop says by itself', async () => {
    const file = trialSchema.parse(trialFile('2026-11-18'));
    const older = trialSchema.parse(trialFile('2026-08-20'));
    const judged = accepted(await bench.client.judge({ trial: file, older: [older] }));
    const alone = judgeTrials(
      { name: 'a', trial: file },
      { grade: 'presses by hand', halfLifeDays: 90, older: [{ name: 'b', trial: older }] },
    );
    expect(judged).toEqual(JSON.parse(JSON.stringify(alone)));
    expect(judged.kerf.entryX.low).toBeLessThan(judged.kerf.entryX.median);
  });

  test('takes well under a second, and a page that judges in a loop is slowed down', async () => {
    const request = { trial: trialFile('2026-11-18')! };
    const started = performance.now();
    accepted(await bench.client.judge(request));
    const tookMs = performance.now() - started;
    console.log(`judging one trial took ${tookMs.toFixed(0)} ms`);
    expect(tookMs).toBeLessThan(3000);
    const empty = JSON.stringify({ trial: { ...trialFile('2026-11-18'), steps: [], readings: [] } });
    const ask = () =>
      bench.ask({
        method: 'POST',
        url: '/api/fit/judge',
        headers: { 'content-type': 'application/json' },
        payload: empty,
      });
    expect(problemIn(await ask()).type).toContain('trial-empty');
    for (let i = 0; i < 57; i++) await ask();
    expect(problemIn(await ask()).status).toBe(422);
    expect(problemIn(await ask()).type).toContain('too-many-requests');
  });

  test('refuses what cannot be weighed together', async () => {
    const { client } = bench;
    const { date: _, ...undated } = trialFile('2026-11-18') as Record<string, unknown>;
    const problem = refused(
      await client.judge({ trial: trialFile('2026-11-18')!, older: [undated as never] }),
    );
    expect(problem.type).toContain('trial-undated');
    const other = { ...trialFile('2026-11-18')!, stock: 'holly' };
    expect(refused(await client.judge({ trial: trialFile('2026-11-18')!, older: [other] })).type).toContain(
      'trial-of-another',
    );
    expect(refused(await client.judge({ trial: { format: 'x' } as never })).status).toBe(422);
    // 20.10 and 2.00: a slipped digit gives a kerf of 9 mm and a scatter that no fit file takes.
    const trial = trialSchema.parse(trialFile('2026-11-18'));
    const slipped = { kind: 'two-face' as const, axis: 'x' as const, face: 'entry' as const };
    const readings = [{ ...slipped, holeMm: [20.1], plugMm: [2] }];
    const mistyped = refused(await client.judge({ trial: { ...trial, steps: [], readings } }));
    expect([mistyped.status, mistyped.type.split(':').at(-1)]).toEqual([422, 'trial-impossible']);
    expect(mistyped.detail).toContain('a kerf of 9.050 mm');
  });
});

describe('fit records', () => {
  test('are weighed from stored trials and outcomes, take the place of older ones, and say where they come from', async () => {
    const { client, clock } = bench;
    await shelves();
    const nothing = refused(await client.weigh(key));
    expect([nothing.status, nothing.type.split(':').at(-1)]).toEqual([422, 'nothing-to-weigh']);

    const first = await trial('2026-09-01');
    const one = accepted(await client.weigh(key, { key: 'weigh-once-1' }));
    expect(accepted(await client.weigh(key, { key: 'weigh-once-1' })).id).toBe(one.id);
    expect(one.body).toMatchObject({
      trials: [{ id: first, version: 1 }],
      outcomes: [],
      thicknessMm: 3.05,
      measuredOn: '2026-09-01',
      createdAt: '2026-11-20T09:00:00.000Z',
      grade: 'presses by hand',
    });
    expect(one.supersededBy).toBeNull();
    const alone = judge(
      { ...trialSchema.parse(trialFile('2026-09-01')), steps: trialFile('2026-09-01')!.steps as never },
      { grade: 'presses by hand' },
    );
    expect(one.body.fit.allowanceMm).toBe(alone.record.allowanceMm);
    expect(one.body.intervals!.kerf.entryX).toEqual(alone.kerf.entryX);

    const outcome = accepted(
      await client.create('outcomes', {
        name: 'Batch of September',
        record: one.id,
        date: '2026-09-20',
        seams: [{ outcome: 'loose', count: 30 }],
      }),
    );
    const second = await trial('2026-11-18');
    // Drawn and not tried yet: waits without a word.
    const untried = { ...trialFile('2026-11-19')!, steps: [{ step: 1, allowanceMm: 0 }], readings: [] };
    accepted(await client.create('trials', { ...key, name: 'Not tried yet', trial: untried }));
    clock.now = new Date('2026-11-21T09:00:00.000Z');
    const two = accepted(await client.weigh(key));
    expect(two.body).toMatchObject({
      trials: [{ id: first }, { id: second }],
      outcomes: [{ id: outcome.id, version: 1 }],
      measuredOn: '2026-11-18',
      supersedes: one.id,
    });
    expect(accepted(await client.get('records', one.id)).supersededBy).toBe(two.id);
    const again = judge(
      { ...trialSchema.parse(trialFile('2026-11-18')), steps: trialFile('2026-11-18')!.steps as never },
      {
        grade: 'presses by hand',
        older: [
          {
            ...(await evidence('2026-09-01', weightOfAge(78))),
          },
          outcomeEvidence([{ outcome: 'loose', count: 30 }], alone.record, true, weightOfAge(59)),
        ],
      },
    );
    expect(two.body.fit.allowanceMm).toBe(again.record.allowanceMm);
    // Thirty seams that did not hold ask for more overlap.
    expect(two.body.fit.allowanceMm).toBeGreaterThan(one.body.fit.allowanceMm);
  });

  test('the record in force is the newest that is not put aside', async () => {
    const { client, clock } = bench;
    await shelves();
    await trial('2026-11-01');
    const one = accepted(await client.weigh(key));
    clock.now = new Date('2026-11-21T09:00:00.000Z');
    const two = accepted(await client.weigh(key));
    const inForce = async () => accepted(await client.recordInForce(key)).record?.id;
    expect(await inForce()).toBe(two.id);
    accepted(await client.remove('records', two.id, 1));
    expect(await inForce()).toBe(one.id);
    accepted(await client.remove('records', one.id, 1));
    const none = accepted(await client.recordInForce(key));
    expect(none.record).toBeNull();
    expect(none.warnings.map(({ code }) => code)).toEqual(['record-missing']);
    accepted(await client.restore('records', two.id));
    expect(await inForce()).toBe(two.id);
  });

  test('a record is said to be old after the limit of the maker, counted from its newest evidence', async () => {
    const { client } = bench;
    await shelves();
    await trial('2026-09-01');
    accepted(await client.weigh(key));
    const codes = async (on: string) =>
      accepted(await client.recordInForce({ ...key, on })).warnings.map(({ code }) => code);
    // 2026-09-01 and 90 days are 2026-11-30.
    expect(await codes('2026-11-30')).toEqual([]);
    expect(await codes('2026-12-01')).toEqual(['record-old']);
    accepted(await client.replace('preferences', 'workshop', 1, { recordLimitDays: 30 }));
    expect(await codes('2026-11-30')).toEqual(['record-old']);
    expect(accepted(await client.recordInForce({ ...key, on: '2026-11-30' })).warnings[0]!.message).toContain(
      '90 days old',
    );
  });

  test('a board that is more than 0.1 mm thicker or thinner is warned about', async () => {
    const { client } = bench;
    await shelves();
    await trial('2026-11-18');
    accepted(await client.weigh(key));
    const warned = async (thicknessMm: number) =>
      accepted(await client.recordInForce({ ...key, thicknessMm, on: '2026-11-20' })).warnings;
    // The trial's board had 3.05 mm.
    for (const same of [2.95, 3, 3.05, 3.15]) expect(await warned(same), String(same)).toEqual([]);
    for (const other of [2.94, 3.16, 4]) {
      expect(await warned(other), String(other)).toMatchObject([{ code: 'thickness-differs' }]);
    }
    expect((await warned(3.2))[0]).toMatchObject({ figureMm: 0.15 });
  });

  test('a trial of another machine, stock or setting is not weighed in', async () => {
    const { client } = bench;
    await fill(client);
    accepted(await client.create('machines', { name: 'Other', bedWidthMm: 300, bedHeightMm: 200 }));
    const elsewhere = accepted(
      await client.create('trials', {
        ...key,
        machine: 'other',
        name: 'Elsewhere',
        trial: trialFile('2026-11-18'),
      }),
    );
    const problem = refused(await client.weigh({ ...key, trials: [elsewhere.id] }));
    expect(problem.detail).toContain('another machine');
    expect(refused(await client.weigh({ ...key, trials: ['none'] })).status).toBe(404);
    expect(accepted(await client.weigh(key)).body.trials).toEqual([
      { id: 'cherry-first-coupon', version: 1 },
    ]);
  });

  test('a lookup that names nothing, or something else, is refused', async () => {
    for (const query of [
      '',
      '?machine=a',
      '?machine=a&stock=b&setting=c&thicknessMm=thick',
      '?machine=A%20B',
    ]) {
      expect(problemIn(await bench.ask({ url: `/api/fit/record${query}` })).type).toContain('query-invalid');
    }
  });
});

async function evidence(date: string, weight: number) {
  const { evidenceOf } = await import('@inlaywright/workshop');
  const file = trialSchema.parse(trialFile(date));
  return evidenceOf({ ...file, steps: file.steps as never }, weight);
}

test('a trial file written from the workspace is a trial file', async () => {
  await shelves();
  const id = await trial('2026-11-18');
  const stored = accepted(await bench.client.get('trials', id));
  expect(readTrial(writeTrial(stored.body.trial))).toEqual(stored.body.trial);
});
