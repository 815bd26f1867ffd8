import { describe, expect, test } from 'vitest';
import {
  ALL_KINDS,
  BODY_SCHEMAS,
  conflictSchema,
  DOCUMENT_KINDS,
  type DocumentKind,
  idFrom,
  idSchema,
  kindRoutes,
  problemCode,
  problemSchema,
  ROUTES,
} from '../../src/index.ts';

/** The least that each kind takes. */
const LEAST: Readonly<Record<DocumentKind, unknown>> = {
  machines: { name: 'Laser', bedWidthMm: 600, bedHeightMm: 400 },
  settings: { name: 'S', machine: 'laser', powerPercent: 50, speedMmPerS: 10 },
  materials: { name: 'Bog oak', type: 'wood' },
  stocks: { name: 'Cherry 3 mm', material: 'cherry-black', thicknessMm: 3 },
  sheets: { name: 'B', stock: 'cherry-3-mm', kind: 'sheet', outline: 'M 0 0 L 9 0 L 9 9 Z', thicknessMm: 3 },
  findings: { name: 'Ring', type: 'ring' },
  trials: {
    name: 'T',
    machine: 'laser',
    stock: 'cherry-3-mm',
    setting: 's',
    trial: { format: 'inlaywright-fit-trial', version: 1, drawnKerfMm: 0.16 },
  },
  records: {
    name: 'R',
    machine: 'laser',
    stock: 'cherry-3-mm',
    setting: 's',
    grade: 'presses by hand',
    fit: { kerfEntryMm: 0.18, kerfExitMm: 0.14, allowanceMm: 0.03 },
    createdAt: '2026-11-20T09:00:00.000Z',
  },
  outcomes: { name: 'O', record: 'r', date: '2026-11-20', seams: [{ outcome: 'good', count: 12 }] },
  batches: { name: 'B' },
  orders: { name: 'O' },
  preferences: {},
};

describe.each(DOCUMENT_KINDS)('a body of %s', (kind) => {
  const schema = BODY_SCHEMAS[kind];

  test('is the same after a second reading: its stored form has one spelling', () => {
    const once = schema.parse(LEAST[kind]);
    expect(JSON.stringify(schema.parse(JSON.parse(JSON.stringify(once))))).toBe(JSON.stringify(once));
  });

  test('takes its fields in any order and writes them in one', () => {
    const reversed = Object.fromEntries(Object.entries(LEAST[kind] as object).reverse());
    expect(JSON.stringify(schema.parse(reversed))).toBe(JSON.stringify(schema.parse(LEAST[kind])));
  });

  test('refuses a field that it does not know, and what is no object', () => {
    expect(schema.safeParse({ ...(LEAST[kind] as object), colour: 'red' }).success).toBe(false);
    for (const other of [null, [], 'text', 3, undefined]) expect(schema.safeParse(other).success).toBe(false);
  });

  test('refuses to do without any of its required fields', () => {
    for (const field of Object.keys(LEAST[kind] as object)) {
      const { [field]: _, ...rest } = LEAST[kind] as Record<string, unknown>;
      expect(schema.safeParse(rest).success, field).toBe(false);
    }
  });
});

test('numbers that no workshop has are refused, infinities and NaN among them', () => {
  const tries: readonly (readonly [DocumentKind, string, readonly unknown[]])[] = [
    ['machines', 'bedWidthMm', [0, -1, 5001, Number.NaN, Number.POSITIVE_INFINITY, '600']],
    ['settings', 'powerPercent', [-1, 101, Number.NaN]],
    ['settings', 'passes', [0, 1.5, 101]],
    ['stocks', 'thicknessMm', [0, -3, 51]],
    ['stocks', 'price', [{ amount: -1, currency: 'EUR' }, { amount: 1, currency: 'euro' }, { amount: 1 }]],
    ['stocks', 'material', ['Cherry', 'a--b', '-a', 'a'.repeat(65), '../x']],
    ['sheets', 'outline', ['', 'M 0 0', 'M 0 0 L 5 Z', 'm 0 0 l 5 0 z', 'M 0 0 A 5 4 0 0 1 9 9 Z']],
    ['findings', 'type', ['Ring', 'earring']],
    ['records', 'grade', ['falls through', 'will not go', 'good']],
    ['records', 'createdAt', ['yesterday', '2026-11-20', '2026-13-40T00:00:00Z']],
    ['outcomes', 'seams', [[], [{ outcome: 'fine', count: 1 }], [{ outcome: 'good', count: -1 }]]],
    ['orders', 'due', ['2026-02-30', '20.11.2026']],
    ['preferences', 'recordLimitDays', [0, 1.5, 5000]],
  ];
  for (const [kind, field, values] of tries) {
    for (const value of values) {
      const body = { ...(LEAST[kind] as object), [field]: value };
      expect(BODY_SCHEMAS[kind].safeParse(body).success, `${kind}.${field} = ${String(value)}`).toBe(false);
    }
  }
});

test('a name becomes an id that can stand in an address, and is one', () => {
  const names: readonly (readonly [string, string])[] = [
    ['Cherry 3 mm', 'cherry-3-mm'],
    ['  Ahorn, geölt – "zweite Wahl" ', 'ahorn-geolt-zweite-wahl'],
    ['桜', 'stock'],
    ['', 'stock'],
    ['--', 'stock'],
    [`${'long '.repeat(40)}end`, `${'long-'.repeat(12).slice(0, 59)}`],
  ];
  for (const [name, id] of names) {
    expect(idFrom(name, 'stock')).toBe(id);
    expect(idSchema.safeParse(id).success, id).toBe(true);
  }
});

test('the table of routes has each route once, and every kind its own', () => {
  const all = ROUTES.map(({ method, path }) => `${method} ${path}`);
  expect(new Set(all).size).toBe(all.length);
  for (const kind of ALL_KINDS)
    for (const { method, path } of kindRoutes(kind)) expect(all).toContain(`${method} ${path}`);
  expect(kindRoutes('records').some(({ method }) => method === 'PUT')).toBe(false);
  expect(kindRoutes('preferences').map(({ method }) => method)).toEqual(['GET', 'GET', 'PUT', 'GET', 'GET']);
});

test('a conflict is a problem with both sides; a problem keeps members that are new to the reader (RFC 9457, 3.2)', () => {
  const problem = {
    type: 'urn:inlaywright:problem:stale-version',
    title: 'Somebody saved this in between',
    status: 412,
    detail: 'd',
    hint: 'h',
    somethingNew: 1,
  };
  expect(problemSchema.parse(problem)).toEqual(problem);
  expect(problemCode(problem)).toBe('stale-version');
  expect(problemCode({ ...problem, type: 'about:blank' })).toBe('about:blank');
  expect(conflictSchema.safeParse(problem).success).toBe(false);
  const theirs = { version: 2, savedAt: '2026-11-20T09:00:00.000Z', deletedAt: null, content: {} };
  expect(
    conflictSchema.safeParse({ ...problem, kind: 'stocks', id: 'a', base: 1, mine: {}, theirs }).success,
  ).toBe(true);
});
