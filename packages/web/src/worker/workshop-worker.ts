/** The computing worker: everything that takes time, off the page's thread. */
import { openKernel } from '@inlaywright/geometry';
import wasmAddress from 'clipper2-wasm/dist/es/clipper2z.wasm?url';
import { expose, transfer } from 'comlink';
import { bundleCutFiles, drawSource, miniatureOf, pieceFileOf } from './chain.ts';
import type { Drawn, FileBundle, MakeSettings, Miniature, Outcome, Source, TextFile } from './messages.ts';
import { troubleOf } from './trouble.ts';

/** Loads the polygon kernel; once it is there this costs nothing, and a failed load is tried again. */
function ready(): Promise<void> {
  return openKernel({ locateFile: () => wasmAddress });
}

/** Requests up to this one have been overtaken by a newer one. */
let overtaken = 0;

/** Lets messages in: a newer request can only be noticed between two stages. */
function breathe(): Promise<void> {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port2.onmessage = () => {
      port1.close();
      resolve();
    };
    port1.postMessage(null);
  });
}

async function attempt<T>(doing: string, run: () => T | Promise<T>): Promise<Outcome<T>> {
  try {
    await ready();
    return { ok: true, value: await run() };
  } catch (error) {
    return { ok: false, trouble: troubleOf(error, doing) };
  }
}

const workshopWorker = {
  async draw(id: number, source: Source, settings: MakeSettings): Promise<Outcome<Drawn> | 'superseded'> {
    const outcome = await attempt('Drawing the piece', () =>
      drawSource(source, settings, async () => {
        await breathe();
        return id > overtaken;
      }),
    );
    if (outcome.ok && outcome.value === null) return 'superseded';
    return outcome as Outcome<Drawn>;
  },

  /** Tells that a newer request than `id` waits. */
  supersede(id: number): void {
    overtaken = Math.max(overtaken, id);
  },

  async cutFiles(source: Source, settings: MakeSettings): Promise<Outcome<FileBundle>> {
    const outcome = await attempt('Writing the cut files', () => bundleCutFiles(source, settings));
    return outcome.ok ? transfer(outcome, [outcome.value.bytes.buffer]) : outcome;
  },

  pieceFile(source: Source): Promise<Outcome<TextFile>> {
    return attempt('Writing the piece file', () => pieceFileOf(source));
  },

  miniature(source: Source): Promise<Outcome<Miniature>> {
    return attempt('Drawing the small picture', () => miniatureOf(source));
  },
};

export type WorkshopWorker = typeof workshopWorker;

expose(workshopWorker);
