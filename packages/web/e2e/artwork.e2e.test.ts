import { readFileSync } from 'node:fs';
import { pieceRegisterSchema, readPiece } from '@inlaywright/formats';
import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import {
  dropFile,
  expectAccessible,
  hasBrowser,
  type Opened,
  openBrowser,
  openSheet,
  settled,
} from './browser.ts';

// A seed pod, invented: a ground, a band of two near tones, a dark seed, a white ring hole and a stroke.
const SEED_POD = `<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="80mm" viewBox="0 0 60 80">
  <ellipse cx="30" cy="42" rx="24" ry="34" fill="#b8763f"/>
  <path d="M12 42h36v8h-36z" fill="#efe6d0"/>
  <path d="M14 52h32v6h-32z" fill="#efe6cf"/>
  <circle cx="30" cy="28" r="7" fill="#3a2c24"/>
  <circle cx="30" cy="13" r="2" fill="#ffffff"/>
  <path d="M20 66h20" stroke="#3a2c24" stroke-width="1.5" fill="none"/>
</svg>`;

describe.skipIf(!hasBrowser)('artwork on the page', () => {
  let opened: Opened;
  let page: Page;
  beforeAll(async () => {
    opened = await openBrowser();
    page = opened.page;
    await openSheet(opened);
  });
  afterAll(() => opened.close());

  test('a dropped drawing stands on the sheet, each fill a tone, its warnings among the notes', async () => {
    await dropFile(page, 'lantern-pod.svg', SEED_POD);
    await page.getByRole('heading', { name: 'Artwork brought in' }).waitFor();
    await settled(page);
    expect(await page.locator('.fills li').count()).toBe(5);
    expect(await page.locator('.title-name').textContent()).toBe('lantern-pod');
    // Nothing is a piercing by its colour alone: white is a part like the others.
    expect(await page.getByRole('option', { name: /^Part/ }).count()).toBe(5);
    expect(await page.locator('.notes').textContent()).toMatch(/stroke/i);
    await expectAccessible(page, 'artwork');
    opened.expectQuiet();
  });

  test('fills are renamed, joined and declared a piercing', async () => {
    await page.getByRole('textbox', { name: /fill #b8763f/ }).fill('Cherry');
    await page.getByRole('combobox', { name: /fill #ffffff/ }).selectOption('piercing');
    await settled(page);
    expect(await page.getByRole('option', { name: /^Part/ }).count()).toBe(4);
    const holly = await page.getByRole('textbox', { name: /fill #efe6d0/ }).inputValue();
    await page.getByRole('combobox', { name: /fill #efe6cf/ }).selectOption({ label: `same as ${holly}` });
    await settled(page);
    expect(await page.locator('.fills').textContent()).toContain(`joined to ${holly}`);
    await page.getByRole('button', { name: /^Stocks/ }).click();
    expect(await page.locator('#stocks-flap tbody tr').count()).toBe(3);
    expect(await page.locator('#stocks-flap').textContent()).toContain('Cherry');
    await page.getByRole('button', { name: 'Fold back' }).click();
    opened.expectQuiet();
  });

  test('its width is typed at the dimension line, and the height follows', async () => {
    const field = page.getByRole('textbox', { name: 'Width of the piece' });
    expect(await field.inputValue()).toBe('48.00');
    await field.fill('2,4 cm');
    await field.press('Enter');
    await settled(page);
    expect(await field.inputValue()).toBe('24.00');
    expect(await page.locator('.dimension-text').allTextContents()).toEqual(['34']);
    opened.expectQuiet();
  });

  test('strokes become outlines when asked', async () => {
    await page.getByRole('checkbox', { name: /strokes/ }).check();
    await settled(page);
    expect(await page.getByRole('option', { name: /^Part/ }).count()).toBe(5);
    await page.getByRole('checkbox', { name: /strokes/ }).uncheck();
    await settled(page);
    opened.expectQuiet();
  });

  test('another piece takes the sheet without losing it, and it is taken up again as it was', async () => {
    await page.locator('a.register-entry').first().click();
    await page.getByRole('heading', { name: 'Artwork brought in' }).waitFor({ state: 'detached' });
    await settled(page);
    await page.getByRole('button', { name: /lantern-pod.*not saved yet/ }).click();
    await page.getByRole('heading', { name: 'Artwork brought in' }).waitFor();
    await settled(page);
    expect(await page.getByRole('textbox', { name: /fill #b8763f/ }).inputValue()).toBe('Cherry');
    expect(await page.getByRole('textbox', { name: 'Width of the piece' }).inputValue()).toBe('24.00');
    opened.expectQuiet();
  });

  /** What the workspace has, as its server tells it. */
  async function stored(path: string): Promise<string> {
    return (await fetch(`${opened.server.address}api/${path}`)).text();
  }

  test('it becomes a piece like any other, is saved, and comes back from the register', async () => {
    await page.getByRole('button', { name: 'Make it a piece' }).click();
    await page.getByRole('heading', { name: 'Artwork brought in' }).waitFor({ state: 'detached' });
    await settled(page);
    expect(await page.getByRole('option', { name: /^Part/ }).count()).toBe(4);
    await page.getByRole('button', { name: 'Save', exact: true }).click();
    await page.locator('.notice', { hasText: 'Saved lantern-pod, version 1' }).waitFor();
    expect(page.url()).toContain('#/pieces/lantern-pod');
    const saved = readPiece(await stored('pieces/lantern-pod'));
    expect(saved.tones.map(({ name }) => name)).toContain('Cherry');
    expect(saved.areas.filter(({ tone }) => tone === 'piercing')).toHaveLength(1);
    await page.reload();
    await settled(page);
    expect(await page.locator('.title-name').textContent()).toBe('lantern-pod');
    expect(await page.locator('.register-entry.is-open').textContent()).toContain('version 1');
    opened.expectQuiet();
  });

  test('a piece file goes to the disk and comes back the same', async () => {
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'Save as a file' }).click(),
    ]);
    expect(download.suggestedFilename()).toBe('lantern-pod.json');
    const text = readFileSync(await download.path(), 'utf8');
    expect(text).toBe(await stored('pieces/lantern-pod'));
    await page.getByLabel('File to open').setInputFiles({
      name: 'a-copy.json',
      mimeType: 'application/json',
      buffer: Buffer.from(text),
    });
    await page.locator('.register-entry.is-open', { hasText: 'not saved yet' }).waitFor();
    await settled(page);
    expect(await page.getByRole('option', { name: /^Part/ }).count()).toBe(4);
    await page.getByRole('button', { name: 'Save', exact: true }).click();
    await page.locator('.notice', { hasText: 'Saved lantern-pod' }).waitFor();
    const { pieces } = pieceRegisterSchema.parse(JSON.parse(await stored('pieces')));
    const saved = pieces.filter(({ savedAt }) => savedAt !== null).map(({ id }) => id);
    expect(saved.sort()).toEqual(['lantern-pod', 'lantern-pod-2']);
    opened.expectQuiet();
  });
});
