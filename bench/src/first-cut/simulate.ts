import { readdirSync, readFileSync } from 'node:fs';
import { parentPort, workerData } from 'node:worker_threads';
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
import { assemble, type SeamTruth } from './assemble.ts';
import { type DrawnPart, type PartPath, paddedPaths, pathsOfFile, tonesOf } from './cut-paths.ts';
import { drawLaser, type Laser, nextBoard } from './laser.ts';
import { bestStep, measuredRecord } from './maker.ts';
import { type Random, seeded } from './random.ts';

/** A worker of the simulated workshop: every n-th piece, by all procedures. */

export const PROCEDURES = ['ours', 'common', 'common, turned'] as const;
export type Procedure = (typeof PROCEDURES)[number];

export interface Share {
  readonly pieces: number;
  readonly seed: number;
  readonly first: number;
  readonly step: number;
}

export interface Outcome {
  readonly piece: number;
  readonly design: string;
  readonly procedure: Procedure;
  readonly seams: readonly SeamTruth[];
}

interface Design {
  readonly piece: Piece;
  readonly mosaic: ReturnType<typeof partition>;
  readonly parts: readonly DrawnPart[];
}

function loadDesigns(): Design[] {
  const folder = new URL('../../../examples/', import.meta.url);
  return readdirSync(folder)
    .filter((name) => name.endsWith('.json') && !name.startsWith('fit-'))
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
  plane: GeosPlane,
  seed: number,

  procedure: Procedure,
  design: Design,
  laser: Laser,
  i: number,
  random: Random,
): PartPath[] {
  if (procedure !== 'ours') {
    return paddedPaths(
      plane,
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

async function simulate({ pieces, seed, first, step }: Share): Promise<void> {
  const plane = await openGeosPlane();
  await openKernel();
  const designs = loadDesigns();
  for (let i = first; i < pieces; i += step) {
    const design = designs[i % designs.length]!;
    const tones = tonesOf(design.piece);
    const laser = drawLaser(seeded(seed * 1_000_003 + i), tones.length);
    for (const procedure of PROCEDURES) {
      // The same seeds for each procedure: they meet the same day, and differ by what they do.
      const random = seeded(seed * 7_368_787 + i);
      const paths = pathsBy(plane, seed, procedure, design, laser, i, random);
      const later = seeded(seed * 15_485_863 + i);
      const boards = laser.boards.map((board) => nextBoard(board, later));
      const seams = assemble(plane, design.mosaic, paths, (tone) => boards[tones.indexOf(tone)]!, later);
      parentPort!.postMessage({ piece: i, design: design.piece.name, procedure, seams } satisfies Outcome);
    }
  }
}

await simulate(workerData as Share);
