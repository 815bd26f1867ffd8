/**
 * Where a trial's results are typed in. Every entry is kept in this browser at once, then sent; what could not be sent
 * waits and is tried again until it arrives. A save that came after another device's is held until the maker chose.
 * No React.
 *
 * States of what waits:
 *   nothing -> entry -> waiting -> sending -> nothing
 *                          ^          |--- no server: waits, tried again after 1, 2, 4 ... 15 s, on coming back
 *                          |          |--- somebody saved in between: two versions -> the maker chooses
 *                          '----------'--- refused: told, kept here, sent with the next entry
 */
import {
  type Conflict,
  type Document,
  type Problem,
  problemCode,
  type TrialBody,
  trialBodySchema,
} from '@inlaywright/formats';
import { z } from 'zod';
import { createStore, type StoreApi } from 'zustand/vanilla';
import { newKey, workspace } from './client.ts';
import { keep, noteProblem, onBackAgain, onChange } from './shelf.ts';
import { differing, type EntryKey, join, withEntry } from './trial-entries.ts';

export interface TrialState {
  /** The newest version of the workspace that this device has seen; null until the first answer. */
  readonly base: { readonly version: number; readonly savedAt: string; readonly body: TrialBody } | null;
  /** The trial as it is typed. */
  readonly mine: TrialBody | null;
  /** What stands in a field and cannot be taken yet, such as a half-typed number, by the field's entry. */
  readonly texts: Readonly<Record<string, string>>;
  readonly sending: boolean;
  /** Why the last save did not arrive; it is tried again. */
  readonly away: Problem | null;
  /** A refusal that trying again would not mend. */
  readonly refused: Problem | null;
  /** Another device saved in between: both versions, for the maker to choose. */
  readonly conflict: Conflict | null;
  /** This browser keeps what is typed; false where its storage is off or full. */
  readonly kept: boolean;
}

export type Choice =
  | { readonly keep: 'mine' }
  | { readonly keep: 'theirs' }
  | { readonly keep: 'both'; readonly theirs: ReadonlySet<EntryKey> }
  | { readonly keep: 'copy' };

export interface TrialDesk {
  readonly state: StoreApi<TrialState>;
  set(key: EntryKey, value: unknown): void;
  /** Keeps what is being typed; null once it was taken or given up. */
  setText(key: EntryKey, text: string | null): void;
  /** Ends a conflict. The answer of `copy` is the new trial. */
  choose(choice: Choice): Promise<Document<'trials'> | null>;
  sendNow(): void;
  close(): void;
}

const STORE = 'inlaywright.trial.';
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 15_000;

const draftSchema = z.object({
  base: z.object({ version: z.number(), savedAt: z.string(), body: trialBodySchema }),
  mine: trialBodySchema,
  texts: z.record(z.string(), z.string()),
});

type Draft = z.infer<typeof draftSchema>;

/** How many entries of a trial wait on this device; the day that comes by itself with the first one is none. */
export function waiting({ base, mine }: TrialState): number {
  if (!base || !mine) return 0;
  const changed = differing(base.body, mine);
  return Math.max(Math.min(1, changed.length), changed.filter((key) => key !== 'field:date').length);
}

/** Trials with something on this device that the workspace does not have. */
export function trialsWaiting(): readonly string[] {
  try {
    return Object.keys(localStorage)
      .filter((key) => key.startsWith(STORE))
      .map((key) => key.slice(STORE.length));
  } catch {
    return [];
  }
}

export function openTrial(id: string): TrialDesk {
  const draft = readDraft(id);
  const state = createStore<TrialState>(() => ({
    base: draft?.base ?? null,
    mine: draft?.mine ?? null,
    texts: draft?.texts ?? {},
    sending: false,
    away: null,
    refused: null,
    conflict: null,
    kept: true,
  }));
  const { getState, setState } = state;
  let closed = false;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let waitMs = FIRST_WAIT_MS;
  /** What is kept in the browser is this desk's; another tab's must not be thrown away. */
  let owns = draft !== null;

  function remember(): void {
    const { base, mine, texts } = getState();
    if (!base || !mine) return;
    const idle = differing(base.body, mine).length === 0 && Object.keys(texts).length === 0;
    if (!idle) setState({ kept: writeDraft(id, { base, mine, texts }) });
    else if (owns) dropDraft(id);
    owns = !idle;
  }

  function later(): void {
    clearTimeout(timer);
    if (closed) return;
    timer = setTimeout(() => void send(), waitMs);
    waitMs = Math.min(LONGEST_WAIT_MS, 2 * waitMs);
  }

  async function send(): Promise<void> {
    clearTimeout(timer);
    const { base, mine, sending, conflict } = getState();
    if (closed || sending || conflict || !base || !mine) return;
    if (differing(base.body, mine).length === 0) return;
    setState({ sending: true });
    const answer = await workspace.replace('trials', id, base.version, mine);
    setState({ sending: false });
    if (answer.ok) {
      waitMs = FIRST_WAIT_MS;
      take(answer.value, mine);
      void send();
      return;
    }
    const { problem, conflict: found } = answer;
    if (found) meet(found);
    else if (isPassing(problem)) {
      if (problemCode(problem) === 'code-needed') noteProblem(problem);
      setState({ away: problem });
      later();
    } else setState({ refused: problem });
  }

  /** Takes what the workspace has as the new base. What was typed since `sent` went off stays. */
  function take(stored: Document<'trials'>, sent: TrialBody | null): void {
    keep(stored);
    const { base, mine } = getState();
    if (base && stored.version < base.version) return;
    const { version, savedAt, body } = stored;
    const typedSince = sent !== null && mine !== null && differing(sent, mine).length > 0;
    setState({
      base: { version, savedAt, body },
      mine: typedSince && mine ? join(sent, mine, body).body : body,
      away: null,
      refused: null,
    });
    remember();
  }

  function meet(conflict: Conflict): void {
    const theirs = trialBodySchema.safeParse(conflict.theirs.content);
    const { mine } = getState();
    if (theirs.success && mine && differing(theirs.data, mine).length === 0 && !conflict.theirs.deletedAt) {
      // Both devices typed the same: there is nothing to choose.
      take(documentOf(conflict, theirs.data), null);
      return;
    }
    setState({ conflict, away: null });
  }

  function documentOf(conflict: Conflict, body: TrialBody): Document<'trials'> {
    const { version, savedAt, deletedAt } = conflict.theirs;
    return { kind: 'trials', id, version, savedAt, deletedAt, body };
  }

  async function load(): Promise<void> {
    const answer = await workspace.get('trials', id);
    if (closed) return;
    const { base, mine, sending } = getState();
    if (!answer.ok) {
      if (isPassing(answer.problem)) {
        if (problemCode(answer.problem) === 'code-needed') noteProblem(answer.problem);
        setState({ away: answer.problem });
        clearTimeout(timer);
        timer = setTimeout(() => void load(), waitMs);
        waitMs = Math.min(LONGEST_WAIT_MS, 2 * waitMs);
      } else setState({ refused: answer.problem });
      return;
    }
    waitMs = FIRST_WAIT_MS;
    const pending = base !== null && mine !== null && differing(base.body, mine).length > 0;
    if (pending) {
      setState({ away: null });
      // What waits here grew from an older version: the server finds out whether somebody saved in between.
      await send();
    } else if (!sending) take(answer.value, null);
  }

  const stopChanges = onChange((change) => {
    const { base, sending } = getState();
    if (change.kind !== 'trials' || change.id !== id || sending) return;
    if (base && change.version <= base.version && change.action === 'saved') return;
    void load();
  });
  const back = (): void => {
    waitMs = FIRST_WAIT_MS;
    if (getState().base) void send();
    void load();
  };
  const stopBack = onBackAgain(back);
  const seen = (): void => {
    if (document.visibilityState === 'visible') back();
  };
  addEventListener('online', back);
  addEventListener('pageshow', back);
  document.addEventListener('visibilitychange', seen);
  void load();

  return {
    state,
    set(key, value) {
      const { mine } = getState();
      if (!mine) return;
      // The day of the first result is the day of the trial, until the maker says another.
      const dated =
        mine.trial.date === undefined && /^(step|size):/.test(key)
          ? withEntry(mine, 'field:date', today())
          : mine;
      setState({ mine: withEntry(dated, key, value), refused: null });
      remember();
      void send();
    },
    setText(key, text) {
      const { [key]: _, ...rest } = getState().texts;
      setState({ texts: text === null ? rest : { ...rest, [key]: text } });
      remember();
    },
    async choose(choice) {
      const { conflict, base, mine } = getState();
      const theirs = conflict && trialBodySchema.safeParse(conflict.theirs.content);
      if (!conflict || !theirs?.success || !base || !mine) return null;
      let stored = documentOf(conflict, theirs.data);
      if (choice.keep === 'copy') {
        const answer = await workspace.copy('trials', id, base.version, mine, { key: newKey() });
        if (!answer.ok) {
          setState(isPassing(answer.problem) ? { away: answer.problem } : { refused: answer.problem });
          return null;
        }
        keep(answer.value);
        setState({ conflict: null });
        take(stored, null);
        return answer.value;
      }
      if (stored.deletedAt !== null && choice.keep !== 'theirs') {
        const answer = await workspace.restore('trials', id);
        if (!answer.ok) {
          setState(isPassing(answer.problem) ? { away: answer.problem } : { refused: answer.problem });
          return null;
        }
        stored = answer.value;
      }
      const { version, savedAt, body } = stored;
      setState({
        conflict: null,
        base: { version, savedAt, body },
        mine:
          choice.keep === 'mine'
            ? mine
            : choice.keep === 'theirs'
              ? body
              : join(base.body, mine, body, choice.theirs).body,
      });
      remember();
      await send();
      return null;
    },
    sendNow() {
      waitMs = FIRST_WAIT_MS;
      void send();
    },
    close() {
      closed = true;
      clearTimeout(timer);
      stopChanges();
      stopBack();
      removeEventListener('online', back);
      removeEventListener('pageshow', back);
      document.removeEventListener('visibilitychange', seen);
    },
  };
}

/** Whether trying again later may help: the server is away, busy or wants the access code first. */
function isPassing(problem: Problem): boolean {
  return problem.status === 0 || problem.status === 401 || problem.status === 429 || problem.status >= 500;
}

function readDraft(id: string): Draft | null {
  try {
    const text = localStorage.getItem(STORE + id);
    const draft = text === null ? undefined : draftSchema.safeParse(JSON.parse(text));
    return draft?.success ? draft.data : null;
  } catch {
    return null;
  }
}

function writeDraft(id: string, draft: Draft): boolean {
  try {
    localStorage.setItem(STORE + id, JSON.stringify(draft));
    return true;
  } catch {
    return false;
  }
}

function dropDraft(id: string): void {
  try {
    localStorage.removeItem(STORE + id);
  } catch {
    // Where the storage is off there is no draft either.
  }
}

/** Today where the maker is, `YYYY-MM-DD`. */
export function today(now: Date = new Date()): string {
  const two = (value: number): string => String(value).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
