import { readdirSync, readFileSync } from 'node:fs';
import { cutFiles, readPiece } from '@inlaywright/formats';
import { openKernel } from '@inlaywright/geometry';
import {
  defaultMakeOptions,
  type FitByTone,
  make,
  type Piece,
  mosaic as partition,
} from '@inlaywright/workshop';
import { type GeosPlane, openGeosPlane, type Polygon } from '../geos-plane.ts';
import { option } from '../options.ts';
import { assemble, type SeamTruth } from './assemble.ts';
import { type DrawnPart, type PartPath, paddedPaths, pathsOfFile, tonesOf } from './cut-paths.ts';
import { drawLaser, type Laser, nextBoard } from './laser.ts';
import { bestStep, FITS, measuredRecord } from './maker.ts';
import { seeded } from './random.ts';

/**
 * The simulated workshop: how many pieces fit at the first cut. Each piece meets a laser of its own with hidden kerfs;
 * one virtual maker follows our procedure, one common practice, one common practice with turned inlays, all on
 * the same laser and boards. docs/first-cut.md says what is modelled and what is not.
 */

const PROCEDURES = ['ours', 'common', 'common, turned'] as const;
type Procedure = (typeof PROCEDURES)[number];

const pieces = Number(option('pieces', '1000'));
const seed = Number(option('seed', '1'));
const json = process.argv.includes('--json');

const plane = await openGeosPlane();
await openKernel();
const designs = loadDesigns();
const results: Record<Procedure, { fits: boolean; seams: SeamTruth[] }[]> = {
  ours: [],
  common: [],
  'common, turned': [],
};
const started = Date.now();
for (let i = 0; i < pieces; i++) {
  const design = designs[i % designs.length]!;
  const tones = tonesOf(design.piece);
  const laser = drawLaser(seeded(seed * 1_000_003 + i), tones.length);
  for (const procedure of PROCEDURES) {
    // The same seed for each procedure: they meet the same day, and differ by what they do.
    const random = seeded(seed * 7_368_787 + i);
    const paths = pathsBy(procedure, design, laser, i, random);
    const boards = laser.boards.map((board) => nextBoard(board, seeded(seed * 15_485_863 + i)));
    const seams = assemble(plane, design.mosaic, paths, (tone) => boards[tones.indexOf(tone)]!, random);
    results[procedure].push({ fits: seams.every((seam) => seam.fits), seams });
  }
  if (!json && (i + 1) % 50 === 0) process.stderr.write(`\r${i + 1} of ${pieces}`);
}

const summary = {
  pieces,
  seed,
  seconds: Math.round((Date.now() - started) / 1000),
  designs: designs.map((design) => design.piece.name),
  fits: `a seam fits if 95 % of its length lies between ${FITS.min} and ${FITS.max} mm at the show face and no interference is deeper than ${FITS.corner} mm`,
  procedures: Object.fromEntries(PROCEDURES.map((procedure) => [procedure, summarise(results[procedure])])),
  failuresOfTurnedPractice: ratio(failures('ours'), failures('common, turned')),
};
if (json) console.log(JSON.stringify(summary, null, 2));
else print();

interface Design {
  readonly piece: Piece;
  readonly mosaic: ReturnType<typeof partition>;
  readonly parts: readonly DrawnPart[];
}

function loadDesigns(): Design[] {
  const folder = new URL('../../../examples/', import.meta.url);
  return readdirSync(folder)
    .filter((name) => name.endsWith('.json'))
    .sort()
    .map((name) => {
      const piece = readPiece(readFileSync(new URL(name, folder), 'utf8'));
      const mosaic = partition(piece);
      const parts = mosaic.parts.map((part) => ({
        id: part.id,
        tone: part.tone,
        level: part.level,
        polygon: part.region.rings as Polygon,
      }));
      return { piece, mosaic, parts };
    });
}

function pathsBy(
  procedure: Procedure,
  design: Design,
  laser: Laser,
  i: number,
  random: ReturnType<typeof seeded>,
): PartPath[] {
  if (procedure !== 'ours') {
    return paddedPaths(
      plane as GeosPlane,
      design.parts,
      bestStep(laser.boards[0]!, random),
      procedure === 'common, turned',
    );
  }
  const tones = tonesOf(design.piece);
  const records = tones.map((_, t) => measuredRecord(laser.boards[t]!, random, seed + i));
  const fit: FitByTone = {
    default: records[0]!,
    byTone: Object.fromEntries(tones.map((tone, t) => [tone, records[t]!])),
  };
  const made = make(design.piece, fit, defaultMakeOptions);
  return cutFiles(design.piece.name, made.sheets, made.mosaic.parts)
    .filter((file) => file.name.endsWith('.svg'))
    .flatMap((file) => pathsOfFile(file.text));
}

function failures(procedure: Procedure): number {
  return results[procedure].filter((result) => !result.fits).length;
}

function ratio(a: number, b: number): number | null {
  return b === 0 ? null : Math.round((1000 * a) / b) / 1000;
}

function summarise(
  outcomes: readonly { fits: boolean; seams: readonly SeamTruth[] }[],
): Record<string, unknown> {
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
  console.log(`  failures of ours : of common practice, turned = ${summary.failuresOfTurnedPractice}`);
}
