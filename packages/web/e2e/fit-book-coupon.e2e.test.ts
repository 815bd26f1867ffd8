import { readFileSync } from 'node:fs';
import { readCutDxf, readCutSvg } from '@inlaywright/formats';
import { curveBounds } from '@inlaywright/geometry';
import type { Download, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { expectAccessible, hasBrowser, type Opened, openBrowser } from './browser.ts';
import { clientOf, makeRecord, ok } from './workshop-hands.ts';

describe.skipIf(!hasBrowser)('a coupon', () => {
  let opened: Opened;
  let page: Page;
  beforeAll(async () => {
    opened = await openBrowser();
    page = opened.page;
  });
  afterAll(() => opened.close());

  const open = async (hash = '#/fit-book/new?stock=cherry-3-mm'): Promise<void> => {
    await page.goto('about:blank');
    await page.goto(opened.server.address + hash);
    await drawn();
  };
  const drawn = async (): Promise<void> => {
    await page.locator('main.trial-sheet[aria-busy="false"]').waitFor();
    await page.locator('.coupon-cut-outside').first().waitFor();
  };
  const text = async (file: Promise<Download>): Promise<{ name: string; text: string }> => {
    const download = await file;
    return {
      name: download.suggestedFilename(),
      text: readFileSync(await download.path(), 'utf8'),
    };
  };
  const cell = (name: string) => page.locator('.cell', { hasText: name });

  test('is drawn live from the file that is cut, and both files hold the same parts', async () => {
    await open();
    await expectAccessible(page, 'new trial');
    const svg = page.waitForEvent('download');
    await page.getByRole('button', { name: 'SVG' }).click();
    const fromSvg = await text(svg);
    const dxf = page.waitForEvent('download');
    await page.getByRole('button', { name: 'DXF' }).click();
    const fromDxf = await text(dxf);
    expect(fromSvg.name).toBe('coupon-cherry-3-mm.svg');
    expect(fromDxf.name).toBe('coupon-cherry-3-mm.dxf');
    const sheets = [readCutSvg(fromSvg.text), readCutDxf(fromDxf.text)];
    for (const sheet of sheets) {
      const plugs = sheet.parts.filter(({ part }) => part.startsWith('plug-'));
      const sockets = sheet.parts
        .filter(({ part }) => part.startsWith('sockets-'))
        .flatMap(({ contours }) => contours.filter(({ role }) => role === 'inside'));
      expect(plugs).toHaveLength(8);
      expect(sockets).toHaveLength(8);
      const width = (curve: Parameters<typeof curveBounds>[0]): number => {
        const { minX, maxX } = curveBounds(curve);
        return maxX - minX;
      };
      // Step 5 is drawn with 0.04 mm a side for a kerf of 0.16: plug less socket is twice both.
      const plug = plugs.find(({ part }) => part === 'plug-5')!;
      const widths = sockets.map(({ curve }) => width(curve));
      expect(width(plug.contours[0]!.curve) - widths[4]!).toBeCloseTo(2 * 0.04 + 2 * 0.16, 4);
    }
    expect(sheets[0]!.widthMm).toBeCloseTo(sheets[1]!.widthMm, 3);
    // What is drawn on the screen is what is in the file: as many lines, and the stated size.
    const lines = await page.locator('.coupon-cut-outside, .coupon-cut-inside').count();
    expect(lines).toBe(sheets[0]!.parts.reduce((sum, { contours }) => sum + contours.length, 0));
    const { widthMm, heightMm } = sheets[0]!;
    expect(await cell('Size, mm').textContent()).toContain(`${widthMm.toFixed(0)} × ${heightMm.toFixed(0)}`);
    expect(await cell('Cut time').textContent()).toMatch(/about (\d+ min )?\d+ s/);
    opened.expectQuiet();
  });

  test('follows the steps that are typed, strictly read, and the room there is', async () => {
    await open();
    const steps = page.locator('.steps li');
    await page.getByRole('button', { name: 'Leave step 8 out' }).click();
    await page.getByRole('textbox', { name: 'Step 1' }).fill('2 thou');
    await page.getByRole('textbox', { name: 'Step 1' }).press('Enter');
    await drawn();
    await expect.poll(() => page.locator('.coupon-cut-inside').count()).toBe(8);
    expect(await steps.count()).toBe(7);
    // 2 thou is 0.0508 mm: it moves up to its place in the order.
    const values = await page
      .getByRole('textbox', { name: /^Step \d/ })
      .evaluateAll((fields) => fields.map((field) => (field as HTMLInputElement).value));
    expect(values).toEqual(['\u22120.020', '0.000', '0.020', '0.040', '0.051', '0.060', '0.080']);
    await page.getByRole('textbox', { name: 'Step 1' }).fill('0.1.2');
    await page.getByRole('textbox', { name: 'Step 1' }).press('Enter');
    expect(await page.getByRole('alert').textContent()).toContain('two decimal marks');
    await page.getByRole('textbox', { name: 'Step 1' }).press('Escape');

    await page.getByRole('textbox', { name: 'Room, width' }).fill('60');
    await page.getByRole('textbox', { name: 'Room, width' }).press('Enter');
    await page.getByRole('alert').waitFor();
    expect(await page.getByRole('alert').textContent()).toMatch(/does not fit.*60 x/);
    expect(await page.getByRole('button', { name: 'Start the trial' }).isDisabled()).toBe(true);
    await page.getByRole('checkbox', { name: /Slats/ }).uncheck();
    await expect.poll(() => page.getByRole('button', { name: 'Start the trial' }).isDisabled()).toBe(false);
    opened.forget();
  });

  test('starts a trial that knows its steps and the sizes to read, once for two taps', async () => {
    await open();
    const before = (await ok(clientOf(opened).list('trials'))).items.length;
    await page.getByRole('button', { name: 'Start the trial' }).dblclick();
    await page.waitForURL(/#\/fit-book\/trials\/[^/]+$/);
    await page.getByRole('link', { name: 'Type in results' }).waitFor();
    await expectAccessible(page, 'trial not tried yet');
    const { items } = await ok(clientOf(opened).list('trials'));
    expect(items).toHaveLength(before + 1);
    const { trial } = items.at(-1)!.body;
    expect(trial.steps.map(({ step, allowanceMm }) => [step, allowanceMm])).toEqual(
      [-0.04, -0.02, 0, 0.02, 0.04, 0.06, 0.08, 0.1].map((mm, i) => [i + 1, mm]),
    );
    expect(trial.readings.map(({ kind, axis, face }) => `${kind} ${axis} ${face}`)).toEqual([
      'two-face x entry',
      'two-face y entry',
      'slats x entry',
      'slats y entry',
      'two-face x exit',
      'two-face y exit',
      'slats x exit',
      'slats y exit',
    ]);
    const svg = page.waitForEvent('download');
    await page.getByRole('button', { name: 'SVG' }).click();
    expect(readCutSvg((await text(svg)).text).parts.length).toBeGreaterThan(9);
    opened.expectQuiet();
  });

  test('where a record exists, the smallest coupon that would halve its interval is offered', async () => {
    await makeRecord(clientOf(opened));
    await open();
    const offer = page.getByRole('button', { name: /^The smallest coupon that would halve/ });
    await offer.waitFor();
    const wanted = Number(/(\d+) steps/.exec((await offer.textContent())!)![1]);
    await offer.click();
    await drawn();
    await expect.poll(() => page.locator('.steps li').count()).toBe(wanted);
    // It counts from the kerf that the record's own coupon was drawn for.
    expect(await page.getByRole('textbox', { name: 'Kerf it is drawn for' }).inputValue()).toBe('0.160');
    opened.expectQuiet();
  });
});
