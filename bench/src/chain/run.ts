import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { artworkToPiece, cutFiles, readArtwork, readCutSvg, readPiece } from '@inlaywright/formats';
import { type Curve, flattenCurve, openKernel } from '@inlaywright/geometry';
import {
  areaCurves,
  defaultMakeOptions,
  dryFit,
  makeParts,
  mosaic,
  type Piece,
  plainFit,
} from '@inlaywright/workshop';
import { type FlatArea, openGeosPartition } from '../mosaic-geos.ts';
import { blobArtwork } from './artworks.ts';

/**
 * The main chain against its figures, and the partition against the same one done with GEOS in the same run. Each
 * size runs warm; medians. `--json` prints one object.
 */

const FIT = plainFit(0.16, 0.03);

function median(values: number[]): number {
  return values.sort((a, b) => a - b)[Math.floor(values.length / 2)]!;
}

function timed<T>(run: () => T): [T, number] {
  const start = performance.now();
  const result = run();
  return [result, performance.now() - start];
}

function curveCount(piece: Piece): number {
  return piece.areas
    .flatMap((area) => areaCurves(area).curves)
    .reduce((sum, curve) => sum + curve.segments.length, 0);
}

interface Row {
  readonly piece: string;
  readonly areas: number;
  readonly segments: number;
  readonly parts: number;
  readonly readMs: number;
  readonly mosaicMs: number;
  readonly compensateMs: number;
  readonly filesMs: number;
  readonly dryFitMs: number;
  /** Partition, compensation and dry fit, without the text files between. */
  readonly chainMs: number;
  readonly geosPartitionMs: number;
  /** GEOS over ours: above 1 ours is faster. */
  readonly ratio: number;
  /** Difference of the summed part areas to GEOS, relative. */
  readonly areaDifference: number;
  readonly writtenSegments: number;
  readonly flattenedSegments: number;
}

function flatAreas(piece: Piece): FlatArea[] {
  return piece.areas.map((area, i) => {
    const { curves, fillRule } = areaCurves(area);
    return {
      tone: area.tone,
      rings: curves.map((curve: Curve) => flattenCurve(curve)),
      fillRule,
      piercing: area.tone === 'piercing',
      extendsOutline: i === 0 || (area.extendsOutline ?? false),
    };
  });
}

await openKernel();
if (process.argv.includes('--memory-of-largest')) {
  console.log(memoryOfLargest());
  process.exit(0);
}
const geos = await openGeosPartition();

function measure(load: () => Piece, rounds: number): Row {
  const times = {
    read: [] as number[],
    mosaic: [] as number[],
    compensate: [] as number[],
    files: [] as number[],
    dryFit: [] as number[],
    chain: [] as number[],
    geos: [] as number[],
  };
  let row:
    | Omit<
        Row,
        | 'readMs'
        | 'mosaicMs'
        | 'compensateMs'
        | 'filesMs'
        | 'dryFitMs'
        | 'chainMs'
        | 'geosPartitionMs'
        | 'ratio'
      >
    | undefined;
  const warm = Math.max(1, Math.floor(rounds / 3));
  for (let round = 0; round < rounds + warm; round++) {
    const [piece, readMs] = timed(load);
    const [parts, mosaicMs] = timed(() => mosaic(piece));
    const [made, compensateMs] = timed(() => makeParts(parts, piece.name, FIT, defaultMakeOptions));
    const [sheets, filesMs] = timed(() =>
      cutFiles(piece.name, made.sheets, parts.parts)
        .filter((file) => file.name.endsWith('.svg'))
        .map((file) => readCutSvg(file.text)),
    );
    const [, dryFitMs] = timed(() => dryFit(sheets, FIT));
    const flat = flatAreas(piece);
    const [theirs, geosMs] = timed(() => geos.partition(flat, 0));
    if (round < warm) continue;
    times.read.push(readMs);
    times.mosaic.push(mosaicMs);
    times.compensate.push(compensateMs);
    times.files.push(filesMs);
    times.dryFit.push(dryFitMs);
    times.chain.push(mosaicMs + compensateMs + dryFitMs);
    times.geos.push(geosMs);
    const total = parts.parts.reduce((sum, part) => sum + part.areaMm2, 0);
    const theirTotal = theirs.reduce((sum, part) => sum + part.areaMm2, 0);
    row = {
      piece: piece.name,
      areas: piece.areas.length,
      segments: curveCount(piece),
      parts: parts.parts.length,
      areaDifference: Math.abs(total - theirTotal) / theirTotal,
      writtenSegments: made.compensation.cuts
        .flatMap((cut) => cut.contours)
        .reduce((sum, contour) => sum + contour.curve.segments.length, 0),
      flattenedSegments: parts.parts
        .flatMap((part) => part.region.rings)
        .reduce((sum, ring) => sum + ring.length / 2, 0),
    };
  }
  const [mosaicMs, geosPartitionMs] = [median(times.mosaic), median(times.geos)];
  return {
    ...row!,
    readMs: median(times.read),
    mosaicMs,
    compensateMs: median(times.compensate),
    filesMs: median(times.files),
    dryFitMs: median(times.dryFit),
    chainMs: median(times.chain),
    geosPartitionMs,
    ratio: geosPartitionMs / mosaicMs,
  };
}

function example(name: string): () => Piece {
  const text = readFileSync(new URL(`../../../examples/${name}.json`, import.meta.url), 'utf8');
  return () => readPiece(text);
}
function artwork(paths: number, segments: number, seed: number, sheetMm: number): () => Piece {
  const svg = blobArtwork(paths, segments, seed, sheetMm);
  const name = `artwork of ${paths} paths`;
  return () => artworkToPiece(readArtwork(svg, {}), { toneOf: {}, pierce: [], name });
}

/** The largest artwork once, from its text to the dry fit, in a process of its own: greatest resident size, MB. */
function memoryOfLargest(): number {
  const piece = artwork(400, 50, 11, 300)();
  const parts = mosaic(piece);
  const made = makeParts(parts, piece.name, FIT, defaultMakeOptions);
  const sheets = cutFiles(piece.name, made.sheets, parts.parts)
    .filter((file) => file.name.endsWith('.svg'))
    .map((file) => readCutSvg(file.text));
  if (dryFit(sheets, FIT).seams.length === 0) throw new Error('The largest artwork has no seam.');
  return process.resourceUsage().maxRSS / 1024;
}

const rows = [
  measure(example('seed-pod'), 60),
  measure(artwork(500, 12, 7, 200), 3),
  measure(artwork(400, 50, 11, 300), 2),
];
const peakMb = Number(
  spawnSync(process.execPath, [fileURLToPath(import.meta.url), '--memory-of-largest'], { encoding: 'utf8' })
    .stdout,
);

if (process.argv.includes('--json')) {
  console.log(JSON.stringify({ rows, peakMb }, null, 2));
} else {
  for (const row of rows) {
    const ms = (value: number): string => value.toFixed(1).padStart(8);
    console.log(`${row.piece}: ${row.areas} areas, ${row.segments} curve segments, ${row.parts} parts`);
    console.log(
      `  read ${ms(row.readMs)}  partition ${ms(row.mosaicMs)}  compensate ${ms(row.compensateMs)}  files and back ${ms(row.filesMs)}  dry fit ${ms(row.dryFitMs)} ms`,
    );
    console.log(`  partition + compensation + dry fit ${ms(row.chainMs)} ms`);
    console.log(
      `  partition by GEOS ${ms(row.geosPartitionMs)} ms: ours is ${row.ratio.toFixed(2)} times as fast; areas differ by ${row.areaDifference.toExponential(1)}`,
    );
    console.log(
      `  written: ${row.writtenSegments} lines and arcs for ${row.flattenedSegments} polygon edges (1 to ${(row.flattenedSegments / row.writtenSegments).toFixed(1)})`,
    );
  }
  console.log(`Peak memory of the last one, run once by itself: ${peakMb.toFixed(0)} MB`);
}
