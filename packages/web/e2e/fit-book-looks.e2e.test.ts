import { mkdirSync } from 'node:fs';
import { afterEach, describe, expect, test } from 'vitest';
import { expectAccessible, hasBrowser, type Opened, openBrowser, outputFolder } from './browser.ts';
import { clientOf, dayBefore, makeRecord, ok, trialDraft } from './workshop-hands.ts';

const SCREENS = [
  { name: 'desk', width: 1440, height: 900, touch: false },
  { name: 'phone', width: 390, height: 844, touch: true },
] as const;

describe.skipIf(!hasBrowser)('how fit book and stock room look', () => {
  let opened: Opened;
  afterEach(() => opened.close());

  for (const screen of SCREENS) {
    for (const dark of [false, true]) {
      const theme = dark ? 'blueprint' : 'paper';
      test(`${screen.name}, ${theme}: nothing runs over the edge, texts are read, pictures are kept`, async () => {
        opened = await openBrowser({ ...screen, dark });
        const { page } = opened;
        const client = clientOf(opened);
        mkdirSync(outputFolder, { recursive: true });
        for (const days of [150, 80])
          await makeRecord(client, { date: dayBefore(days), kerfMm: [0.18, 0.18, 0.14, 0.14] });
        const record = await makeRecord(client, { name: 'Cherry, third' });
        const trial = await ok(
          client.create('trials', trialDraft({ name: 'Half done', date: dayBefore(0), grades: 'ffss' })),
        );
        const empty = await ok(client.create('trials', trialDraft({ name: 'Not tried yet' })));
        const places: readonly (readonly [string, string, string])[] = [
          ['fit-book', 'records', '.record-list'],
          [`fit-book/records/${record.id}`, 'record', '.drift > svg'],
          [`fit-book/records/${record.id}/batch`, 'batch', '.counts'],
          ['fit-book/trials', 'trials', '.trial-list'],
          [`fit-book/trials/${trial.id}`, 'trial', '.grade-scale > svg'],
          [`fit-book/trials/${empty.id}`, 'trial-not-tried', '.coupon-cut-outside'],
          [`fit-book/trials/${trial.id}/results`, 'step', '.grades'],
          [`fit-book/trials/${trial.id}/results?at=size%3Aslats%3Ay%3Aentry%3Aslats`, 'size', '.size-pad'],
          ['fit-book/new?stock=cherry-3-mm', 'new-trial', '.coupon-cut-outside'],
          ['stock-room/stocks/holly-3-mm', 'stocks', '.board-picture'],
          ['stock-room/materials/cherry-black', 'material', '.movement'],
          ['stock-room/machines', 'machines', '.bed-picture'],
          ['devices', 'devices', '.devices-how'],
        ];
        for (const [address, name, there] of places) {
          await page.goto('about:blank');
          await page.goto(`${opened.server.address}#/${address}`);
          await page.locator(there).first().waitFor();
          await page.evaluate(() => document.fonts.ready);
          const wide = await page.evaluate(() => document.documentElement.scrollWidth);
          expect(wide, name).toBeLessThanOrEqual(screen.width);
          await expectAccessible(page, `${screen.name} ${theme} ${name}`);
          await page.screenshot({
            path: `${outputFolder}fit-book-${screen.name}-${theme}-${name}.png`,
            fullPage: screen.name === 'phone' && name !== 'step' && name !== 'size',
          });
        }
        opened.expectQuiet();
      });
    }
  }
});
