import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import {
  type Answer,
  type Conflict,
  type DocumentKind,
  type DraftOf,
  type Fetch,
  type Problem,
  problemSchema,
  type WorkspaceClient,
  workspaceClient,
  writePiece,
} from '@inlaywright/formats';
import type { Piece } from '@inlaywright/workshop';
import type { FastifyInstance, InjectOptions, LightMyRequestResponse } from 'fastify';
import { expect } from 'vitest';
import { type App, createApp, openWorkspace, type Workspace } from '../src/index.ts';

export const moon: Piece = {
  name: 'Moon over fern',
  tones: [{ id: 'ground', name: 'Cherry', colour: '#b8763f', grainDeg: 90 }],
  areas: [
    {
      id: 'a1',
      name: 'ground',
      tone: 'ground',
      shape: { kind: 'disc', centre: { x: 0, y: 0 }, diameterMm: 24 },
    },
  ],
};
export const moonText = writePiece(moon);

export const JSON_TYPE = { 'content-type': 'application/json' } as const;

/** A real workspace in a folder of its own, and the real routes over it, asked without a socket. */
export interface Bench {
  readonly folder: string;
  readonly workspace: Workspace;
  readonly app: FastifyInstance;
  readonly access: App['access'];
  /** The typed client, talking to the routes. */
  readonly client: WorkspaceClient;
  /** What the clock of workspace and routes says; a test may move it. */
  readonly clock: { now: Date };
  readonly errors: Error[];
  ask(request: InjectOptions): Promise<LightMyRequestResponse>;
  close(): Promise<void>;
}

export interface BenchOptions {
  /** Demo pieces of the new workspace; none where absent. */
  readonly demos?: readonly (readonly [string, string])[];
  readonly clock?: Date;
}

export async function openBench(options: BenchOptions = {}): Promise<Bench> {
  const folder = mkdtempSync(join(tmpdir(), 'inlaywright-server-'));
  const page = join(folder, 'page');
  mkdirSync(join(page, 'worker'), { recursive: true });
  mkdirSync(join(page, 'assets'));
  writeFileSync(join(page, 'index.html'), '<!doctype html><title>page</title>');
  writeFileSync(join(page, 'worker/w-1.js'), '');
  writeFileSync(join(page, 'assets/p-1.js'), '');
  const demos = join(folder, 'demos');
  if (options.demos) {
    mkdirSync(demos);
    for (const [name, text] of options.demos) writeFileSync(join(demos, name), text);
  }
  const clock = { now: options.clock ?? new Date('2026-11-20T09:00:00.000Z') };
  const errors: Error[] = [];
  const now = (): Date => clock.now;
  const workspace = openWorkspace({ folder: join(folder, 'workspace'), demos, now });
  const { app, access } = await createApp({
    workspace,
    page,
    version: '1.2.3',
    now,
    onError: (error) => errors.push(error),
  });
  const ask = (request: InjectOptions): Promise<LightMyRequestResponse> =>
    app.inject({ ...request, headers: { host: '127.0.0.1:4780', ...request.headers } });
  return {
    folder,
    workspace,
    app,
    access,
    clock,
    errors,
    client: workspaceClient(fetchOver(ask)),
    ask,
    async close() {
      await app.close();
      workspace.close();
      rmSync(folder, { recursive: true, force: true });
      expect(errors.splice(0)).toEqual([]);
    },
  };
}

function fetchOver(ask: Bench['ask']): Fetch {
  return async (address, { method, headers, body }) => {
    const answer = await ask({
      method: method as 'GET',
      url: address,
      headers: { ...headers },
      ...(body === undefined ? {} : { payload: body }),
    });
    const header = (name: string): string | null => {
      const value = answer.headers[name];
      return value === undefined ? null : String(value);
    };
    return {
      ok: answer.statusCode < 400,
      status: answer.statusCode,
      headers: { get: header },
      text: async () => answer.body,
    };
  };
}

/** The problem document of a refusal, which must be one in every respect. */
export function problemIn(answer: LightMyRequestResponse): Problem {
  expect(answer.headers['content-type']).toBe('application/problem+json; charset=utf-8');
  const problem = problemSchema.parse(answer.json());
  expect(problem.status).toBe(answer.statusCode);
  expect(problem.type).toMatch(/^urn:inlaywright:problem:[a-z-]+$/);
  expect(problem.instance).toMatch(/^\//);
  for (const text of [problem.title, problem.detail, problem.hint]) expect(text.length).toBeGreaterThan(3);
  return problem;
}

export function accepted<T>(answer: Answer<T>): T {
  if (!answer.ok) throw new Error(`${answer.problem.type}: ${answer.problem.detail}`);
  return answer.value;
}

export function refused<T>(answer: Answer<T>): Problem & { readonly conflict?: Conflict } {
  if (answer.ok) throw new Error(`expected a refusal, got ${JSON.stringify(answer.value).slice(0, 200)}`);
  return { ...answer.problem, ...(answer.conflict === undefined ? {} : { conflict: answer.conflict }) };
}

/** A small but whole example of every kind; each names only what stands above it. */
export const EXAMPLES: readonly { [K in DocumentKind]: readonly [K, DraftOf<K>] }[DocumentKind][] = [
  ['machines', { name: 'Bench laser', bedWidthMm: 600, bedHeightMm: 400 }],
  ['settings', { name: 'Hardwood', machine: 'bench-laser', powerPercent: 70, speedMmPerS: 12 }],
  ['materials', { name: 'Bog oak', type: 'wood', densityKgM3: 720, source: 'weighed, invented' }],
  ['stocks', { name: 'Cherry 3 mm', material: 'cherry-black', thicknessMm: 3 }],
  ['stocks', { name: 'Bog oak 3 mm', material: 'bog-oak', thicknessMm: 3 }],
  [
    'sheets',
    {
      name: 'Cherry board',
      stock: 'cherry-3-mm',
      kind: 'sheet',
      outline: 'M 0 0 L 300 0 L 300 200 L 0 200 Z',
      thicknessMm: 3.05,
    },
  ],
  [
    'sheets',
    {
      name: 'Cherry offcut',
      stock: 'cherry-3-mm',
      from: 'cherry-board',
      kind: 'offcut',
      outline: 'M 0 0 L 90 0 A 30 30 0 0 1 60 60 L 0 60 Z',
      thicknessMm: 3.05,
      grainDeg: 0,
    },
  ],
  ['findings', { name: 'Jump ring', type: 'ring', wireMm: 0.8, innerDiameterMm: 3.4, massG: 0.06 }],
  [
    'trials',
    {
      name: 'Cherry, first coupon',
      machine: 'bench-laser',
      stock: 'cherry-3-mm',
      setting: 'hardwood',
      sheet: 'cherry-board',
      trial: trialFile('2026-11-18'),
    },
  ],
  [
    'records',
    {
      name: 'Cherry, typed in',
      machine: 'bench-laser',
      stock: 'cherry-3-mm',
      setting: 'hardwood',
      grade: 'presses by hand',
      fit: { kerfEntryMm: { x: 0.19, y: 0.17 }, kerfExitMm: 0.15, allowanceMm: 0.03, note: 'from a friend' },
      thicknessMm: 3,
      createdAt: '2026-11-01T10:00:00.000Z',
    },
  ],
  ['orders', { name: 'Garden shop, spring', customer: 'The garden (invented)', due: '2027-03-01' }],
  [
    'batches',
    {
      name: 'Spring batch',
      order: 'garden-shop-spring',
      machine: 'bench-laser',
      setting: 'hardwood',
      lines: [],
    },
  ],
  [
    'outcomes',
    {
      name: 'Spring batch, seams',
      record: 'cherry-typed-in',
      batch: 'spring-batch',
      date: '2026-11-19',
      seams: [
        { outcome: 'good', count: 18 },
        { outcome: 'loose', count: 2 },
      ],
    },
  ],
];

export function trialFile(date: string): DraftOf<'trials'>['trial'] {
  const grades = [
    'falls through',
    'slides',
    'slides',
    'presses by hand',
    'presses by hand',
    'needs a mallet',
    'needs a mallet',
    'will not go',
  ] as const;
  return {
    format: 'inlaywright-fit-trial',
    version: 1,
    date,
    thicknessMm: 3.05,
    drawnKerfMm: 0.16,
    steps: grades.map((grade, i) => ({ step: i + 1, allowanceMm: Math.round((i - 2) * 2) / 100, grade })),
    readings: [
      {
        kind: 'two-face',
        axis: 'x',
        face: 'entry',
        holeMm: [20.11, 20.1, 20.1],
        plugMm: [19.7, 19.71, 19.7],
      },
    ],
  };
}

/** Stores one of everything; returns nothing: the ids follow from the names. */
export async function fill(client: WorkspaceClient): Promise<void> {
  for (const [kind, draft] of EXAMPLES) accepted(await client.create(kind, draft as DraftOf<typeof kind>));
}
