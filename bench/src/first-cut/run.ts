import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { option } from '../options.ts';
import type { SeamTruth } from './assemble.ts';
import { FITS } from './maker.ts';
import type { Outcome, Procedure, Share } from './simulate.ts';

/**
 * The simulated workshop: how many pieces fit at the first cut. Each piece meets a laser of its own with hidden kerfs;
 * one virtual maker follows our procedure, one common practice, one common practice with turned inlays, all on
 * the same laser and boards. docs/first-cut.md says what is modelled and what is not.
 */

const PROCEDURES: readonly Procedure[] = ['ours', 'common', 'common, turned'];

interface Result {
  readonly fits: boolean;
  readonly seams: readonly SeamTruth[];
}

const pieces = wholeNumber('pieces', '1000');
const seed = wholeNumber('seed', '1');
const json = process.argv.includes('--json');
const results: Record<Procedure, Result[]> = { ours: [], common: [], 'common, turned': [] };
const designs = new Map<string, { cut: number; fit: number }>();
const failed: { piece: number; design: string; seams: SeamTruth[] }[] = [];
const started = Date.now();
await runAll();

const summary = {
  pieces,
  seed,
  seconds: Math.round((Date.now() - started) / 1000),
  fits: `a seam fits if 95 % of its length lies between ${FITS.min} and ${FITS.max} mm at the show face and no interference is deeper than ${FITS.corner} mm`,
  procedures: Object.fromEntries(PROCEDURES.map((procedure) => [procedure, summarise(results[procedure])])),
  oursByDesign: Object.fromEntries([...designs].sort()),
  oursThatFailed: failed.sort((a, b) => a.piece - b.piece),
  failuresOverTurnedPractice: ratio(failures('ours'), failures('common, turned')),
};
if (json) console.log(JSON.stringify(summary, null, 2));
else print();

function wholeNumber(name: string, otherwise: string): number {
  const value = Number(option(name, otherwise));
  if (Number.isInteger(value) && value > 0) return value;
  console.error(`--${name} needs a whole number above 0.`);
  process.exit(2);
}

/** Spreads the pieces over the cores. Every piece has seeds of its own, so that the split changes nothing. */
async function runAll(): Promise<void> {
  const workers = Math.min(pieces, availableParallelism());
  let done = 0;
  await Promise.all(
    Array.from({ length: workers }, async (_, first) => {
      const share: Share = { pieces, seed, first, step: workers };
      const worker = new Worker(new URL('./simulate.js', import.meta.url), { workerData: share });
      worker.on('message', ({ piece, design, procedure, seams }: Outcome) => {
        const fits = seams.every((seam) => seam.fits);
        results[procedure].push({ fits, seams });
        if (procedure === 'ours') {
          const tally = designs.get(design) ?? { cut: 0, fit: 0 };
          designs.set(design, { cut: tally.cut + 1, fit: tally.fit + (fits ? 1 : 0) });
          if (!fits) failed.push({ piece, design, seams: seams.filter((seam) => !seam.fits) });
          done += 1;
          if (!json && done % 20 === 0) process.stderr.write(`\r${done} of ${pieces}`);
        }
      });
      await new Promise<void>((resolve, reject) => {
        worker.once('error', reject);
        worker.once('exit', (code) =>
          code === 0 ? resolve() : reject(new Error(`A worker ended with ${code}.`)),
        );
      });
    }),
  );
}

function failures(procedure: Procedure): number {
  return results[procedure].filter((result) => !result.fits).length;
}

function ratio(a: number, b: number): number | null {
  return b === 0 ? null : Math.round((1000 * a) / b) / 1000;
}

function summarise(outcomes: readonly Result[]): Record<string, unknown> {
  const good = outcomes.filter((outcome) => outcome.fits).length;
  const seams = outcomes.flatMap((outcome) => outcome.seams);
  const share = (test: (seam: SeamTruth) => boolean): number =>
    Math.round((1e4 * seams.filter(test).length) / Math.max(1, seams.length)) / 1e4;
  return {
    fitAtFirstCut: good,
    of: outcomes.length,
    interval95: wilson(good, outcomes.length),
    seamsThatFit: share((seam) => seam.fits),
    seamsTooLoose: share((seam) => seam.highMm > FITS.max),
    seamsTooTight: share((seam) => seam.lowMm < FITS.min),
    seamsWithDeepCorner: share((seam) => seam.deepestMm > FITS.corner),
  };
}

/** Wilson's interval for a share (Wilson 1927, J. Amer. Stat. Assoc. 22:209, from memory), z = 1.96. */
function wilson(k: number, n: number): [number, number] {
  const z = 1.96;
  const p = k / n;
  const middle = (p + (z * z) / (2 * n)) / (1 + (z * z) / n);
  const half = (z / (1 + (z * z) / n)) * Math.sqrt((p * (1 - p)) / n + (z * z) / (4 * n * n));
  return [Math.round(1e4 * (middle - half)) / 1e4, Math.round(1e4 * (middle + half)) / 1e4];
}

function print(): void {
  process.stderr.write('\r');
  console.log(`${pieces} pieces, seed ${seed}, ${summary.seconds} s: ${summary.fits}.`);
  for (const procedure of PROCEDURES) {
    const { fitAtFirstCut, interval95, seamsThatFit } = summarise(results[procedure]) as {
      fitAtFirstCut: number;
      interval95: [number, number];
      seamsThatFit: number;
    };
    const range = interval95.map((share) => (100 * share).toFixed(1)).join(' to ');
    console.log(
      `  ${procedure.padEnd(15)} ${String(fitAtFirstCut).padStart(5)} fit at the first cut (95 % interval ${range} %); ` +
        `${(100 * seamsThatFit).toFixed(1)} % of seams`,
    );
  }
  console.log(`  failures of ours : of common practice, turned = ${summary.failuresOverTurnedPractice}`);
}
