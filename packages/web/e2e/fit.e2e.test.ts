import type { Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { hasBrowser, mm, type Opened, openBrowser, openSheet, seamRows, settled } from './browser.ts';

describe.skipIf(!hasBrowser)('the fit on the sheet', () => {
  let opened: Opened;
  let page: Page;
  beforeAll(async () => {
    opened = await openBrowser();
    page = opened.page;
  });
  afterAll(() => opened.close());
  beforeEach(async () => {
    // A new document each time: the settings of the test before are gone.
    await page.goto('about:blank');
    await openSheet(opened, '#/pieces/star-seed');
  });

  const means = async (): Promise<number[]> => (await seamRows(page)).map((row) => mm(row[1]!));
  const type = async (label: string, text: string): Promise<void> => {
    const field = page.getByRole('textbox', { name: label });
    await field.fill(text);
    await field.press('Enter');
    await settled(page);
  };

  test('turned inlays press by the allowance all along, and follow the slider live', async () => {
    const before = await means();
    // With turned parts and equal taper the gap is minus the allowance, all the way down.
    for (const gap of before) expect(gap).toBeCloseTo(-0.03, 2);
    const slider = page.getByRole('slider', { name: 'Allowance a side' });
    await slider.focus();
    for (let i = 0; i < 4; i++) await page.keyboard.press('ArrowRight');
    await settled(page);
    expect(await page.getByRole('textbox', { name: 'Allowance a side' }).inputValue()).toBe('0.050');
    const after = await means();
    for (const [i, gap] of after.entries()) expect(gap - before[i]!).toBeCloseTo(-0.02, 2);
    opened.expectQuiet();
  });

  test('a slider that is dragged shows numbers on the way, and ends with those of its last place', async () => {
    const slider = page.getByRole('slider', { name: 'Allowance a side' });
    const seen = new Set<string>();
    const bounds = (await slider.boundingBox())!;
    const y = bounds.y + bounds.height / 2;
    await page.mouse.move(bounds.x + bounds.width * 0.53, y);
    await page.mouse.down();
    for (let i = 0; i <= 20; i++) {
      await page.mouse.move(bounds.x + bounds.width * (0.53 + 0.02 * i), y);
      seen.add((await seamRows(page))[0]![1]!);
    }
    await page.mouse.up();
    await settled(page);
    expect(seen.size).toBeGreaterThan(3);
    const value = Number(
      (await page.getByRole('textbox', { name: 'Allowance a side' }).inputValue()).replace(',', '.'),
    );
    expect(value).toBeGreaterThan(0.08);
    for (const gap of await means()) expect(gap).toBeCloseTo(-value, 2);
    opened.expectQuiet();
  });

  test('typed lengths are read strictly: both decimal marks, units, fractions', async () => {
    const field = page.getByRole('textbox', { name: 'Kerf at the entry face' });
    for (const [typed, shown] of [
      ['0,2', '0.200'],
      ['0.21 mm', '0.210'],
      ['0,02cm', '0.200'],
      ['8 thou', '0.203'],
      ['1/128 in', '0.198'],
    ] as const) {
      await type('Kerf at the entry face', typed);
      expect(await field.inputValue(), typed).toBe(shown);
    }
    for (const typed of ['1.234,5', '0.2.1', 'about 0.2', '5', '-0.1', '0.2 ft']) {
      await type('Kerf at the entry face', typed);
      expect(await field.getAttribute('aria-invalid'), typed).toBe('true');
      expect(await page.getByRole('alert').textContent(), typed).not.toBe('');
      expect(await page.locator('.cell', { hasText: 'Fit' }).textContent(), typed).toContain('kerf 0.20');
      await field.press('Escape');
      expect(await field.inputValue(), typed).toBe('0.198');
    }
    opened.expectQuiet();
  });

  test('the section shows the computed gaps and tells what is turned', async () => {
    const section = page.getByRole('img', { name: /^Section across seam/ });
    expect(await section.getAttribute('aria-label')).toMatch(/gap \u22120\.03\d? mm at the show face/);
    expect(await page.locator('.section svg').textContent()).toContain('turned');
    await page.getByRole('radio', { name: 'none' }).check();
    await settled(page);
    expect(await page.locator('.section svg').textContent()).not.toContain('turned');
    const gaps = await page.locator('.section-gap').allTextContents();
    expect(mm(gaps[0]!)).toBeGreaterThan(mm(gaps[2]!));
  });

  test('rows and seams light each other, and what is selected shows its numbers on the sheet', async () => {
    await page.getByRole('radio', { name: 'Seams' }).check();
    const row = page.locator('.seams tbody tr').nth(1);
    await row.hover();
    await page.locator('.seam.is-pointed').waitFor();
    const button = row.getByRole('button');
    const name = (await button.textContent())!.trim();
    await button.click();
    expect(await button.getAttribute('aria-pressed')).toBe('true');
    expect(await page.locator('.callout').textContent()).toContain(name);
    expect(await page.locator('.section figcaption').textContent()).toContain(name.replace('Seam ', ''));
    // The other way: from the drawing to the row.
    const spot = await page
      .locator('.seam')
      .nth(2)
      .locator('.seam-reach')
      .evaluate((path) => {
        // A place of the seam that no other seam covers.
        const line = path as SVGPathElement;
        const m = line.getScreenCTM()!;
        for (let share = 0.05; share < 1; share += 0.05) {
          const at = line.getPointAtLength(line.getTotalLength() * share);
          const place = { x: m.a * at.x + m.e, y: m.d * at.y + m.f };
          if (document.elementFromPoint(place.x, place.y) === line) return place;
        }
        throw new Error('the seam is covered everywhere');
      });
    await page.mouse.move(spot.x, spot.y);
    await page.locator('.seams tbody tr').nth(2).and(page.locator('.is-pointed')).waitFor();
    await page.mouse.click(spot.x, spot.y);
    expect(
      await page.locator('.seams tbody tr').nth(2).getByRole('button').getAttribute('aria-pressed'),
    ).toBe('true');
    opened.expectQuiet();
  });

  test('a pair doubles the parts to cut, and one stock for two tones joins their files', async () => {
    await page.getByRole('checkbox', { name: /left and a right/ }).setChecked(true);
    await settled(page);
    expect(await page.locator('.cell', { hasText: 'Parts' }).textContent()).toContain('\u00d7 2');
    await page.getByRole('button', { name: /^Stocks/ }).click();
    const stocks = page.getByRole('textbox', { name: /^Stock for/ });
    await stocks.first().fill('cherry-3mm');
    await stocks.first().press('Enter');
    await settled(page);
    expect(await page.getByRole('button', { name: /^Stocks/ }).textContent()).toContain('cherry-3mm');
    await page.keyboard.press('Escape');
    await expect.poll(() => stocks.count()).toBe(0);
    opened.expectQuiet();
  });
});
