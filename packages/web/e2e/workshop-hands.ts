/** What the tests of fit book and stock room share: a client of the real server, and another device with a browser of its own. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  type Answer,
  type Document,
  type DraftOf,
  type TrialFile,
  type WorkspaceClient,
  workspaceClient,
} from '@inlaywright/formats';
import type { Grade } from '@inlaywright/workshop';
import { type BrowserContext, chromium, type Page } from 'playwright-core';
import { CHROMIUM, FLAGS, type Opened } from './browser.ts';

/** The typed client over Node's own fetch, against the server that the page uses. */
export function clientOf(opened: Opened): WorkspaceClient {
  return workspaceClient(
    (address, request) => fetch(address, request),
    opened.server.address.replace(/\/$/, ''),
  );
}

export async function ok<T>(answer: Promise<Answer<T>>): Promise<T> {
  const got = await answer;
  if (!got.ok) throw new Error(`${got.problem.title}: ${got.problem.detail}`);
  return got.value;
}

export interface Device {
  readonly page: Page;
  readonly context: BrowserContext;
  readonly complaints: readonly string[];
  close(): Promise<void>;
}

/** Another device: a browser with a profile, a storage and a network of its own. */
export async function openDevice(
  options: { readonly width?: number; readonly height?: number; readonly touch?: boolean } = {},
): Promise<Device> {
  const folder = mkdtempSync(join(tmpdir(), 'inlaywright-device-'));
  const context = await chromium.launchPersistentContext(folder, {
    executablePath: CHROMIUM,
    args: FLAGS,
    viewport: { width: options.width ?? 390, height: options.height ?? 844 },
    reducedMotion: 'reduce',
    locale: 'en-GB',
    ...(options.touch === false ? {} : { hasTouch: true, isMobile: true }),
  });
  const complaints: string[] = [];
  const page = context.pages()[0] ?? (await context.newPage());
  page.on('pageerror', (error) => complaints.push(String(error)));
  return {
    page,
    context,
    complaints,
    async close() {
      await context.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

export const LADDER = [-0.04, -0.02, 0, 0.02, 0.04, 0.06, 0.08, 0.1] as const;

const BENCH = { machine: 'bench-laser', stock: 'cherry-3-mm', setting: 'hardwood-3-mm' } as const;

/** Grades by their first letters: f falls through, s slides, p presses by hand, m needs a mallet, w will not go. */
const LETTERS: Readonly<Record<string, Grade>> = {
  f: 'falls through',
  s: 'slides',
  p: 'presses by hand',
  m: 'needs a mallet',
  w: 'will not go',
};

export interface TrialWishes {
  readonly name?: string;
  readonly date?: string;
  readonly grades?: string;
  /** True kerf behind the readings, mm: entry in x and y, exit in x and y; absent for sizes that are not read yet. */
  readonly kerfMm?: readonly [number, number, number, number];
  readonly stock?: string;
  readonly drawnKerfMm?: number;
}

/** A trial of the demo workshop's cherry as the page starts it, filled in as far as asked for. */
export function trialDraft(wishes: TrialWishes = {}): DraftOf<'trials'> {
  const { grades = '', kerfMm, date } = wishes;
  const kerfAt = (face: 'entry' | 'exit', axis: 'x' | 'y'): number =>
    kerfMm![(face === 'entry' ? 0 : 2) + (axis === 'x' ? 0 : 1)]!;
  const readings = (['entry', 'exit'] as const).flatMap((face): TrialFile['readings'] => [
    ...(['x', 'y'] as const).map((axis) => ({
      kind: 'two-face' as const,
      axis,
      face,
      holeMm: kerfMm ? [20 + kerfAt(face, axis)] : [],
      plugMm: kerfMm ? [20 - kerfAt(face, axis)] : [],
    })),
    ...(['x', 'y'] as const).map((axis) => ({
      kind: 'slats' as const,
      axis,
      face,
      cuts: 10,
      drawnMm: 40,
      measuredMm: kerfMm ? [40 - 10 * kerfAt(face, axis)] : [],
    })),
  ]);
  return {
    name: wishes.name ?? 'Cherry trial',
    ...BENCH,
    ...(wishes.stock === undefined ? {} : { stock: wishes.stock }),
    trial: {
      format: 'inlaywright-fit-trial',
      version: 1,
      ...(date === undefined ? {} : { date }),
      thicknessMm: 3.05,
      drawnKerfMm: wishes.drawnKerfMm ?? 0.16,
      turned: true,
      steps: LADDER.map((allowanceMm, i) => ({
        step: i + 1,
        allowanceMm,
        ...(grades[i] === undefined ? {} : { grade: LETTERS[grades[i]]! }),
      })),
      readings,
    },
  };
}

/** A measured record of the demo workshop's cherry. */
export async function makeRecord(
  client: WorkspaceClient,
  wishes: TrialWishes = {},
): Promise<Document<'records'>> {
  const draft = trialDraft({
    date: dayBefore(3),
    grades: 'ffssppmw',
    kerfMm: [0.194, 0.186, 0.154, 0.146],
    ...wishes,
  });
  const trial = await ok(client.create('trials', draft));
  const { machine, stock, setting } = trial.body;
  return ok(client.weigh({ machine, stock, setting, trials: [trial.id] }));
}

export function dayBefore(days: number): string {
  return new Date(Date.now() - days * 86_400_000).toISOString().slice(0, 10);
}
