import type { WorkspaceClient } from '@inlaywright/formats';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { expectAccessible, hasBrowser, mm, type Opened, openBrowser, seamRows, settled } from './browser.ts';
import { clientOf, dayBefore, makeRecord, ok, trialDraft } from './workshop-hands.ts';

describe.skipIf(!hasBrowser)('fit records', () => {
  let opened: Opened;
  let page: Page;
  let client: WorkspaceClient;
  beforeAll(async () => {
    opened = await openBrowser();
    page = opened.page;
    client = clientOf(opened);
  });
  afterAll(() => opened.close());

  const go = async (hash: string): Promise<void> => {
    await page.goto('about:blank');
    await page.goto(`${opened.server.address}${hash}`);
  };
  const text = (selector: string): Promise<string | null> => page.locator(selector).textContent();
  const means = async (): Promise<number[]> => (await seamRows(page)).map((row) => mm(row[1]!));

  test('an empty fit book says how to begin', async () => {
    await go('#/fit-book');
    await page.getByRole('link', { name: 'Start a trial' }).waitFor();
    await expectAccessible(page, 'empty fit book');
    opened.expectQuiet();
  });

  test('a trial is shown with its windows, steps, kerf and words, and saved as a record', async () => {
    const trial = await ok(
      client.create(
        'trials',
        trialDraft({ date: dayBefore(1), grades: 'ffssppmw', kerfMm: [0.194, 0.186, 0.154, 0.146] }),
      ),
    );
    await go(`#/fit-book/trials/${trial.id}`);
    const scale = page.locator('.grade-scale > svg');
    await scale.waitFor();
    await expectAccessible(page, 'trial with results');
    // The scale is that of a design for the measured kerf, 0.17; the coupon was drawn for 0.16: steps stand 0.010 lower.
    const words = (await scale.getAttribute('aria-label'))!;
    const shift = mm(/step 5 at ([+−\d.]+) was graded presses by hand/.exec(words)![1]!) - 0.04;
    expect(shift).toBeCloseTo(-0.01, 2);
    // Told apart without colour: each grade has a hatching of its own.
    const fills = await page
      .locator('.grade-bar')
      .evaluateAll((bars) => bars.map((bar) => bar.getAttribute('fill')));
    expect(new Set(fills).size).toBe(5);
    expect(await page.locator('.tried text').allTextContents()).toEqual([
      '1',
      '2',
      '3',
      '4',
      '5',
      '6',
      '7',
      '8',
    ]);
    const section = await page.locator('.kerf-section').first().getAttribute('aria-label');
    const [enters, leaves] = [...section!.matchAll(/: ?([\d.]+) \(|, ([\d.]+) \(/g)].map((match) =>
      Number(match[1] ?? match[2]),
    );
    expect(enters).toBeCloseTo(0.194, 2);
    expect(leaves).toBeCloseTo(0.154, 2);
    expect(await text('.words')).toMatch(/about \d+ of 10 seams will/);
    await page.locator('.next a').last().click();
    await page.locator('.coupon-cut-inside').first().waitFor();
    expect(await page.getByRole('textbox', { name: 'Kerf it is drawn for' }).inputValue()).toBe('0.160');
    const proposed = await page.locator('.steps li').count();
    await page.goBack();
    expect(await text('.next')).toContain(`${proposed} steps would halve`);

    await page.getByRole('button', { name: 'Save as fit record' }).click();
    await page.waitForURL(/#\/fit-book\/records\//);
    await page.getByRole('heading', { name: 'Drift' }).waitFor();
    await expectAccessible(page, 'fit record');
    const { items } = await ok(client.list('records'));
    expect(items).toHaveLength(1);
    expect(items[0]!.body.trials).toEqual([{ id: trial.id, version: 1 }]);
    opened.expectQuiet();
  });

  test('used in a piece: the dry fit is of its kerf, allowance and scatter, for all tones or for one', async () => {
    const [record] = (await ok(client.list('records'))).items;
    const { allowanceMm } = record!.body.fit;
    await go('#/pieces/star-seed');
    await settled(page);
    for (const gap of await means()) expect(gap).toBeCloseTo(-0.03, 2);
    await page.getByRole('link', { name: 'Fit book' }).click();
    await page.locator('.record-list a').first().click();
    await page.getByRole('button', { name: /^Use in / }).click();
    await settled(page);
    expect(Math.abs(allowanceMm - 0.03)).toBeGreaterThan(0.004);
    await expect
      .poll(async () => Math.max(...(await means()).map((gap) => Math.abs(gap + allowanceMm))))
      .toBeLessThan(0.004);
    expect(await text('.used-record')).toContain('Cherry 3 mm, Bench laser, Hardwood 3 mm');
    expect(await text('.cell:has-text("Fit, from the fit book")')).toContain(
      `allowance ${allowanceMm.toFixed(3)}`,
    );
    await expectAccessible(page, 'piece with a record');
    // With scatter and a window the dry fit tells how likely a seam lands in the grade.
    await page.locator('.seams tbody button').first().click();
    expect(await text('.callout')).toMatch(/\d+ %/);
    await page.getByRole('button', { name: 'Let it go' }).click();
    await settled(page);
    await expect
      .poll(async () => Math.max(...(await means()).map((gap) => Math.abs(gap + 0.03))))
      .toBeLessThan(0.004);

    // For a single tone, picked beside the piece.
    await page.getByRole('button', { name: 'Take it from the fit book' }).click();
    const forWhat = page.getByRole('combobox', { name: 'For' });
    await forWhat.selectOption({ index: 2 });
    const tone = await forWhat.evaluate((select) => (select as HTMLSelectElement).selectedOptions[0]!.text);
    await page.getByRole('button', { name: 'Use it' }).click();
    await settled(page);
    expect(await text('.used-record')).toContain(tone);
    // The sliders of the other tones are still there.
    expect(await page.getByRole('slider', { name: 'Allowance a side' }).count()).toBe(1);
    // Seams of that tone take the record's allowance, the others keep the typed one.
    const near = (gaps: readonly number[], target: number): number =>
      gaps.filter((gap) => Math.abs(gap - target) < 0.003).length;
    await expect.poll(async () => near(await means(), -allowanceMm)).toBeGreaterThan(0);
    expect(near(await means(), -0.03)).toBeGreaterThan(0);
    opened.expectQuiet();
  });

  test('drift: the kerf of every record against its day, as a chart and as a table, and old ones are said to be old', async () => {
    for (const [days, kerf] of [
      [300, 0.15],
      [200, 0.16],
    ] as const) {
      await makeRecord(client, {
        date: dayBefore(days),
        stock: 'sapele-3-mm',
        kerfMm: [kerf + 0.02, kerf + 0.02, kerf - 0.02, kerf - 0.02],
      });
    }
    await go('#/fit-book');
    const line = page.locator('.record-list li', { hasText: 'Sapele' });
    expect(await line.textContent()).toContain('old: 200 days, limit 90');
    await line.getByRole('link').click();
    await page.locator('.drift > svg').waitFor();
    expect(await page.locator('.drift > svg circle').count()).toBe(2);
    expect(await page.locator('.drift > svg .interval').count()).toBe(4);
    expect(await page.locator('.drift > svg').getAttribute('aria-label')).toMatch(
      /2 records.*grew by 0\.0\d\d mm/,
    );
    await page.getByText('The same as a table').click();
    const rows = await page
      .locator('.drift tbody tr')
      .evaluateAll((all) => all.map((row) => [...row.children].map((cell) => cell.textContent ?? '')));
    expect(rows.map(([day]) => day)).toEqual([dayBefore(300), dayBefore(200)]);
    expect(Number(rows[0]![1]!.split(' ')[0])).toBeCloseTo(0.17, 2);
    expect(Number(rows[1]![1]!.split(' ')[0])).toBeCloseTo(0.18, 2);
    expect(await text('.sheet-margin')).toMatch(/200 days old; your limit is 90 days/);
    await expectAccessible(page, 'drift');

    // The limit is the maker's.
    await go('#/fit-book');
    await page.getByText('A record is old after 90 days').click();
    await page.getByRole('textbox', { name: 'A record is old after' }).fill('365');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByText('A record is old after 365 days').waitFor();
    expect(await page.locator('.record-list li', { hasText: 'Sapele' }).textContent()).toContain(
      'measured 200 days ago',
    );
    opened.expectQuiet();
  });

  test('a board that differs by more than 0.1 mm from the one that was measured is warned of', async () => {
    await ok(
      client.create('sheets', {
        name: 'Thick sapele',
        stock: 'sapele-3-mm',
        kind: 'sheet',
        outline: 'M 0 0 L 300 0 L 300 200 L 0 200 Z',
        thicknessMm: 3.2,
      }),
    );
    await go('#/fit-book');
    await page.locator('.record-list li', { hasText: 'Sapele' }).getByRole('link').click();
    const warning = page.locator('.sheet-margin .caution', { hasText: '3.2 mm thick' });
    await warning.waitFor();
    expect(await warning.textContent()).toContain('measured at 3.05 mm');
    opened.expectQuiet();
  });

  test('how a batch went is told in sums or by grade, kept while typing, and updates the record', async () => {
    await go('#/fit-book');
    await page.locator('.record-list li', { hasText: 'Cherry' }).getByRole('link').click();
    const before = await text('.cell:has-text("Allowance, mm")');
    await page.getByRole('link', { name: 'Tell how a batch went' }).click();
    await page.getByRole('textbox', { name: /^good/ }).fill('4');
    for (let i = 0; i < 8; i++) await page.getByRole('button', { name: 'One more: loose' }).click();
    await expectAccessible(page, 'outcome of a batch');
    await page.reload();
    expect(await page.getByRole('textbox', { name: /^loose/ }).inputValue()).toBe('8');
    await page.getByRole('button', { name: 'Save, and weigh it in' }).click();
    await page.getByText('4 good, 8 loose').waitFor();
    const after = await text('.cell:has-text("Allowance, mm")');
    // Two thirds of the seams were loose: the next ones are drawn tighter.
    expect(mm(/[+−][\d.]+$/.exec(after!)![0])).toBeGreaterThan(mm(/[+−][\d.]+$/.exec(before!)![0]) + 0.001);
    expect(await text('.sheet-margin')).toContain('Before, on');
    const { items } = await ok(client.list('outcomes'));
    expect(items.map(({ body }) => body.seams)).toEqual([
      [
        { outcome: 'good', count: 4 },
        { outcome: 'loose', count: 8 },
      ],
    ]);

    await page.getByRole('link', { name: 'Tell how a batch went' }).click();
    await page.getByRole('radio', { name: /by grade/ }).check();
    await page.getByRole('button', { name: 'One more: presses by hand' }).click();
    await page.getByRole('button', { name: 'One more: needs a mallet' }).click();
    await page.getByRole('button', { name: 'Save, and weigh it in' }).click();
    await page.getByText('1 presses by hand, 1 needs a mallet').waitFor();
    opened.expectQuiet();
  });
});
