import type { Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { expectAccessible, hasBrowser, type Opened, openBrowser } from './browser.ts';
import { clientOf, type Device, ok, openDevice, trialDraft } from './workshop-hands.ts';

const PHONE = { width: 390, height: 844 } as const;

describe.skipIf(!hasBrowser)('typing results in beside the laser', () => {
  let opened: Opened;
  let page: Page;
  let id: string;
  let form: string;
  beforeAll(async () => {
    opened = await openBrowser({ ...PHONE, touch: true });
    page = opened.page;
  });
  afterAll(() => opened.close());
  beforeEach(async () => {
    const trial = await ok(clientOf(opened).create('trials', trialDraft()));
    id = trial.id;
    form = `${opened.server.address}#/fit-book/trials/${id}/results`;
    await page.goto('about:blank');
    await page.goto(form);
    await heading('Step 1');
  });

  const heading = (name: string, on: Page = page): Promise<void> =>
    on.getByRole('heading', { level: 2, name, exact: true }).waitFor();
  const grade = (name: string, on: Page = page) => on.getByRole('button', { name: new RegExp(`^✓?${name}`) });
  const state = (on: Page = page): Promise<string | null> => on.locator('.saving').textContent();
  const stored = async () => (await ok(clientOf(opened).get('trials', id))).body.trial;
  const station = (name: string | RegExp, on: Page = page) =>
    on.locator('.strip').getByRole('button', { name });

  test('a whole trial is filled in with one thumb: steps as on the coupon, then sizes with repeats and units', async () => {
    const grades = [
      'falls through',
      'falls through',
      'slides',
      'slides',
      'presses by hand',
      'presses by hand',
      'needs a mallet',
      'will not go',
    ];
    for (const [i, name] of grades.entries()) {
      await heading(`Step ${i + 1}`);
      expect(await page.locator('.plug-picture').getAttribute('aria-label')).toBe(
        `A ${i % 2 === 0 ? 'disc' : 'rounded square'} with the number ${i + 1}`,
      );
      if (i === 0) await expectAccessible(page, 'a step on the phone');
      await grade(name).tap();
    }
    await heading('Gauge, hole');
    await expectAccessible(page, 'a size on the phone');
    const field = page.getByRole('textbox');
    for (const typed of ['20,19', '20.2', '20.18']) {
      await field.fill(typed);
      await page.getByRole('button', { name: 'Add' }).tap();
      await expect.poll(() => field.inputValue()).toBe('');
    }
    expect(await page.locator('.readings li').allTextContents()).toEqual([
      '20.19 mm×',
      '20.20 mm×',
      '20.18 mm×',
    ]);
    await page.getByRole('button', { name: 'Next' }).tap();
    await heading('Gauge, plug');
    await page.getByRole('radio', { name: 'in' }).check({ force: true });
    await field.fill('0.78');
    await page.getByRole('button', { name: 'Add' }).tap();
    expect(await page.locator('.readings li').first().textContent()).toBe('0.7800 in×');
    await field.fill('1.234,5');
    await page.getByRole('button', { name: 'Add' }).tap();
    expect(await page.getByRole('alert').textContent()).toContain('two decimal marks');
    await page.getByRole('radio', { name: 'mm' }).check({ force: true });
    await field.fill('');
    await expect.poll(state).toMatch(/^All saved/);
    const trial = await stored();
    expect(trial.steps.map((step) => step.grade)).toEqual(grades);
    const gauge = trial.readings[0]!;
    expect(gauge.kind === 'two-face' && gauge.holeMm).toEqual([20.19, 20.2, 20.18]);
    // 0.78 in = 0.78 x 25.4 mm exactly (international inch).
    expect(gauge.kind === 'two-face' && gauge.plugMm).toEqual([19.812]);
    expect(trial.date).toMatch(/^\d{4}-\d\d-\d\d$/);
    expect(await page.locator('.results-head .figures').textContent()).toBe('8 of 8 steps, 2 of 12 sizes');
    opened.expectQuiet();
  });

  test('everything a thumb must hit is 48 px or more, and the grades lie in its reach', async () => {
    for (const target of ['.grade', '.results-foot button', '.station']) {
      const boxes = await page
        .locator(target)
        .evaluateAll((all) =>
          all.map((one) => one.getBoundingClientRect()).map(({ width, height }) => Math.min(width, height)),
        );
      expect(boxes.length, target).toBeGreaterThan(0);
      for (const size of boxes) expect(size, target).toBeGreaterThanOrEqual(48);
    }
    const grades = await page
      .locator('.grade')
      .evaluateAll((all) => all.map((one) => one.getBoundingClientRect().bottom));
    expect(Math.max(...grades)).toBeLessThanOrEqual(PHONE.height);
    expect(Math.min(...grades)).toBeGreaterThan(PHONE.height / 3);
    await station(/^Gauge, hole across x/)
      .first()
      .tap();
    await heading('Gauge, hole');
    await page.getByRole('textbox').fill('20.1');
    await page.getByRole('button', { name: 'Add' }).tap();
    for (const target of [
      '.size-field input[type="text"]',
      '.size-field button',
      '.unit label',
      '.readings button',
    ]) {
      const boxes = await page
        .locator(target)
        .evaluateAll((all) => all.map((one) => one.getBoundingClientRect().height));
      expect(boxes.length, target).toBeGreaterThan(0);
      for (const size of boxes) expect(size, target).toBeGreaterThanOrEqual(48);
    }
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(PHONE.width);
  });

  test('a phone that sleeps or reloads in the middle loses nothing, not even a half-typed number', async () => {
    await grade('slides').tap();
    await heading('Step 2');
    await station(/^Gauge, hole across x/)
      .first()
      .tap();
    await heading('Gauge, hole');
    await page.getByRole('textbox').fill('20.');
    // Asleep: the page is hidden and loses the focus. Then the system throws it away.
    await page.evaluate(() => {
      Object.defineProperty(document, 'visibilityState', { value: 'hidden', configurable: true });
      document.dispatchEvent(new Event('visibilitychange'));
    });
    await page.reload();
    await heading('Step 2');
    await station(/^Gauge, hole across x/)
      .first()
      .tap();
    expect(await page.getByRole('textbox').inputValue()).toBe('20.');
    await page.getByRole('textbox').fill('20.11');
    await page.getByRole('textbox').press('Enter');
    await expect.poll(state).toMatch(/^All saved/);
    const trial = await stored();
    expect(trial.steps[0]!.grade).toBe('slides');
    expect(trial.readings[0]!.kind === 'two-face' && trial.readings[0]!.holeMm).toEqual([20.11]);
  });

  test('without a connection entries wait on the device, also through a crash of the page, and go when it is back', async () => {
    await opened.context.setOffline(true);
    await grade('falls through').tap();
    await heading('Step 2');
    await grade('slides').tap();
    await heading('Step 3');
    await expect.poll(state).toContain('2 entries wait on this device');
    expect((await stored()).steps[0]!.grade).toBeUndefined();
    // The page is gone, as after a crash; the device comes back to the form later.
    await page.goto('about:blank');
    await opened.context.setOffline(false);
    await page.goto(form);
    await heading('Step 3');
    await expect.poll(state).toMatch(/^All saved/);
    const trial = await stored();
    expect(trial.steps.slice(0, 3).map((step) => step.grade)).toEqual(['falls through', 'slides', undefined]);

    await opened.context.setOffline(true);
    await grade('presses by hand').tap();
    await expect.poll(state).toContain('waits on this device');
    await opened.context.setOffline(false);
    await expect.poll(state, { timeout: 20_000 }).toMatch(/^All saved/);
    expect((await stored()).steps[2]!.grade).toBe('presses by hand');
    opened.forget();
  });

  test('another device sees each entry as it comes, and can type on', async () => {
    const desk = await openDevice({ width: 1440, height: 900, touch: false });
    try {
      await desk.page.goto(`${opened.server.address}#/fit-book/trials/${id}`);
      await desk.page.getByRole('link', { name: 'Type in results' }).waitFor();
      await grade('falls through').tap();
      const line = desk.page.locator('.entries li').first();
      await expect.poll(() => line.textContent()).toContain('falls through');
      // What it tells is weighed and shown at once.
      await desk.page.getByRole('heading', { name: 'In words' }).waitFor();
      await line.getByRole('link').click();
      await heading('Step 1', desk.page);
      await desk.page.keyboard.press('Tab');
      await grade('slides', desk.page).focus();
      await desk.page.keyboard.press('2');
      await expect.poll(() => state(desk.page)).toMatch(/^All saved/);
      await expect
        .poll(() =>
          station(/^Step 1:/)
            .locator('.unseen')
            .textContent(),
        )
        .toBe('Step 1: slides');
      expect(desk.complaints).toEqual([]);
    } finally {
      await desk.close();
    }
    opened.expectQuiet();
  });

  describe('two devices that typed the same trial', () => {
    let other: Device;
    beforeEach(async () => {
      other = await openDevice();
      await other.page.goto(form);
      await heading('Step 1', other.page);
      // This phone loses its connection, types steps 1 and 2, and meanwhile the other types 1 and 3.
      await opened.context.setOffline(true);
      await grade('falls through').tap();
      await heading('Step 2');
      await grade('slides').tap();
      await expect.poll(state).toContain('wait on this device');
      await grade('slides', other.page).tap();
      await heading('Step 2', other.page);
      await station(/^Step 3/, other.page).tap();
      await grade('presses by hand', other.page).tap();
      await expect.poll(() => state(other.page)).toMatch(/^All saved/);
      await opened.context.setOffline(false);
      await page.getByRole('heading', { name: 'Another device saved this trial in between' }).waitFor();
    });
    const rows = (): Promise<string[]> =>
      page.locator('.two-versions tbody tr').evaluateAll((all) => all.map((row) => row.textContent ?? ''));
    const end = async (): Promise<void> => {
      opened.forget();
      await other.close();
    };

    test('the later is told, shown both, and both are kept with the choice of what collides', async () => {
      await expectAccessible(page, 'two versions');
      expect(await rows()).toEqual([
        'Step 1falls throughslides',
        'Step 2slidesas before',
        'Step 3as beforepresses by hand',
      ]);
      await page.getByRole('radio', { name: /Step 1: the other device/ }).check();
      await page.getByRole('button', { name: 'Keep both, as chosen' }).tap();
      await expect.poll(state).toMatch(/^All saved/);
      const grades = (await stored()).steps.slice(0, 3).map((step) => step.grade);
      expect(grades).toEqual(['slides', 'slides', 'presses by hand']);
      await expect
        .poll(() =>
          station(/^Step 2:/, other.page)
            .locator('.unseen')
            .textContent(),
        )
        .toBe('Step 2: slides');
      await end();
    });

    test('mine only: theirs stays in the history', async () => {
      await page.getByRole('button', { name: 'Keep mine only' }).tap();
      await expect.poll(state).toMatch(/^All saved/);
      expect((await stored()).steps.slice(0, 3).map((step) => step.grade)).toEqual([
        'falls through',
        'slides',
        undefined,
      ]);
      const { versions } = await ok(clientOf(opened).versions('trials', id));
      const before = await ok(clientOf(opened).version('trials', id, versions[1]!.version));
      expect(before.body.trial.steps[2]!.grade).toBe('presses by hand');
      await end();
    });

    test('mine as a trial of its own: both are there', async () => {
      await page.getByRole('button', { name: 'Mine as a trial of its own' }).tap();
      await page.waitForURL((address) => !address.hash.includes(`/trials/${id}/`));
      await expect.poll(state).toMatch(/^All saved/);
      expect((await stored()).steps[0]!.grade).toBe('slides');
      const copy = /trials\/([^/]+)\//.exec(page.url())![1]!;
      const mine = await ok(clientOf(opened).get('trials', copy));
      expect(mine.copyOf?.id).toBe(id);
      expect(mine.body.trial.steps.slice(0, 2).map((step) => step.grade)).toEqual([
        'falls through',
        'slides',
      ]);
      await end();
    });
  });
});
