import { readFileSync } from 'node:fs';
import { readCutDxf, readCutSvg } from '@inlaywright/formats';
import { strFromU8, unzipSync } from 'fflate';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { hasBrowser, type Opened, openBrowser, openSheet, settled } from './browser.ts';

describe.skipIf(!hasBrowser)('cut files from the page', () => {
  let opened: Opened;
  beforeAll(async () => {
    opened = await openBrowser();
    await openSheet(opened);
  });
  afterAll(() => opened.close());

  async function download(): Promise<{ name: string; files: Record<string, string> }> {
    const { page } = opened;
    const [file] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'Cut files' }).click(),
    ]);
    const entries = unzipSync(new Uint8Array(readFileSync(await file.path())));
    return {
      name: file.suggestedFilename(),
      files: Object.fromEntries(Object.entries(entries).map(([name, bytes]) => [name, strFromU8(bytes)])),
    };
  }

  test('hold every part of the sheet once, in SVG and DXF of each stock, with the fit that is set', async () => {
    const { page } = opened;
    const field = page.getByRole('textbox', { name: 'Allowance a side' });
    await field.fill('0,045');
    await field.press('Enter');
    await settled(page);
    const wanted = (
      await page
        .getByRole('option', { name: /^Part/ })
        .evaluateAll((parts) =>
          parts.map((part) => `p${/^Part (\d+)/.exec(part.getAttribute('aria-label') ?? '')?.[1]}`),
        )
    ).sort();
    const { name, files } = await download();
    expect(name).toMatch(/-cut-files\.zip$/);
    const svgs = Object.entries(files).filter(([file]) => file.endsWith('.svg'));
    const dxfs = Object.entries(files).filter(([file]) => file.endsWith('.dxf'));
    expect(svgs.length).toBeGreaterThan(1);
    expect(dxfs.map(([file]) => file.replace(/\.dxf$/, ''))).toEqual(
      svgs.map(([file]) => file.replace(/\.svg$/, '')),
    );
    for (const read of [svgs.map(([, text]) => readCutSvg(text)), dxfs.map(([, text]) => readCutDxf(text))]) {
      expect(read.flatMap((sheet) => sheet.warnings)).toEqual([]);
      expect(read.flatMap((sheet) => sheet.parts.map(({ part }) => part)).sort()).toEqual(wanted);
      for (const sheet of read) {
        for (const fit of Object.values(sheet.fit)) expect(fit.allowanceMm).toBe(0.045);
      }
    }
    expect(Object.keys(files).filter((file) => file.endsWith('.csv'))).toHaveLength(1);
    await page.locator('.notice', { hasText: 'files are in' }).waitFor();
    opened.expectQuiet();
  });

  test('the same piece and settings give the same bytes', async () => {
    expect((await download()).files).toEqual((await download()).files);
  });

  test('a pair is cut as left and right', async () => {
    await opened.page.getByRole('checkbox', { name: /left and a right/ }).setChecked(true);
    await settled(opened.page);
    const { files } = await download();
    const hands = Object.entries(files)
      .filter(([file]) => file.endsWith('.svg'))
      .flatMap(([, text]) => readCutSvg(text).parts.map(({ hand }) => hand));
    expect(hands.filter((hand) => hand === 'left').length).toBe(hands.length / 2);
    expect(hands.filter((hand) => hand === 'right').length).toBe(hands.length / 2);
    opened.expectQuiet();
  });
});
