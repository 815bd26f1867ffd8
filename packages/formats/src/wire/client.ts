/**
 * The typed client of the server's interface, for the page, the command line and tests. `fetch` is passed in, so
 * that nothing here needs a browser. Answers are checked against the wire schemas; nothing throws on a refusal.
 */
import type { z } from 'zod';
import { type Change, changeSchema } from './change.ts';
import {
  type Document,
  type DocumentKind,
  type DraftOf,
  documentListSchema,
  documentSchema,
  type Kind,
  type VersionList,
  versionListSchema,
} from './document.ts';
import {
  type CouponAnswer,
  type CouponRequest,
  couponAnswerSchema,
  type JudgeRequest,
  judgementSchema,
  type RecordLookup,
  recordLookupSchema,
  type WeighRequest,
  type WireJudgement,
} from './fit-requests.ts';
import { type Health, healthSchema } from './health.ts';
import { type MaterialTable, materialTableSchema } from './material.ts';
import { type PieceEntry, type PieceRegister, pieceEntrySchema, pieceRegisterSchema } from './piece-entry.ts';
import { CONFLICT_TYPE, type Conflict, conflictSchema, type Problem, problemSchema } from './problem.ts';
import {
  type SessionList,
  type SessionState,
  type Share,
  sessionListSchema,
  sessionStateSchema,
  shareSchema,
} from './session.ts';

/** As much of `fetch` as the client uses. */
export type Fetch = (
  address: string,
  request: {
    readonly method: string;
    readonly headers: Record<string, string>;
    readonly body?: string;
  },
) => Promise<{
  readonly ok: boolean;
  readonly status: number;
  readonly headers: { get(name: string): string | null };
  text(): Promise<string>;
}>;

/** What came of a request. `conflict` is there where a save did not start from the newest version. */
export type Answer<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly problem: Problem; readonly conflict?: Conflict };

export interface PieceText {
  readonly version: number;
  readonly text: string;
}

/** A key makes a repeated request harmless: the server answers the second one as the first, and stores nothing twice. */
export interface Once {
  readonly key?: string;
}

export interface ListOptions {
  /** Also those that were put aside. */
  readonly deleted?: boolean;
  /** Only those whose field of this name has this value, such as `machine`. */
  readonly where?: Readonly<Record<string, string>>;
}

export interface WorkspaceClient {
  health(): Promise<Answer<Health>>;
  list<K extends DocumentKind>(
    kind: K,
    options?: ListOptions,
  ): Promise<Answer<{ readonly items: readonly Document<K>[] }>>;
  get<K extends DocumentKind>(kind: K, id: string): Promise<Answer<Document<K>>>;
  create<K extends DocumentKind>(kind: K, draft: DraftOf<K>, once?: Once): Promise<Answer<Document<K>>>;
  replace<K extends DocumentKind>(
    kind: K,
    id: string,
    basedOn: number,
    draft: DraftOf<K>,
  ): Promise<Answer<Document<K>>>;
  remove(kind: Kind, id: string, basedOn: number): Promise<Answer<undefined>>;
  restore<K extends DocumentKind>(kind: K, id: string): Promise<Answer<Document<K>>>;
  /** Stores a save that came too late as a document of its own, beside the one it started from. */
  copy<K extends DocumentKind>(
    kind: K,
    id: string,
    basedOn: number,
    draft: DraftOf<K>,
    once?: Once,
  ): Promise<Answer<Document<K>>>;
  versions(kind: Kind, id: string): Promise<Answer<VersionList>>;
  version<K extends DocumentKind>(kind: K, id: string, version: number): Promise<Answer<Document<K>>>;

  listPieces(options?: ListOptions): Promise<Answer<PieceRegister>>;
  getPiece(id: string, version?: number): Promise<Answer<PieceText>>;
  createPiece(text: string, once?: Once): Promise<Answer<PieceEntry>>;
  savePiece(id: string, basedOn: number, text: string): Promise<Answer<PieceEntry>>;
  restorePiece(id: string): Promise<Answer<PieceEntry>>;
  copyPiece(id: string, basedOn: number, text: string, once?: Once): Promise<Answer<PieceEntry>>;

  materialTable(): Promise<Answer<MaterialTable>>;
  coupon(request: CouponRequest): Promise<Answer<CouponAnswer>>;
  judge(request: JudgeRequest): Promise<Answer<WireJudgement>>;
  weigh(request: WeighRequest, once?: Once): Promise<Answer<Document<'records'>>>;
  recordInForce(question: RecordQuestion): Promise<Answer<RecordLookup>>;

  session(): Promise<Answer<SessionState>>;
  signIn(code: string, device?: string): Promise<Answer<SessionState>>;
  signOut(): Promise<Answer<undefined>>;
  sessions(): Promise<Answer<SessionList>>;
  revoke(session: string): Promise<Answer<undefined>>;
  share(): Promise<Answer<Share>>;
}

export interface RecordQuestion {
  readonly machine: string;
  readonly stock: string;
  readonly setting: string;
  /** Measured thickness of the board in hand, mm. */
  readonly thicknessMm?: number;
  /** Day to reckon the age from, `YYYY-MM-DD`; today where absent. */
  readonly on?: string;
}

interface Ask<T> {
  readonly method?: string;
  readonly json?: unknown;
  /** Body that is JSON text already. */
  readonly text?: string;
  readonly basedOn?: number;
  readonly key?: string | undefined;
  readonly read: (text: string, etag: string | null) => T;
}

/** @param base what addresses start with, such as `http://127.0.0.1:4780`; empty for the page's own server */
export function workspaceClient(fetch: Fetch, base = ''): WorkspaceClient {
  async function ask<T>(path: string, { method = 'GET', ...rest }: Ask<T>): Promise<Answer<T>> {
    const body = rest.text ?? (rest.json === undefined ? undefined : JSON.stringify(rest.json));
    const headers: Record<string, string> = {
      accept: 'application/json',
      ...(body === undefined ? {} : { 'content-type': 'application/json' }),
      ...(rest.basedOn === undefined ? {} : { 'if-match': `"${rest.basedOn}"` }),
      ...(rest.key === undefined ? {} : { 'idempotency-key': rest.key }),
    };
    let answer: Awaited<ReturnType<Fetch>>;
    let text: string;
    try {
      answer = await fetch(base + path, { method, headers, ...(body === undefined ? {} : { body }) });
      text = await answer.text();
    } catch {
      return { ok: false, problem: noServer(path) };
    }
    try {
      if (answer.ok) return { ok: true, value: rest.read(text, answer.headers.get('etag')) };
      const problem = problemSchema.safeParse(JSON.parse(text));
      if (problem.success) return refusal(problem.data);
    } catch {
      // Not what our server sends: told below.
    }
    return { ok: false, problem: unexpected(path, answer.status) };
  }

  const json =
    <T>(schema: z.ZodType<T>) =>
    (text: string): T =>
      schema.parse(JSON.parse(text));
  const nothing = (): undefined => undefined;
  const pieceText = (text: string, etag: string | null): PieceText => ({
    version: Number(etag?.replaceAll('"', '')),
    text,
  });
  const at = (kind: Kind, ...rest: (string | number)[]): string =>
    ['/api', kind, ...rest.map((part) => encodeURIComponent(part))].join('/');

  return {
    health: () => ask('/api/health', { read: json(healthSchema) }),
    list: (kind, options) => ask(at(kind) + query(options), { read: json(documentListSchema(kind)) }),
    get: (kind, id) => ask(at(kind, id), { read: json(documentSchema(kind)) }),
    create: (kind, draft, once) =>
      ask(at(kind), { method: 'POST', json: draft, key: once?.key, read: json(documentSchema(kind)) }),
    replace: (kind, id, basedOn, draft) =>
      ask(at(kind, id), { method: 'PUT', json: draft, basedOn, read: json(documentSchema(kind)) }),
    remove: (kind, id, basedOn) => ask(at(kind, id), { method: 'DELETE', basedOn, read: nothing }),
    restore: (kind, id) => ask(at(kind, id, 'restore'), { method: 'POST', read: json(documentSchema(kind)) }),
    copy: (kind, id, basedOn, draft, once) =>
      ask(at(kind, id, 'copies'), {
        method: 'POST',
        json: draft,
        basedOn,
        key: once?.key,
        read: json(documentSchema(kind)),
      }),
    versions: (kind, id) => ask(at(kind, id, 'versions'), { read: json(versionListSchema) }),
    version: (kind, id, version) =>
      ask(at(kind, id, 'versions', version), { read: json(documentSchema(kind)) }),

    listPieces: (options) => ask(at('pieces') + query(options), { read: json(pieceRegisterSchema) }),
    getPiece: (id, version) =>
      ask(version === undefined ? at('pieces', id) : at('pieces', id, 'versions', version), {
        read: pieceText,
      }),
    createPiece: (text, once) =>
      ask(at('pieces'), { method: 'POST', text, key: once?.key, read: json(pieceEntrySchema) }),
    savePiece: (id, basedOn, text) =>
      ask(at('pieces', id), { method: 'PUT', text, basedOn, read: json(pieceEntrySchema) }),
    restorePiece: (id) => ask(at('pieces', id, 'restore'), { method: 'POST', read: json(pieceEntrySchema) }),
    copyPiece: (id, basedOn, text, once) =>
      ask(at('pieces', id, 'copies'), {
        method: 'POST',
        text,
        basedOn,
        key: once?.key,
        read: json(pieceEntrySchema),
      }),

    materialTable: () => ask('/api/material-table', { read: json(materialTableSchema) }),
    coupon: (request) =>
      ask('/api/coupons', { method: 'POST', json: request, read: json(couponAnswerSchema) }),
    judge: (request) => ask('/api/fit/judge', { method: 'POST', json: request, read: json(judgementSchema) }),
    weigh: (request, once) =>
      ask('/api/fit/records', {
        method: 'POST',
        json: request,
        key: once?.key,
        read: json(documentSchema('records')),
      }),
    recordInForce: (question) =>
      ask(`/api/fit/record${search(question)}`, { read: json(recordLookupSchema) }),

    session: () => ask('/api/session', { read: json(sessionStateSchema) }),
    signIn: (code, device = '') =>
      ask('/api/session', { method: 'POST', json: { code, device }, read: json(sessionStateSchema) }),
    signOut: () => ask('/api/session', { method: 'DELETE', read: nothing }),
    sessions: () => ask('/api/sessions', { read: json(sessionListSchema) }),
    revoke: (session) =>
      ask(`/api/sessions/${encodeURIComponent(session)}`, { method: 'DELETE', read: nothing }),
    share: () => ask('/api/share', { read: json(shareSchema) }),
  };
}

function query(options: ListOptions | undefined): string {
  return search({ ...options?.where, ...(options?.deleted ? { deleted: '1' } : {}) });
}

function search(fields: object): string {
  const pairs = Object.entries(fields)
    .filter(([, value]) => value !== undefined)
    .map(([name, value]) => `${encodeURIComponent(name)}=${encodeURIComponent(String(value))}`);
  return pairs.length === 0 ? '' : `?${pairs.join('&')}`;
}

function refusal(problem: Problem): Answer<never> {
  if (problem.type !== CONFLICT_TYPE) return { ok: false, problem };
  const conflict = conflictSchema.safeParse(problem);
  return conflict.success ? { ok: false, problem, conflict: conflict.data } : { ok: false, problem };
}

/** Problems that the client itself finds; their status is 0 and the server's. */
function noServer(path: string): Problem {
  return {
    type: 'urn:inlaywright:problem:no-server',
    title: 'The server does not answer',
    status: 0,
    detail:
      'The program that keeps the workspace has stopped, is still starting, or this device lost the network.',
    where: path,
    hint: 'Look at the terminal where it was started, start it again with "npm start", then try once more.',
  };
}

function unexpected(path: string, status: number): Problem {
  return {
    type: 'urn:inlaywright:problem:unexpected-answer',
    title: 'The server answered with something unexpected',
    status,
    detail: `${path} answered with status ${status}.`,
    where: path,
    hint: 'Page and server may be of different versions: stop the server, start it again, and load the page anew.',
  };
}

/** As much of `EventSource` as the client uses. */
export interface ChangeSource {
  addEventListener(event: string, on: (message: { readonly data?: unknown }) => void): void;
  close(): void;
}

export interface ChangeListener {
  /** Something was saved, deleted or restored, here or on another device. */
  change(change: Change): void;
  /** Changes were missed: load everything anew. */
  reset(): void;
  /** The stream stands, or broke and is being tried again. */
  state?(live: boolean): void;
}

/**
 * Listens to live changes: `watchChanges((address) => new EventSource(address), listener)`. An EventSource takes up
 * a broken stream by itself, from the change it saw last. Returns what ends the listening.
 */
export function watchChanges(
  open: (address: string) => ChangeSource,
  listener: ChangeListener,
  base = '',
): () => void {
  const source = open(`${base}/api/changes`);
  source.addEventListener('change', ({ data }) => {
    const change = changeSchema.safeParse(parse(data));
    if (change.success) listener.change(change.data);
    else listener.reset();
  });
  source.addEventListener('reset', () => listener.reset());
  source.addEventListener('open', () => listener.state?.(true));
  source.addEventListener('error', () => listener.state?.(false));
  return () => source.close();
}

function parse(data: unknown): unknown {
  try {
    return JSON.parse(String(data));
  } catch {
    return undefined;
  }
}
