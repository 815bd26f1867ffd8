import { mkdirSync } from 'node:fs';
import { afterEach, describe, expect, test } from 'vitest';
import {
  dropFile,
  expectAccessible,
  hasBrowser,
  type Opened,
  openBrowser,
  openSheet,
  outputFolder,
  settled,
} from './browser.ts';

const SCREENS = [
  { name: 'desk', width: 1440, height: 900 },
  { name: 'phone', width: 390, height: 844 },
] as const;

describe.skipIf(!hasBrowser)('how the page looks', () => {
  let opened: Opened;
  afterEach(() => opened.close());

  for (const screen of SCREENS) {
    for (const dark of [false, true]) {
      const theme = dark ? 'blueprint' : 'paper';
      test(`${screen.name}, ${theme}: nothing runs over the edge, texts are read, pictures are kept`, async () => {
        opened = await openBrowser({ ...screen, dark });
        const { page } = opened;
        mkdirSync(outputFolder, { recursive: true });
        await openSheet(opened);
        await expect.poll(() => page.locator('.miniature svg').count()).toBeGreaterThan(0);
        expect(await page.evaluate(() => document.documentElement.dataset.theme)).toBe(theme);
        for (const view of ['Tones', 'Parts apart', 'Seams']) {
          await page.getByRole('radio', { name: view }).check();
          const wide = await page.evaluate(() => document.documentElement.scrollWidth);
          expect(wide, view).toBeLessThanOrEqual(screen.width);
          await expectAccessible(page, `${screen.name} ${theme} ${view}`);
          await page.screenshot({
            path: `${outputFolder}${screen.name}-${theme}-${view.toLowerCase().replace(' ', '-')}.png`,
            fullPage: screen.name === 'phone',
          });
        }
        if (screen.name === 'phone') {
          // The drawing comes first: before fit, notes, seams and title block.
          const top = (selector: string): Promise<number> =>
            page
              .locator(selector)
              .first()
              .evaluate((element) => element.getBoundingClientRect().top + scrollY);
          const drawing = await top('.field-paper');
          for (const later of ['.title-block', '.fit', '.notes', '.seams']) {
            expect(await top(later), later).toBeGreaterThan(drawing);
          }
        }
        opened.expectQuiet();
      });
    }
  }

  for (const screen of SCREENS) {
    test(`${screen.name}: artwork, stocks, a selected seam and trouble have their pictures too`, async () => {
      opened = await openBrowser(screen);
      const { page } = opened;
      mkdirSync(outputFolder, { recursive: true });
      await openSheet(opened);
      const keep = async (name: string): Promise<void> => {
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        expect(wide, name).toBeLessThanOrEqual(screen.width);
        await expectAccessible(page, `${screen.name} ${name}`);
        await page.screenshot({
          path: `${outputFolder}${screen.name}-${name}.png`,
          fullPage: screen.name === 'phone',
        });
      };
      await page.getByRole('radio', { name: 'Seams' }).check();
      await page.getByRole('radio', { name: 'none' }).check();
      await settled(page);
      await page.locator('.seams tbody tr').nth(1).getByRole('button').click();
      await keep('selected');
      await page.getByRole('button', { name: /^Stocks/ }).click();
      await keep('stocks');
      await page.keyboard.press('Escape');
      await page.getByRole('radio', { name: 'Tones' }).check();
      await dropFile(
        page,
        'pressed-leaf.svg',
        `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 56" width="40mm" height="56mm">
          <path fill="#8a4b2a" d="M20 2C34 14 38 26 38 36A18 18 0 0 1 2 36C2 26 6 14 20 2z"/>
          <path fill="#efe6d0" d="M20 16c7 7 9 13 9 19a9 9 0 0 1-18 0c0-6 2-12 9-19z"/>
          <path fill="#4d6b3c" d="M19 22h2v24h-2z"/><circle cx="20" cy="8" r="1.5" fill="#ffffff"/>
          <path d="M10 50h20" stroke="#000"/></svg>`,
      );
      await page.getByRole('heading', { name: 'Artwork brought in' }).waitFor();
      await settled(page);
      await keep('artwork');
      await dropFile(page, 'cut-short.svg', '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0');
      await page.getByRole('alert').waitFor();
      await keep('trouble');
      opened.expectQuiet();
    });
  }
});
