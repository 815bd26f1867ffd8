import { afterEach, describe, expect, test } from 'vitest';
import {
  dropFile,
  expectAccessible,
  hasBrowser,
  type Opened,
  openBrowser,
  openSheet,
  settled,
} from './browser.ts';

describe.skipIf(!hasBrowser)('when something goes wrong', () => {
  let opened: Opened;
  afterEach(() => opened.close());

  test('a computing worker that does not load is explained, and tried again', async () => {
    opened = await openBrowser();
    const { page } = opened;
    let broken = true;
    await opened.context.route('**/worker/*.js', (route) => (broken ? route.abort() : route.continue()));
    await page.goto(opened.server.address);
    const alert = page.getByRole('alert');
    await alert.getByRole('heading', { name: 'The computation stopped' }).waitFor();
    expect(await alert.textContent()).toContain('Try again');
    await expectAccessible(page, 'worker failed');
    broken = false;
    await alert.getByRole('button', { name: 'Try again' }).click();
    await settled(page);
    expect(await page.getByRole('option').count()).toBeGreaterThan(3);
    opened.forget();
  });

  test('a kernel that does not load is explained', async () => {
    opened = await openBrowser();
    const { page } = opened;
    let broken = true;
    await opened.context.route('**/*.wasm', (route) =>
      broken ? route.fulfill({ status: 404, body: '' }) : route.continue(),
    );
    await page.goto(opened.server.address);
    await page.getByRole('alert').waitFor();
    expect(await page.getByRole('alert').textContent()).toMatch(/kernel/);
    broken = false;
    await page.getByRole('button', { name: 'Try again' }).click();
    await settled(page);
    expect(await page.getByRole('option').count()).toBeGreaterThan(3);
    opened.forget();
  });

  test('broken files are explained with their place, and the piece on the sheet stays', async () => {
    opened = await openBrowser();
    const { page } = opened;
    await openSheet(opened);
    const name = await page.locator('.title-name').textContent();
    for (const [file, text, words] of [
      ['cut-short.svg', '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0', /Where:/],
      ['cut-short.json', '{"format":"inlaywright-piece","version":1,', /Where:/],
      ['empty.svg', '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"/>', /Fill its shapes/],
      ['notes.txt', 'two brooches in holly', /neither a piece file nor SVG/],
    ] as const) {
      await dropFile(page, file, text);
      await page.getByRole('alert').filter({ hasText: words }).waitFor();
      expect(await page.locator('.title-name').textContent(), file).toBe(name);
      await expectAccessible(page, file);
    }
    // The piece that stayed is still the open one: its files are written.
    await page.getByRole('button', { name: 'Put this aside' }).click();
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'Cut files' }).click(),
    ]);
    expect(download.suggestedFilename()).toMatch(/-cut-files\.zip$/);
    opened.expectQuiet();
  });

  test('a server that has gone away is explained', async () => {
    opened = await openBrowser();
    const { page } = opened;
    await openSheet(opened);
    await opened.context.route('**/api/**', (route) => route.abort());
    await page.locator('a.register-entry').nth(1).click();
    await page.getByRole('alert').filter({ hasText: 'The server does not answer' }).waitFor();
    expect(await page.getByRole('alert').textContent()).toContain('npm start');
    opened.forget();
  });

  test('an empty workspace says how to begin', async () => {
    opened = await openBrowser({ demos: null });
    const { page } = opened;
    await page.goto(opened.server.address);
    await page.getByRole('heading', { name: 'Nothing on the sheet yet' }).waitFor();
    await expectAccessible(page, 'empty');
    await dropFile(
      page,
      'disc.svg',
      '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20"><circle cx="10" cy="10" r="9" fill="#b8763f"/></svg>',
    );
    await settled(page);
    expect(await page.getByRole('option', { name: /^Part/ }).count()).toBe(1);
    expect(await page.locator('.fit').textContent()).toContain('no seam');
    opened.expectQuiet();
  });
});
