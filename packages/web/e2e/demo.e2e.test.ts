import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import {
  expectAccessible,
  hasBrowser,
  mm,
  type Opened,
  openBrowser,
  openSheet,
  seamRows,
  settled,
} from './browser.ts';

/** Ceiling of the script loaded first, gzipped, bytes. */
const SCRIPT_CEILING = 350_000;

describe.skipIf(!hasBrowser)('the page on its demo pieces', () => {
  let opened: Opened;
  const scripts = new Map<string, Promise<Buffer>>();
  beforeAll(async () => {
    opened = await openBrowser();
    opened.context.on('response', (answer) => {
      if (/\.js$/.test(new URL(answer.url()).pathname)) scripts.set(answer.url(), answer.body());
    });
    await openSheet(opened);
  });
  afterAll(() => opened.close());

  test('opens on a demo piece with its parts, sizes, seams and title block', async () => {
    const { page } = opened;
    const parts = await page.getByRole('option').count();
    expect(parts).toBeGreaterThan(3);
    const block = page.getByRole('region', { name: 'Title block' });
    const name = await page.locator('.register-entry.is-open .register-name').textContent();
    expect(await block.locator('.title-name').textContent()).toBe(name);
    expect(await block.textContent()).toMatch(/Scale\d+(\.\d)?:1/);
    expect(await block.textContent()).toMatch(new RegExp(`Parts${parts}`));
    expect(await block.textContent()).toMatch(/Date\d{4}-\d{2}-\d{2}/);
    const dimensions = await page.locator('.dimension-text').allTextContents();
    expect(dimensions).toHaveLength(2);
    for (const size of dimensions) expect(Number(size)).toBeGreaterThan(5);
    expect((await seamRows(page)).length).toBeGreaterThan(2);
    opened.expectQuiet();
  });

  test('the stated scale is the scale drawn: 1:1 is 96 px to the inch', async () => {
    const { page } = opened;
    const stated = await page.locator('.cell', { hasText: 'Scale' }).locator('.cell-value').textContent();
    const ratio = Number(/^([\d.]+):1$/.exec(stated ?? '')?.[1]);
    const [width] = await page.locator('.dimension-text').allTextContents();
    // The outline's width on screen, from the ends of the dimension line.
    const path = await page.locator('.dimensions .line-narrow').getAttribute('d');
    const ends = [.../M([\d.]+) ([\d.]+)H([\d.]+)M/.exec(path ?? '')!].slice(1).map(Number);
    expect((ends[2]! - ends[0]!) / Number(width)).toBeCloseTo((ratio * 96) / 25.4, 2);
  });

  test('lists all pieces, and opens another by its tab and by its address', async () => {
    const { page } = opened;
    const tabs = page.locator('a.register-entry');
    const count = await tabs.count();
    expect(count).toBeGreaterThan(1);
    const second = tabs.nth(1);
    const name = await second.locator('.register-name').textContent();
    await second.click();
    await page.locator('.title-name', { hasText: name! }).waitFor();
    await settled(page);
    expect(page.url()).toContain('#/pieces/');
    await page.goBack();
    await page.locator('.register-entry.is-open', { hasNotText: name! }).waitFor();
    await settled(page);
    opened.expectQuiet();
  });

  test('every miniature is drawn', async () => {
    const { page } = opened;
    const count = await page.locator('a.register-entry').count();
    await expect.poll(() => page.locator('.miniature svg').count(), { timeout: 20_000 }).toBe(count);
  });

  test('shows parts apart, each with its number, none over another', async () => {
    const { page } = opened;
    await page.getByRole('radio', { name: 'Parts apart' }).check();
    const numbers = await page.locator('.part-number').allTextContents();
    const parts = await page.getByRole('option').count();
    expect(numbers).toHaveLength(parts);
    expect(new Set(numbers).size).toBe(parts);
    // The browser tells where shapes are as of its last frame.
    await page.evaluate(
      () => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))),
    );
    const boxes = await page.locator('.part-fill').evaluateAll((paths) =>
      paths.map((path) => {
        // The outline itself, without the width of its line.
        const { x, y, width, height } = (path as SVGPathElement).getBBox();
        const m = (path as SVGPathElement).getCTM()!;
        return {
          left: m.a * x + m.e,
          right: m.a * (x + width) + m.e,
          top: m.d * y + m.f,
          bottom: m.d * (y + height) + m.f,
        };
      }),
    );
    for (const [i, a] of boxes.entries()) {
      for (const b of boxes.slice(i + 1)) {
        expect(a.right < b.left || b.right < a.left || a.bottom < b.top || b.bottom < a.top).toBe(true);
      }
    }
    await expectAccessible(page, 'parts apart');
    opened.expectQuiet();
  });

  test('shows seams by gap with a legend that says sign, limits and words beside each line', async () => {
    const { page } = opened;
    await page.getByRole('radio', { name: 'Seams' }).check();
    const legend = page.getByRole('list', { name: /Gap in mm/ });
    const lines = await legend.getByRole('listitem').allTextContents();
    expect(lines).toHaveLength(5);
    expect(lines.join()).toContain('\u22120.050 to \u22120.015 presses');
    expect(lines.join()).toContain('+0.015 to +0.050 hairline of air');
    // The pattern tells the classes apart: no two swatches have one width and one dash.
    const drawn = await legend
      .locator('path')
      .evaluateAll((paths) =>
        paths.map((path) => `${path.getAttribute('stroke-width')} ${path.getAttribute('stroke-dasharray')}`),
      );
    expect(new Set(drawn).size).toBe(5);
    expect(await page.getByRole('option').count()).toBe((await seamRows(page)).length);
    await expectAccessible(page, 'seams');
    opened.expectQuiet();
  });

  test('the gap at the back is read at the back', async () => {
    const { page } = opened;
    await page.getByRole('radio', { name: 'none' }).check();
    await settled(page);
    const show = (await seamRows(page)).map((row) => mm(row[1]!));
    await page.getByRole('radio', { name: 'back' }).check();
    const back = (await seamRows(page)).map((row) => mm(row[1]!));
    // Nothing turned: each wall leans by half the taper, 0.02 mm of 0.04, at each face.
    for (const [i, gap] of show.entries()) expect(gap - back[i]!).toBeCloseTo(0.04, 2);
    await page.getByRole('radio', { name: 'show face' }).check();
    await page.getByRole('radio', { name: 'every other part' }).check();
    await settled(page);
  });

  test('the first script stays under its ceiling', async () => {
    const sizes = await Promise.all(
      [...scripts].map(
        async ([address, body]) => [address.split('/').at(-1), gzipSync(await body).length] as const,
      ),
    );
    expect(sizes.length).toBeGreaterThan(1);
    const total = sizes.reduce((sum, [, bytes]) => sum + bytes, 0);
    console.log(
      `first load, gzipped: ${total} bytes: ${sizes.map(([name, bytes]) => `${name} ${bytes}`).join(', ')}`,
    );
    expect(total).toBeLessThan(SCRIPT_CEILING);
  });

  test('is accessible as it opens', async () => {
    await opened.page.getByRole('radio', { name: 'Tones' }).check();
    await expectAccessible(opened.page, 'tones');
  });
});
