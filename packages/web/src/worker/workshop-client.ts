/**
 * The page's side of the computing worker. Drawing requests are latest-wins: one is under way, the newest waits,
 * those in between are dropped, and the one under way gives up at its next stage when a newer one has come.
 * A worker that died is replaced with the next request.
 */
import { type Remote, wrap } from 'comlink';
import type {
  Drawn,
  FileBundle,
  MakeSettings,
  Miniature,
  Outcome,
  Source,
  TextFile,
  Trouble,
} from './messages.ts';
import type { WorkshopWorker } from './workshop-worker.ts';

/** A drawing of an older source that is still under way after this, ms, is not worth waiting for. */
const PATIENCE_MS = 1500;

export interface DrawingWatcher {
  working(): void;
  done(outcome: Outcome<Drawn>): void;
}

export interface WorkshopClient {
  /** Asks for a drawing; the watcher hears of the newest request only. */
  draw(source: Source, settings: MakeSettings): void;
  cutFiles(source: Source, settings: MakeSettings): Promise<Outcome<FileBundle>>;
  pieceFile(source: Source): Promise<Outcome<TextFile>>;
  miniature(source: Source): Promise<Outcome<Miniature>>;
}

interface Hired {
  readonly worker: Worker;
  readonly remote: Remote<WorkshopWorker>;
  /** Settles only when the worker dies. */
  readonly death: Promise<Outcome<never>>;
}

export function openWorkshop(watcher: DrawingWatcher): WorkshopClient {
  let hired: Hired | undefined;
  let underWay: { readonly id: number; readonly source: Source; readonly since: number } | undefined;
  let waiting: { readonly source: Source; readonly settings: MakeSettings } | undefined;
  let count = 0;

  function hire(): Hired {
    if (hired) return hired;
    const worker = new Worker(new URL('./workshop-worker.ts', import.meta.url), {
      type: 'module',
      name: 'workshop',
    });
    const mine: Hired = {
      worker,
      remote: wrap<WorkshopWorker>(worker),
      death: new Promise((resolve) => {
        const died = (event: Event): void => {
          event.preventDefault();
          dismiss(mine);
          resolve({ ok: false, trouble: deathOf(event) });
        };
        worker.addEventListener('error', died);
        worker.addEventListener('messageerror', died);
      }),
    };
    hired = mine;
    return mine;
  }

  function dismiss(who: Hired): void {
    who.worker.terminate();
    if (hired === who) hired = undefined;
  }

  function ask<T>(call: (remote: Remote<WorkshopWorker>) => Promise<Outcome<T>>): Promise<Outcome<T>> {
    const { remote, death } = hire();
    return Promise.race([call(remote), death]);
  }

  function sourceWaiting(): Source | undefined {
    return waiting?.source;
  }

  async function drawNext(): Promise<void> {
    const next = waiting;
    if (!next) return;
    waiting = undefined;
    const id = ++count;
    underWay = { id, source: next.source, since: performance.now() };
    const { remote, death } = hire();
    const outcome = await Promise.race([remote.draw(id, next.source, next.settings), death]);
    if (underWay?.id !== id) return;
    underWay = undefined;
    if (outcome !== 'superseded' && !waiting) watcher.done(outcome);
    // The first of several quick changes is shown too: a slider that is dragged should not look dead.
    else if (outcome !== 'superseded' && outcome.ok && sourceWaiting()?.key === next.source.key)
      watcher.done(outcome);
    if (waiting) {
      watcher.working();
      void drawNext();
    }
  }

  function hurry(): void {
    if (!underWay || !hired || !waiting) return;
    void hired.remote.supersede(underWay.id);
    const stuck =
      performance.now() - underWay.since > PATIENCE_MS && underWay.source.key !== waiting.source.key;
    if (!stuck) return;
    dismiss(hired);
    underWay = undefined;
    void drawNext();
  }

  return {
    draw(source, settings) {
      waiting = { source, settings };
      watcher.working();
      if (underWay) hurry();
      else void drawNext();
    },
    cutFiles: (source, settings) => ask((remote) => remote.cutFiles(source, settings)),
    pieceFile: (source) => ask((remote) => remote.pieceFile(source)),
    miniature: (source) => ask((remote) => remote.miniature(source)),
  };
}

function deathOf(event: Event): Trouble {
  const why =
    event instanceof ErrorEvent && event.message
      ? event.message
      : 'its script did not load or its memory ran out';
  return {
    title: 'The computation stopped',
    detail: `The part of the page that computes has ended: ${why}.`,
    where: '',
    hint: 'Try again. If it stops again, load the page anew; what is saved in the workspace is safe.',
  };
}
