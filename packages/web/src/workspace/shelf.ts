/**
 * What the page knows of the workspace: the newest version of every document of the kinds that a place asked for, kept
 * up to date by the stream of changes, so that what another device saves is seen here. No React.
 */
import {
  type Answer,
  type Change,
  type Document,
  type DocumentKind,
  type MaterialTable,
  type Problem,
  problemCode,
  type SessionState,
  watchChanges,
} from '@inlaywright/formats';
import { createStore } from 'zustand/vanilla';
import { workspace } from './client.ts';

export interface ShelfState {
  readonly documents: { readonly [K in DocumentKind]?: readonly Document<K>[] };
  readonly materials: MaterialTable['materials'] | null;
  /** The stream of changes stands; null before it was tried. */
  readonly live: boolean | null;
  /** Why something could not be read. */
  readonly problem: Problem | null;
  readonly session: SessionState | null;
  /** This device has to enter the access code first. */
  readonly codeNeeded: boolean;
}

export const shelf = createStore<ShelfState>(() => ({
  documents: {},
  materials: null,
  live: null,
  problem: null,
  session: null,
  codeNeeded: false,
}));

type Listed = DocumentKind | 'materialTable';
/** Kinds that a place asked for, with the reading under way. */
const wanted = new Map<Listed, Promise<void>>();
/** Kinds that are shown but could not be brought up to date. */
const behind = new Set<Listed>();
let watching = false;

/** Reads the kinds that are not here yet, and keeps them up to date from now on. */
export async function need(...kinds: readonly Listed[]): Promise<void> {
  watch();
  await Promise.all(
    kinds.map((kind) => {
      const known = wanted.get(kind);
      if (known) return known;
      const reading = load(kind);
      wanted.set(kind, reading);
      return reading;
    }),
  );
}

async function load(kind: Listed): Promise<void> {
  if (kind === 'materialTable') {
    const answer = await workspace.materialTable();
    if (answer.ok) shelf.setState({ materials: answer.value.materials });
    else missed(kind, answer.problem);
    return;
  }
  const answer = await workspace.list(kind);
  if (answer.ok) {
    const { items } = answer.value;
    shelf.setState((state) => ({ documents: { ...state.documents, [kind]: items }, problem: null }));
  } else missed(kind, answer.problem);
}

/** What was read before stays in sight while the server is away; it is read anew when the server is back. */
function missed(kind: Listed, problem: Problem): void {
  wanted.delete(kind);
  const { documents, materials } = shelf.getState();
  const known = kind === 'materialTable' ? materials !== null : documents[kind] !== undefined;
  if (known) behind.add(kind);
  if (!known || problemCode(problem) === 'code-needed') noteProblem(problem);
}

/** Keeps a refusal that concerns the whole page: an access code is needed, or the server is away. */
export function noteProblem(problem: Problem): void {
  if (problemCode(problem) === 'code-needed') shelf.setState({ codeNeeded: true });
  else shelf.setState({ problem });
}

/** Tries again what could not be read. */
export function readAgain(...kinds: readonly Listed[]): void {
  shelf.setState({ problem: null });
  void need(...kinds);
}

function watch(): void {
  if (watching) return;
  watching = true;
  let broke = false;
  watchChanges((address) => new EventSource(address), {
    change: (change) => void take(change),
    reset: () => void loadAnew(),
    state(live) {
      shelf.setState({ live });
      // The stream is taken up from where it was; what failed to be read meanwhile is not.
      if (live && broke) {
        const again = [...behind];
        behind.clear();
        void need(...again);
        for (const listener of backAgain) listener();
      }
      broke = !live;
    },
  });
}

const backAgain = new Set<() => void>();
const changeListeners = new Set<(change: Change) => void>();

/** Calls back when the connection stands again after it was broken. Returns what ends it. */
export function onBackAgain(listener: () => void): () => void {
  backAgain.add(listener);
  return () => backAgain.delete(listener);
}

/** Calls back at every change of the workspace, here or on another device. Returns what ends it. */
export function onChange(listener: (change: Change) => void): () => void {
  changeListeners.add(listener);
  return () => changeListeners.delete(listener);
}

async function loadAnew(): Promise<void> {
  const kinds = [...wanted.keys()];
  wanted.clear();
  await need(...kinds);
}

async function take(change: Change): Promise<void> {
  for (const listener of changeListeners) listener(change);
  const { kind } = change;
  if (kind === 'pieces') return;
  if (kind === 'materials' && wanted.has('materialTable')) await load('materialTable');
  if (!wanted.has(kind)) return;
  // A new record also changes what older ones say of themselves.
  if (kind === 'records') await load(kind);
  else if (change.action === 'deleted') forget(kind, change.id);
  else if ((find(kind, change.id)?.version ?? 0) < change.version) {
    const answer = await workspace.get(kind, change.id);
    if (answer.ok) keep(answer.value);
    else missed(kind, answer.problem);
  }
}

export function find<K extends DocumentKind>(kind: K, id: string): Document<K> | undefined {
  const items = shelf.getState().documents[kind] as readonly Document<K>[] | undefined;
  return items?.find((item) => item.id === id);
}

/** Puts a document that was just saved or read on the shelf, unless a newer version of it lies there. */
export function keep<K extends DocumentKind>(document: Document<K>): void {
  const { kind, id, version } = document;
  shelf.setState((state) => {
    const items = state.documents[kind] as readonly Document<K>[] | undefined;
    if (!items) return state;
    if ((items.find((item) => item.id === id)?.version ?? 0) > version) return state;
    const next = [...items.filter((item) => item.id !== id), document].sort(byName);
    return { documents: { ...state.documents, [kind]: next } };
  });
}

function byName(a: Document, b: Document): number {
  return nameOf(a).localeCompare(nameOf(b), 'en') || (a.id < b.id ? -1 : 1);
}

function nameOf(document: Document): string {
  return 'name' in document.body ? document.body.name : document.id;
}

function forget(kind: DocumentKind, id: string): void {
  shelf.setState((state) => ({
    documents: { ...state.documents, [kind]: state.documents[kind]?.filter((item) => item.id !== id) },
  }));
}

/** A save whose answer also goes on the shelf. */
export async function saved<K extends DocumentKind>(
  answer: Promise<Answer<Document<K>>>,
): Promise<Answer<Document<K>>> {
  const outcome = await answer;
  if (outcome.ok) {
    keep(outcome.value);
    if (outcome.value.kind === 'materials' && wanted.has('materialTable')) await load('materialTable');
  }
  return outcome;
}

/** Puts a document aside; it can be restored. */
export async function putAside(document: Document): Promise<Answer<undefined>> {
  const answer = await workspace.remove(document.kind, document.id, document.version);
  if (answer.ok) {
    forget(document.kind, document.id);
    if (document.kind === 'materials' && wanted.has('materialTable')) await load('materialTable');
  }
  return answer;
}

/** Who this device is to the server. */
export async function readSession(): Promise<void> {
  const answer = await workspace.session();
  if (!answer.ok) {
    noteProblem(answer.problem);
    return;
  }
  const { local, signedIn } = answer.value;
  shelf.setState({ session: answer.value, codeNeeded: !local && !signedIn });
}
