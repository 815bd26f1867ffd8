import { mkdirSync } from 'node:fs';
import { afterEach, describe, expect, test } from 'vitest';
import {
  expectAccessible,
  hasBrowser,
  type Opened,
  openBrowser,
  openSheet,
  outputFolder,
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
});
