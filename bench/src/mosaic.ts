/**
 * Cost of the partition, against the same partition by GEOS from the same flattened rings, in one run: rounds of both
 * alternate, medians are compared. A checksum of the parts' areas shows that both did the work.
 */

import { readPiece } from '@inlaywright/formats';
import { flattenCurve } from '@inlaywright/geometry';
import { type Area, areaCurves, mosaic, PIERCING, type Piece, type Shape } from '@inlaywright/workshop';
import { type FlatArea, type GeosPartition, openGeosPartition } from './mosaic-geos.ts';

export interface MosaicMeasurement {
  readonly name: string;
  readonly areas: number;
  readonly segments: number;
  /** Vertices of the flattened areas. */
  readonly vertices: number;
  readonly parts: number;
  /** Medians of warm rounds, ms: ours with flattening, seams, rims and findings; GEOS from flattened rings, parts only. */
  readonly mosaicMs: number;
  readonly geosMs: number;
  /** GEOS over ours. */
  readonly ratio: number;
  /** Sum of all parts' areas, ours and GEOS's, mm2. */
  readonly areaMm2: number;
  readonly geosAreaMm2: number;
}

/** @param demoText the demo piece file, as text */
export async function measureMosaic(demoText: string): Promise<MosaicMeasurement[]> {
  const geos = await openGeosPartition();
  return [
    measure(geos, 'demo piece', readPiece(demoText), 40),
    measure(geos, '500-path artwork', leafLitter(500, 4), 6),
    measure(geos, '20,000-segment artwork', leafLitter(500, 40), 3),
  ];
}

/** One line a case, for a terminal. */
export function describeMosaic(measurements: readonly MosaicMeasurement[]): string[] {
  return measurements.map(
    (m) =>
      `mosaic, ${m.name} (${m.areas} areas, ${m.segments} segments, ${m.vertices} vertices, ${m.parts} parts): ` +
      `${m.mosaicMs.toFixed(2)} ms, GEOS ${m.geosMs.toFixed(2)} ms, ratio ${m.ratio.toFixed(2)}; ` +
      `areas ${m.areaMm2.toFixed(4)} and ${m.geosAreaMm2.toFixed(4)} mm2`,
  );
}

function measure(geos: GeosPartition, name: string, piece: Piece, rounds: number): MosaicMeasurement {
  const flat = flatAreas(piece);
  const ours: number[] = [];
  const theirs: number[] = [];
  let result = mosaic(piece);
  let other = geos.partition(flat, 0);
  for (let round = 0; round < rounds; round++) {
    const start = performance.now();
    result = mosaic(piece);
    const middle = performance.now();
    other = geos.partition(flat, 0);
    ours.push(middle - start);
    theirs.push(performance.now() - middle);
  }
  const curves = piece.areas.flatMap((area) => areaCurves(area).curves);
  const mosaicMs = median(ours);
  const geosMs = median(theirs);
  return {
    name,
    areas: piece.areas.length,
    segments: curves.reduce((sum, curve) => sum + curve.segments.length, 0),
    vertices: flat.reduce((sum, area) => sum + area.rings.reduce((n, ring) => n + ring.length / 2, 0), 0),
    parts: result.parts.length,
    mosaicMs,
    geosMs,
    ratio: geosMs / mosaicMs,
    areaMm2: result.parts.reduce((sum, part) => sum + part.areaMm2, 0),
    geosAreaMm2: other.reduce((sum, part) => sum + part.areaMm2, 0),
  };
}

function flatAreas(piece: Piece): FlatArea[] {
  return piece.areas.map((area) => {
    const { curves, fillRule } = areaCurves(area);
    return {
      tone: area.tone,
      rings: curves.map((curve) => flattenCurve(curve)),
      fillRule,
      piercing: area.tone === PIERCING,
      extendsOutline: area.extendsOutline === true,
    };
  });
}

/** Leaves with wavy margins strewn over a sheet, overlapping as they fall: the same ones every time. */
export function leafLitter(count: number, segmentsEach: number): Piece {
  const tones = ['ground', 'accent', 'leaf', 'seed'].map((id) => ({ id, name: id, colour: '#808080' }));
  const random = generator(20261125);
  const ground: Shape = { kind: 'rectangle', centre: { x: 0, y: 0 }, widthMm: 220, heightMm: 160 };
  const areas: Area[] = [{ id: 'sheet', name: 'Sheet', tone: 'ground', shape: ground }];
  for (let i = 0; i < count; i++) {
    const x = 210 * (random() - 0.5);
    const y = 150 * (random() - 0.5);
    const turn = 2 * Math.PI * random();
    const size = 3 + 9 * random();
    const shape: Shape = {
      kind: 'path',
      fillRule: 'nonzero',
      curves: [leaf(x, y, turn, size, segmentsEach)],
    };
    areas.push({ id: `leaf-${i}`, name: '', tone: tones[1 + (i % 3)]!.id, shape });
  }
  return { name: `Leaf litter of ${count}`, tones, areas };
}

function leaf(x: number, y: number, turn: number, size: number, segments: number): { segments: CubicList } {
  const at = (u: number): { x: number; y: number } => {
    const t = 2 * Math.PI * u;
    const r = size * (1 + 0.03 * Math.cos((segments / 2) * t));
    const px = r * Math.cos(t);
    const py = 0.4 * r * Math.sin(t) * (1 - 0.4 * Math.cos(t));
    return {
      x: x + px * Math.cos(turn) - py * Math.sin(turn),
      y: y + px * Math.sin(turn) + py * Math.cos(turn),
    };
  };
  const slope = (u: number): { x: number; y: number } => {
    const a = at(u - 1e-5);
    const b = at(u + 1e-5);
    return { x: (b.x - a.x) / 2e-5, y: (b.y - a.y) / 2e-5 };
  };
  const step = 1 / segments;
  const knots = Array.from({ length: segments }, (_, i) => ({ point: at(i * step), slope: slope(i * step) }));
  return {
    segments: knots.map(({ point: from, slope: u }, i) => {
      const { point: to, slope: v } = knots[(i + 1) % segments]!;
      return {
        kind: 'cubic' as const,
        from,
        c1: { x: from.x + (u.x * step) / 3, y: from.y + (u.y * step) / 3 },
        c2: { x: to.x - (v.x * step) / 3, y: to.y - (v.y * step) / 3 },
        to,
      };
    }),
  };
}

type CubicList = {
  readonly kind: 'cubic';
  readonly from: { x: number; y: number };
  readonly c1: { x: number; y: number };
  readonly c2: { x: number; y: number };
  readonly to: { x: number; y: number };
}[];

/** Linear congruential generator of Park and Miller (minimal standard, 1988, from memory), 0..1. */
function generator(seed: number): () => number {
  let state = seed % 2147483647;
  return () => {
    state = (state * 16807) % 2147483647;
    return state / 2147483647;
  };
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1]!;
}
