import {
  BODY_SCHEMAS,
  type BodyOf,
  type Caution,
  type Document,
  type DocumentKind,
  type Kind,
} from '@inlaywright/formats';
import { compositeById, type LaserVerdict, laserVerdicts, speciesById } from '@inlaywright/workshop';
import { WorkspaceError } from './errors.ts';
import type { Draft, Link, Store, Stored } from './storage/store.ts';

/** What each kind's body names, by field; list members share the field of their list. */
const LINKS: { readonly [K in DocumentKind]: (body: BodyOf<K>) => readonly (Link | undefined)[] } = {
  machines: () => [],
  settings: (body) => [link('machine', 'machines', body.machine)],
  materials: () => [],
  // Built-in materials are not stored and cannot be put aside.
  stocks: (body) => (isBuiltIn(body.material) ? [] : [link('material', 'materials', body.material)]),
  sheets: (body) => [link('stock', 'stocks', body.stock), link('from', 'sheets', body.from)],
  findings: () => [],
  trials: (body) => [
    link('machine', 'machines', body.machine),
    link('stock', 'stocks', body.stock),
    link('setting', 'settings', body.setting),
    link('sheet', 'sheets', body.sheet),
  ],
  records: (body) => [
    link('machine', 'machines', body.machine),
    link('stock', 'stocks', body.stock),
    link('setting', 'settings', body.setting),
  ],
  outcomes: (body) => [link('record', 'records', body.record), link('batch', 'batches', body.batch)],
  batches: (body) => [
    link('order', 'orders', body.order),
    link('machine', 'machines', body.machine),
    link('setting', 'settings', body.setting),
    ...lineLinks(body.lines),
  ],
  orders: (body) => lineLinks(body.lines),
  preferences: () => [],
};

/** Fields by which a list can be narrowed: `GET /api/records?stock=cherry-3mm`. */
export const LIST_FIELDS: Readonly<Record<DocumentKind, readonly string[]>> = {
  machines: [],
  settings: ['machine'],
  materials: [],
  stocks: ['material'],
  sheets: ['stock', 'from'],
  findings: [],
  trials: ['machine', 'stock', 'setting', 'sheet'],
  records: ['machine', 'stock', 'setting'],
  outcomes: ['record', 'batch'],
  batches: ['order', 'machine', 'setting', 'piece', 'stock'],
  orders: ['piece', 'stock'],
  preferences: [],
};

function link(field: string, kind: Kind, id: string | undefined): Link | undefined {
  return id === undefined ? undefined : { field, kind, id };
}

function lineLinks(
  lines: readonly { readonly piece: string; readonly stocks: Readonly<Record<string, string>> }[],
): (Link | undefined)[] {
  return lines.flatMap((line) => [
    link('piece', 'pieces', line.piece),
    ...Object.values(line.stocks).map((stock) => link('stock', 'stocks', stock)),
  ]);
}

export function isBuiltIn(material: string): boolean {
  return speciesById(material) !== undefined || compositeById(material) !== undefined;
}

/** Name of a document; the one document of preferences has none of its own. */
function nameOf(body: BodyOf<DocumentKind>): string {
  return 'name' in body ? body.name : 'Workshop';
}

/** A checked body as the store takes it: canonical JSON, with what it names. */
export function draftOf<K extends DocumentKind>(kind: K, body: BodyOf<K>): Draft {
  return {
    kind,
    name: nameOf(body),
    content: JSON.stringify(body),
    links: LINKS[kind](body).filter((found) => found !== undefined),
  };
}

/** Rules that reach beyond a single body. Throws WorkspaceError laser-refused, reference-missing. */
export function checkAgainstWorkspace<K extends DocumentKind>(store: Store, kind: K, body: BodyOf<K>): void {
  if (kind === 'stocks') checkStock(store, body as BodyOf<'stocks'>);
  if (kind === 'records') checkSupersedes(store, body as BodyOf<'records'>);
}

function checkStock(store: Store, stock: BodyOf<'stocks'>): void {
  const material = materialName(store, stock.material);
  if (material === undefined) {
    throw new WorkspaceError('reference-missing', `material names "${stock.material}", which is not there.`, {
      where: 'material',
      hint: 'Choose a material of the table, or store one of your own first.',
    });
  }
  const refused = cautionsOf(store, 'stocks', stock).find(({ verdict }) => verdict === 'refused');
  if (!refused) return;
  throw new WorkspaceError(
    'laser-refused',
    `${stock.name} (${material}) is refused as a stock: ${refused.material}: ${refused.reason}.`,
    {
      where: 'material',
      hint: "Never cut it with a laser. If it is something else, name it so; the machine's manual, the material's data sheet and local rules come first.",
      details: { cautions: cautionsOf(store, 'stocks', stock) },
    },
  );
}

function checkSupersedes(store: Store, record: BodyOf<'records'>): void {
  if (record.supersedes === undefined || store.get('records', record.supersedes)) return;
  throw new WorkspaceError(
    'reference-missing',
    `supersedes names records/${record.supersedes}, which is not there.`,
    {
      where: 'supersedes',
      hint: 'Leave the field out.',
    },
  );
}

export function materialName(store: Store, id: string): string | undefined {
  const builtIn = speciesById(id) ?? compositeById(id);
  if (builtIn) return builtIn.name;
  return store.get('materials', id)?.name;
}

/** What shops say of a stock or material under a laser, strictest first, from its name and its material's. */
export function cautionsOf(
  store: Store,
  kind: 'stocks' | 'materials',
  body: BodyOf<'stocks'> | BodyOf<'materials'>,
): Caution[] {
  const material = kind === 'stocks' ? materialName(store, (body as BodyOf<'stocks'>).material) : undefined;
  return cautionsOfName(material === undefined ? body.name : `${body.name}; ${material}`);
}

export function cautionsOfName(name: string): Caution[] {
  return laserVerdicts(name).map(({ material, verdict, reason, source }: LaserVerdict) => ({
    material,
    verdict,
    reason,
    source,
  }));
}

/** Stored documents as they are sent, with what is computed for the reader. */
export function documentsOf<K extends DocumentKind>(
  store: Store,
  kind: K,
  stored: readonly Stored[],
): Document<K>[] {
  const inForce = new Map<string, string | undefined>();
  const newest = (key: RecordKey): string | undefined => {
    const name = `${key.machine} ${key.stock} ${key.setting}`;
    if (!inForce.has(name)) inForce.set(name, recordInForce(store, key)?.id);
    return inForce.get(name);
  };
  return stored.map((one): Document<K> => {
    const body = BODY_SCHEMAS[kind].parse(JSON.parse(one.content)) as BodyOf<K>;
    return {
      kind,
      id: one.id,
      version: one.version,
      savedAt: one.savedAt,
      deletedAt: one.deletedAt,
      ...(one.copyOf === undefined ? {} : { copyOf: one.copyOf }),
      body,
      ...(kind === 'stocks' || kind === 'materials'
        ? { cautions: cautionsOf(store, kind, body as BodyOf<'stocks'> | BodyOf<'materials'>) }
        : {}),
      ...(kind === 'records' ? { supersededBy: other(newest(body as BodyOf<'records'>), one.id) } : {}),
    };
  });
}

export function documentOf<K extends DocumentKind>(store: Store, kind: K, stored: Stored): Document<K> {
  return documentsOf(store, kind, [stored])[0]!;
}

/** The record in force where it is another one; null where it is this one, or all are put aside. */
function other(inForce: string | undefined, id: string): string | null {
  return inForce === undefined || inForce === id ? null : inForce;
}

export interface RecordKey {
  readonly machine: string;
  readonly stock: string;
  readonly setting: string;
}

/** The newest record that is not put aside; of two of one moment the one that was stored later. */
export function recordInForce(
  store: Store,
  { machine, stock, setting }: RecordKey,
): { readonly id: string; readonly version: number; readonly body: BodyOf<'records'> } | undefined {
  const found = store.list('records', { where: { machine, stock, setting } }).map((stored) => ({
    id: stored.id,
    version: stored.version,
    savedAt: stored.savedAt,
    body: BODY_SCHEMAS.records.parse(JSON.parse(stored.content)),
  }));
  found.sort(
    (a, b) =>
      compare(a.body.createdAt, b.body.createdAt) || compare(a.savedAt, b.savedAt) || compare(a.id, b.id),
  );
  const newest = found.at(-1);
  return newest && { id: newest.id, version: newest.version, body: newest.body };
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0;
}
