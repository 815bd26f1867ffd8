/**
 * A browser with a fresh profile on the built page, served by our own server with a fresh workspace. Whatever
 * the page asks of anything but that server, and whatever it complains of in the console, is kept and must be
 * empty in the end.
 */
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type Running, serve } from '@inlaywright/server';
import { type BrowserContext, chromium, type Page } from 'playwright-core';
import { expect } from 'vitest';

export const CHROMIUM = '/usr/bin/chromium';
/** Tests that need the browser are skipped, and counted so, where it cannot be installed. */
export const hasBrowser = existsSync(CHROMIUM);

export const FLAGS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

export interface Opened {
  readonly page: Page;
  readonly context: BrowserContext;
  readonly server: Running;
  /** Folder of the workspace that the server writes. */
  readonly workspace: string;
  /** Expects no complaint and no foreign request so far; forgets what it saw. */
  expectQuiet(): void;
  /** Forgets complaints that a test provoked on purpose. */
  forget(): void;
  close(): Promise<void>;
}

export interface OpenOptions {
  readonly width?: number;
  readonly height?: number;
  readonly dark?: boolean;
  /** Folder of demo pieces; absent for the project's own, null for none. */
  readonly demos?: string | null;
  /** A phone: fingers instead of a mouse. */
  readonly touch?: boolean;
  /** Address to share the workspace on, besides this machine's own. */
  readonly share?: string;
  /** Reduced motion is the default, so that no test waits for a transition. */
  readonly motion?: boolean;
}

export async function openBrowser(options: OpenOptions = {}): Promise<Opened> {
  const folder = mkdtempSync(join(tmpdir(), 'inlaywright-e2e-'));
  const workspace = join(folder, 'workspace');
  const server = await serve({
    port: 0,
    workspace,
    ...(process.env.INLAYWRIGHT_PAGE === undefined ? {} : { page: process.env.INLAYWRIGHT_PAGE }),
    ...(options.share === undefined ? {} : { share: { address: options.share } }),
    ...(options.demos === undefined ? {} : { demos: options.demos ?? join(folder, 'no-demos') }),
  });
  const context = await chromium.launchPersistentContext(join(folder, 'profile'), {
    executablePath: CHROMIUM,
    args: FLAGS,
    viewport: { width: options.width ?? 1440, height: options.height ?? 900 },
    colorScheme: options.dark ? 'dark' : 'light',
    reducedMotion: options.motion ? 'no-preference' : 'reduce',
    acceptDownloads: true,
    locale: 'en-GB',
    ...(options.touch ? { hasTouch: true, isMobile: true } : {}),
  });
  const complaints: string[] = [];
  const foreign: string[] = [];
  context.on('request', (request) => {
    const address = request.url();
    if (!address.startsWith(server.address) && !/^(blob|data|about):/.test(address)) foreign.push(address);
  });
  const page = context.pages()[0] ?? (await context.newPage());
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(String(error)));
  return {
    page,
    context,
    server,
    workspace,
    expectQuiet() {
      expect(foreign).toEqual([]);
      expect(complaints).toEqual([]);
    },
    forget() {
      complaints.length = 0;
    },
    async close() {
      await context.close();
      await server.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** Waits until the sheet shows what was asked for last. */
export async function settled(page: Page): Promise<void> {
  await page.locator('main.sheet[aria-busy="false"]').waitFor();
}

/** Opens the start page and waits for the drawing. */
export async function openSheet(opened: Opened, path = ''): Promise<void> {
  await opened.page.goto(opened.server.address + path);
  await settled(opened.page);
}

const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** Runs axe-core on the page as it stands; nothing serious or critical may come out. */
export async function expectAccessible(page: Page, state: string): Promise<void> {
  await page.evaluate(axeSource);
  const found = await page.evaluate(async () => {
    const { axe } = window as unknown as { axe: typeof import('axe-core') };
    const result = await axe.run(document, { resultTypes: ['violations'] });
    return {
      checked: result.passes.length,
      violations: result.violations
        .filter(({ impact }) => impact === 'serious' || impact === 'critical')
        .map(
          ({ id, nodes }) =>
            `${id}: ${nodes.map((node) => `${node.target} ${node.failureSummary}`).join(' | ')}`,
        ),
    };
  });
  expect(found.checked, state).toBeGreaterThan(15);
  expect(found.violations, state).toEqual([]);
}

/** Drops a file on the page as a hand with a mouse would. */
export async function dropFile(
  page: Page,
  name: string,
  text: string,
  type = 'image/svg+xml',
): Promise<void> {
  const transfer = await page.evaluateHandle(
    ([fileName, content, fileType]) => {
      const data = new DataTransfer();
      data.items.add(new File([content!], fileName!, { type: fileType! }));
      return data;
    },
    [name, text, type],
  );
  await page.dispatchEvent('.page', 'dragover', { dataTransfer: transfer });
  await page.dispatchEvent('.page', 'drop', { dataTransfer: transfer });
}

/** The numbers of the seam table, as shown. */
export function seamRows(page: Page): Promise<string[][]> {
  return page
    .locator('.seams tbody tr')
    .evaluateAll((rows) => rows.map((row) => [...row.children].map((cell) => cell.textContent ?? '')));
}

export function mm(text: string): number {
  return Number(text.replace('\u2212', '-'));
}

export const outputFolder = fileURLToPath(new URL('../../../test-output/page/', import.meta.url));
