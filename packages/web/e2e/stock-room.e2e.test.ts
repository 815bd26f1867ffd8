import type { WorkspaceClient } from '@inlaywright/formats';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { expectAccessible, hasBrowser, type Opened, openBrowser } from './browser.ts';
import { clientOf, ok } from './workshop-hands.ts';

describe.skipIf(!hasBrowser)('the stock room', () => {
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
  const field = (name: string | RegExp) => page.getByRole('textbox', { name });

  test('materials are found by any of their names, each figure with how it is known and where from', async () => {
    await go('#/stock-room/materials');
    await page.locator('.room-line').first().waitFor();
    expect(await page.locator('.room-line').count()).toBeGreaterThan(60);
    await page.getByRole('searchbox').fill('prunus');
    await expect.poll(() => page.locator('.room-line').count()).toBe(1);
    await page.locator('.room-line').click();
    await expectAccessible(page, 'a wood');
    const rows = await page
      .locator('.figures-table tbody tr')
      .evaluateAll((all) => all.map((row) => [...row.children].map((cell) => cell.textContent ?? '')));
    // Black cherry, Wood Handbook FPL-GTR-190, Table 5-3a (metric, 12 %) and Table 4-3.
    const of = (name: string): readonly string[] => rows.find(([first]) => first === name)!;
    expect(of('Bending strength')[1]).toBe('85 MPa');
    expect(of('Shrinkage, tangential')[1]).toBe('7.1 %');
    expect(of('Shrinkage, radial')[1]).toBe('3.7 %');
    for (const [, , known] of rows) expect(known).toMatch(/(source|memory|computed).*\[\d\]$/);
    const sources = await page.locator('.sources li').allTextContents();
    expect(sources.join(' ')).toContain('Wood Handbook');
    expect(await page.locator('.movement svg').getAttribute('aria-label')).toContain(
      '7.1 % along the growth rings',
    );

    await page.getByRole('searchbox').fill('plywood cherry');
    await page.locator('.room-line').first().click();
    expect(await page.locator('.plies svg').getAttribute('aria-label')).toContain(
      'Basswood, American, cross grain',
    );
    await page.getByRole('searchbox').fill('');
    await page.getByRole('combobox', { name: 'Kind of material' }).selectOption('plastic');
    await expect.poll(() => page.locator('.room-line').allTextContents()).toHaveLength(2);
    opened.expectQuiet();
  });

  test('what must not go under a laser is refused as a stock, with the reason', async () => {
    await go('#/stock-room/materials/new');
    await page.getByRole('textbox', { name: 'Name', exact: true }).fill('Soft vinyl, black');
    await page.getByRole('combobox', { name: 'Kind', exact: true }).selectOption('plastic');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.locator('.verdict-refused').waitFor();
    expect(await page.locator('.verdict-refused').textContent()).toMatch(
      /Never under the laser.*hydrogen chloride/i,
    );
    await expectAccessible(page, 'a refused material');
    await page.getByRole('link', { name: 'Make it a stock' }).click();
    await field('Name').fill('Vinyl 1 mm');
    const before = (await ok(client.list('stocks'))).items.length;
    await page.getByRole('button', { name: 'Save' }).click();
    const refusal = page.locator('.document-form .trouble');
    await refusal.waitFor();
    expect(await refusal.textContent()).toMatch(/must not go under a laser.*hydrogen chloride/i);
    expect((await ok(client.list('stocks'))).items).toHaveLength(before);
    opened.forget();
  });

  test('a stock, and boards of it: by width and height, or by corners; thickness as the mean of readings', async () => {
    await go('#/stock-room/stocks/new');
    await page.getByRole('combobox', { name: 'Material' }).selectOption('walnut-black');
    await field('Thickness as sold').fill('1/8 in');
    await field('Supplier').fill('Orchard Lane Timber');
    await field('Price of a sheet').fill('11,5');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.waitForURL(/#\/stock-room\/stocks\/walnut/);
    const stock = (await ok(client.list('stocks'))).items.find(
      ({ body }) => body.material === 'walnut-black',
    )!;
    expect(stock.body.thicknessMm).toBe(3.175);
    expect(stock.body.price).toEqual({ amount: 11.5, currency: 'EUR' });

    await page.getByRole('link', { name: /Another board/ }).click();
    await field('Width').fill('300');
    await field('Height').fill('120');
    await field('Thickness, measured in mm').fill('3.04 3,06 3.08');
    await field('Place on the shelf').fill('Shelf B');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.locator('.board', { hasText: '300 × 120' }).waitFor();
    expect(await page.locator('.board').first().textContent()).toContain('3.06 mm thick');

    await page.getByRole('link', { name: /Another board/ }).click();
    await page.getByRole('radio', { name: 'an offcut' }).check();
    await page.getByRole('radio', { name: 'corners' }).check();
    await field('Name').fill('Walnut offcut');
    await field(/^Corners/).fill('0 0\n140 0\n140 60; 0,5');
    await page.getByText('Corner 4, “0,5”').waitFor();
    expect(await page.getByRole('button', { name: 'Save' }).isDisabled()).toBe(true);
    await field(/^Corners/).fill('0 0\n140 0\n140 60\n90 60\n90 30\n0 30');
    await page.locator('.board-preview svg').waitFor();
    await expectAccessible(page, 'board by corners');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.locator('.board', { hasText: 'Walnut offcut' }).waitFor();
    const boards = (await ok(client.list('sheets', { where: { stock: stock.id } }))).items;
    expect(boards.map(({ body }) => [body.kind, body.thicknessMm, body.place])).toEqual([
      ['offcut', 3.175, ''],
      ['sheet', 3.06, 'Shelf B'],
    ]);
    await page.locator('.board', { hasText: 'Walnut offcut' }).click();
    expect(await field(/^Corners/).inputValue()).toBe('0 0\n140 0\n140 60\n90 60\n90 30\n0 30');
    opened.expectQuiet();
  });

  test('a machine with its motion, and settings on it', async () => {
    await go('#/stock-room/machines/new');
    await field('Name').fill('Diode in the shed');
    await field('Bed, width').fill('410');
    await field('Bed, height').fill('40 cm');
    await page.getByRole('checkbox', { name: 'I know how it moves' }).check();
    await field('Acceleration').fill('900');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.waitForURL(/machines\/diode-in-the-shed/);
    await page.locator('.bed-picture').waitFor();
    expect(await page.locator('.bed-picture').getAttribute('aria-label')).toContain('410 by 400 mm');
    await page.getByRole('link', { name: 'New setting' }).click();
    await field('Name').fill('Veneer');
    await field('Power').fill('101');
    expect(await page.getByRole('alert').textContent()).toBe('Power goes from 0 to 100 %.');
    await field('Power').fill('60');
    await field('Speed').fill('8');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.locator('.plain-table', { hasText: 'Veneer' }).waitFor();
    await expectAccessible(page, 'machines');
    const machine = await ok(client.get('machines', 'diode-in-the-shed'));
    expect(machine.body.motion?.accelerationMmPerS2).toBe(900);
    opened.expectQuiet();
  });

  test('a form that another device overtook keeps what was typed, and offers both', async () => {
    await go('#/stock-room/stocks/sapele-3-mm');
    await page.getByRole('button', { name: 'Change' }).click();
    await field('Supplier').fill('Mine');
    const theirs = await ok(client.get('stocks', 'sapele-3-mm'));
    await ok(client.replace('stocks', 'sapele-3-mm', theirs.version, { ...theirs.body, notes: 'Theirs' }));
    await page.getByRole('button', { name: 'Save' }).click();
    const both = page.locator('.two-versions');
    await both.waitFor();
    expect(await field('Supplier').inputValue()).toBe('Mine');
    await expectAccessible(page, 'an overtaken form');
    await both.getByRole('button', { name: 'Save mine on top' }).click();
    await expect.poll(async () => (await ok(client.get('stocks', 'sapele-3-mm'))).body.supplier).toBe('Mine');
    const { versions } = await ok(client.versions('stocks', 'sapele-3-mm'));
    const before = await ok(client.version('stocks', 'sapele-3-mm', versions[1]!.version));
    expect(before.body.notes).toBe('Theirs');
    opened.forget();
  });
});
