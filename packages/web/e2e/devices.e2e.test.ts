import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { expectAccessible, hasBrowser, type Opened, openBrowser } from './browser.ts';
import { clientOf, ok, openDevice, trialDraft } from './workshop-hands.ts';

/** Any address of this machine but the usual one counts as another device's way in. */
const SHARED = '127.0.0.2';

describe.skipIf(!hasBrowser)('other devices', () => {
  let opened: Opened;
  let page: Page;
  beforeAll(async () => {
    opened = await openBrowser({ share: SHARED });
    page = opened.page;
  });
  afterAll(() => opened.close());

  test('a phone comes in with the code, finds the trial that waits, and is turned away again', async () => {
    const trial = await ok(clientOf(opened).create('trials', trialDraft()));
    await page.goto(`${opened.server.address}#/devices`);
    const code = page.locator('.devices-code');
    await code.waitFor();
    await page.locator('.qr').waitFor();
    await expect
      .poll(() => page.locator('.qr').evaluate((image) => (image as HTMLImageElement).naturalWidth))
      .toBeGreaterThan(20);
    await expectAccessible(page, 'devices');
    const address = (await page.locator('.devices-address').textContent())!;
    expect(address).toBe(`http://${SHARED}:${opened.server.port}/`);

    const phone = await openDevice();
    try {
      await phone.page.goto(address);
      await phone.page.getByRole('textbox', { name: /code/i }).fill((await code.textContent())!);
      await phone.page.locator('form button, form input[type="submit"]').first().tap();
      // It comes to the trials, for that is what phones come for.
      await phone.page.waitForURL(/#\/fit-book\/trials$/);
      await phone.page.getByRole('link', { name: 'Type in results' }).tap();
      await phone.page.getByRole('heading', { level: 2, name: 'Step 1' }).waitFor();
      await phone.page.locator('.grade', { hasText: 'slides' }).tap();
      await expect
        .poll(async () => (await ok(clientOf(opened).get('trials', trial.id))).body.trial.steps[0]!.grade)
        .toBe('slides');

      const away = page.getByRole('button', { name: 'Turn away' });
      await away.waitFor({ timeout: 15_000 });
      await away.click();
      await page.getByText('None but this machine.').waitFor();
      await phone.page.locator('.grade', { hasText: 'slides' }).tap();
      await phone.page.getByRole('heading', { name: 'Enter the access code' }).waitFor();
      await expectAccessible(phone.page, 'turned away');
      // What was typed since is kept, and is sent once the device is in again.
      await phone.page.getByRole('link', { name: 'Enter the code' }).tap();
      await phone.page.getByRole('textbox', { name: /code/i }).fill((await code.textContent())!);
      await phone.page.locator('form button, form input[type="submit"]').first().tap();
      await phone.page.waitForURL(/#\/fit-book\/trials$/);
      await phone.page.getByText('entries wait on this device').waitFor();
      await phone.page.getByRole('link', { name: 'Type in results' }).tap();
      await expect
        .poll(async () => (await ok(clientOf(opened).get('trials', trial.id))).body.trial.steps[1]!.grade)
        .toBe('slides');
      expect(phone.complaints).toEqual([]);
    } finally {
      await phone.close();
    }
    opened.expectQuiet();
  });

  test('beside a trial the code stands ready for the phone', async () => {
    const trial = await ok(clientOf(opened).create('trials', trialDraft({ name: 'For the phone' })));
    await page.goto(`${opened.server.address}#/fit-book/trials/${trial.id}`);
    // The trial waits for results: nobody has to ask for it.
    await page.locator('.on-the-phone .qr').waitFor();
    expect(await page.locator('.on-the-phone').textContent()).toContain(SHARED);
  });
});
