import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { hasBrowser, type Opened, openBrowser, openSheet, seamRows, settled } from './browser.ts';

/** More stops than the page has: a loop that never arrives fails instead of running on. */
const MOST_STOPS = 120;

describe.skipIf(!hasBrowser)('the page by keyboard alone', () => {
  let opened: Opened;
  let page: Page;
  beforeAll(async () => {
    opened = await openBrowser();
    page = opened.page;
    await openSheet(opened);
  });
  afterAll(() => opened.close());

  /** What has the focus, in words, and whether its focus can be seen. */
  const focused = (): Promise<{ words: string; seen: boolean }> =>
    page.evaluate(() => {
      const element = document.activeElement!;
      const shown = element.matches('.piece') ? element.closest('.field-paper')! : element;
      const style = getComputedStyle(shown);
      const label =
        element.getAttribute('aria-label') ??
        (element as HTMLInputElement).labels?.[0]?.textContent ??
        element.textContent ??
        '';
      return {
        words: `${element.getAttribute('role') ?? element.tagName.toLowerCase()} ${label.trim()}`,
        seen: style.outlineStyle !== 'none' && Number.parseFloat(style.outlineWidth) >= 2,
      };
    });

  const tabTo = async (pattern: RegExp): Promise<string[]> => {
    const passed: string[] = [];
    for (let i = 0; i < MOST_STOPS; i++) {
      await page.keyboard.press('Tab');
      const { words } = await focused();
      passed.push(words);
      if (pattern.test(words)) return passed;
    }
    throw new Error(`${pattern} was not reached; passed: ${passed.join(', ')}`);
  };

  test('every stop is named and its focus is seen', async () => {
    await page.keyboard.press('Tab');
    const first = (await focused()).words;
    const stops: string[] = [];
    for (let i = 0; i < MOST_STOPS; i++) {
      const { words, seen } = await focused();
      expect(words, 'a name').toMatch(/^\S+ \S/);
      expect(seen, words).toBe(true);
      stops.push(words);
      await page.keyboard.press('Tab');
      const next = (await focused()).words;
      if (next === first || next.startsWith('body')) break;
    }
    expect(stops.length).toBeGreaterThan(15);
    expect(stops.length).toBeLessThan(MOST_STOPS);
    for (const wanted of [
      /Open a file/,
      /listbox Parts of/,
      /Kerf at the entry face/,
      /Cut files/,
      /^button Seam \d/,
    ]) {
      expect(
        stops.some((words) => wanted.test(words)),
        String(wanted),
      ).toBe(true);
    }
  });

  test('parts are walked with arrow keys, chosen with Enter and let go with Escape', async () => {
    await page.reload();
    await settled(page);
    await tabTo(/listbox Parts of/);
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('ArrowRight');
    const active = await page.locator('.piece').getAttribute('aria-activedescendant');
    expect(await page.locator(`[id="${active}"]`).getAttribute('aria-label')).toMatch(/^Part 2,/);
    await page.keyboard.press('Enter');
    expect(await page.locator(`[id="${active}"]`).getAttribute('aria-selected')).toBe('true');
    expect(await page.locator('.callout').textContent()).toContain('Part 2');
    await page.keyboard.press('Escape');
    expect(await page.locator('.callout').count()).toBe(0);
    await page.keyboard.press('+');
    expect(await page.getByRole('button', { name: 'Whole' }).isEnabled()).toBe(true);
    await page.keyboard.press('0');
    expect(await page.getByRole('button', { name: 'Whole' }).isEnabled()).toBe(false);
  });

  test('the whole job: another view, another allowance, a seam looked at, the files written', async () => {
    await page.reload();
    await settled(page);
    await tabTo(/Kerf at the exit face/);
    await tabTo(/Allowance a side/);
    const before = (await seamRows(page))[0]![1];
    await page.keyboard.press('ArrowUp');
    await page.keyboard.press('ArrowUp');
    await settled(page);
    expect((await seamRows(page))[0]![1]).not.toBe(before);
    await page.reload();
    await settled(page);
    await tabTo(/input Tones/);
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('ArrowRight');
    await tabTo(/listbox Seams of/);
    await tabTo(/^button Seam \d/);
    await page.keyboard.press('Enter');
    expect(await page.locator('.callout').textContent()).toMatch(/^Seam/);
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      tabTo(/^button Cut files/).then(() => page.keyboard.press('Enter')),
    ]);
    expect(download.suggestedFilename()).toMatch(/\.zip$/);
    opened.expectQuiet();
  });
});
