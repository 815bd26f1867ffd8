/**
 * Cost of compensation, against section by section the same by GEOS on whole polygons (close, yield, grow, offset) in
 * one run, and against our own region way; what the written paths need in segments; and the design table, measured by
 * GEOS. A checksum of the paths' areas shows that all did the work.
 */
import { readPiece } from '@inlaywright/formats';
import { flattenCurve, openKernel, regionArea, signedArea } from '@inlaywright/geometry';
import {
  type Area,
  type Compensation,
  compensate,
  type FitByTone,
  type Mosaic,
  mosaic,
  type Piece,
  plainFit,
  type Shape,
} from '@inlaywright/workshop';
import { openReferee, type Referee, type Ring, type SeamGaps, type Solid } from './compensation-geos.ts';
import { leafLitter } from './mosaic.ts';

const KERF_MM = 0.16;
const ALLOWANCE_MM = 0.03;

export interface CompensationCost {
  readonly name: string;
  readonly parts: number;
  /** Vertices of all parts' polygons. */
  readonly vertices: number;
  /** Medians of warm rounds, ms; ours with stretches never fitted before. */
  readonly compensateMs: number;
  /** With stretches already fitted, as when a slider moves the kerf. */
  readonly againMs: number;
  readonly geosMs: number;
  /** GEOS over ours. */
  readonly ratio: number;
  readonly pathSegments: number;
  /** Vertices of the same paths flattened within 0.5 um. */
  readonly pathVertices: number;
  /** Sum of the paths' areas, ours and GEOS's, mm2. */
  readonly areaMm2: number;
  readonly geosAreaMm2: number;
}

export interface DesignRow {
  readonly name: string;
  /** Grow, close; grow, open, close; ease, grow, close; and ours, inserted and both. */
  readonly growOnly: SeamGaps;
  readonly growThenOpen: SeamGaps;
  readonly easeThenGrow: SeamGaps;
  readonly inserted: SeamGaps;
  readonly both: SeamGaps;
}

/** @param demoText the demo piece file, as text */
export async function measureCompensation(
  demoText: string,
): Promise<{ readonly costs: CompensationCost[]; readonly table: DesignRow[] }> {
  await openKernel();
  const referee = await openReferee();
  return {
    costs: [
      cost(referee, 'demo piece', readPiece(demoText), 40),
      cost(referee, '500-path artwork', leafLitter(500, 4), 3),
    ],
    table: designTable(referee),
  };
}

/** For a terminal. */
export function describeCompensation({
  costs,
  table,
}: Awaited<ReturnType<typeof measureCompensation>>): string[] {
  const gap = ({ worstMm, airMm }: SeamGaps): string => `${worstMm.toFixed(4)}..${airMm.toFixed(4)}`;
  return [
    ...costs.map(
      (c) =>
        `compensation, ${c.name} (${c.parts} parts, ${c.vertices} vertices): ${c.compensateMs.toFixed(2)} ms, ` +
        `again ${c.againMs.toFixed(2)} ms, GEOS ${c.geosMs.toFixed(1)} ms, ratio ${c.ratio.toFixed(1)}; ` +
        `${c.pathSegments} path segments for ${c.pathVertices} vertices; ` +
        `areas ${c.areaMm2.toFixed(3)} and ${c.geosAreaMm2.toFixed(3)} mm2`,
    ),
    'gaps for kerf 0.2, allowance 0.03, deepest..most air, mm:',
    ...table.map(
      (row) =>
        `  ${row.name}: grow ${gap(row.growOnly)}, grow then open ${gap(row.growThenOpen)}, ` +
        `ease then grow ${gap(row.easeThenGrow)}, ours ${gap(row.inserted)}, ours shared ${gap(row.both)}`,
    ),
  ];
}

function cost(referee: Referee, name: string, piece: Piece, rounds: number): CompensationCost {
  const fit = plainFit(KERF_MM, ALLOWANCE_MM);
  const parts = mosaic(piece);
  const ours: number[] = [];
  const again: number[] = [];
  const theirs: number[] = [];
  let result = run(parts, fit);
  let geosAreaMm2 = 0;
  for (let round = 0; round < rounds; round++) {
    const fresh = unfitted(parts);
    let start = performance.now();
    result = run(fresh, fit);
    ours.push(performance.now() - start);
    start = performance.now();
    run(fresh, fit);
    again.push(performance.now() - start);
    if (round >= 5) continue;
    start = performance.now();
    geosAreaMm2 = byGeos(referee, parts);
    theirs.push(performance.now() - start);
  }
  const curves = result.cuts.flatMap(({ contours }) => contours.map(({ curve }) => curve));
  const compensateMs = median(ours);
  const geosMs = median(theirs);
  return {
    name,
    parts: parts.parts.length,
    vertices: parts.parts.reduce(
      (sum, { region }) => sum + region.rings.reduce((n, ring) => n + ring.length / 2, 0),
      0,
    ),
    compensateMs,
    againMs: median(again),
    geosMs,
    ratio: geosMs / compensateMs,
    pathSegments: curves.reduce((sum, { segments }) => sum + segments.length, 0),
    pathVertices: curves.reduce((sum, curve) => sum + flattenCurve(curve).length / 2, 0),
    areaMm2: curves.reduce((sum, curve) => sum + signedArea(curve), 0),
    geosAreaMm2,
  };
}

function run(parts: Mosaic, fit: FitByTone): Compensation {
  return compensate(parts, fit, { share: 'inserted', turn: 'auto' });
}

/** The same mosaic with stretches that no fit has been kept for. */
function unfitted(parts: Mosaic): Mosaic {
  return {
    ...parts,
    seams: parts.seams.map((seam) => ({
      ...seam,
      stretches: seam.stretches.map((stretch) => ({ ...stretch })),
    })),
    rims: parts.rims.map((rim) => ({ ...rim, stretches: rim.stretches.map((stretch) => ({ ...stretch })) })),
  };
}

/** Every part closed, yielding to its neighbours, grown over those below it and offset; the sum of the paths' areas. */
function byGeos(referee: Referee, { parts, seams }: Mosaic): number {
  const r = KERF_MM / 2;
  const index = new Map(parts.map(({ id }, i) => [id, i]));
  const solids: Solid[] = parts.map(({ region }) => {
    const outer = region.rings.reduce((most, ring) => (ring.length > most.length ? ring : most));
    const biggest = region.rings.find((ring) => regionArea({ rings: [ring] }) > 0) ?? outer;
    return referee.solid([biggest, ...region.rings.filter((ring) => ring !== biggest)]);
  });
  const closed = solids.map((solid) => referee.closing(solid, r));
  const eased = [...solids];
  for (const { a, b } of seams) {
    const [p, q] = [index.get(a)!, index.get(b)!];
    eased[p] = referee.difference(eased[p]!, closed[q]!);
    eased[q] = referee.difference(eased[q]!, closed[p]!);
  }
  const wide = eased.map((solid) => referee.buffer(solid, ALLOWANCE_MM));
  const aims = [...eased];
  for (const { a, b } of seams) {
    const [p, q] = [index.get(a)!, index.get(b)!];
    const [inserted, host] = parts[p]!.level > parts[q]!.level ? [p, q] : [q, p];
    aims[inserted] = referee.union(aims[inserted]!, referee.intersection(wide[inserted]!, solids[host]!));
  }
  return aims.reduce((sum, aim) => sum + referee.area(referee.buffer(aim, r)), 0);
}

const origin = { x: 0, y: 0 };
const DESIGN: Readonly<Record<string, Shape>> = {
  'square, 10 mm': { kind: 'rectangle', centre: origin, widthMm: 10, heightMm: 10 },
  'sharp 5-point star, 7/3 mm': {
    kind: 'star',
    centre: origin,
    points: 5,
    outerDiameterMm: 14,
    innerDiameterMm: 6,
  },
  'sharp 12-point star, 7/4.5 mm': {
    kind: 'star',
    centre: origin,
    points: 12,
    outerDiameterMm: 14,
    innerDiameterMm: 9,
  },
};

/** Inlays in a disc of 20 mm, kerf 0.2 mm, allowance 0.03 mm: gaps between what GEOS says the beam frees. */
function designTable(referee: Referee): DesignRow[] {
  const kerf = 0.2;
  const r = kerf / 2;
  const dot: Ring = [-0.001, -0.001, 0.001, -0.001, 0.001, 0.001, -0.001, 0.001];
  const window = referee.buffer(referee.solid([dot]), 8);
  const gaps = (p: Solid, q: Solid): SeamGaps => referee.gaps(p, q, window, 0.02);
  return Object.entries(DESIGN).map(([name, shape]) => {
    const areas: Area[] = [
      {
        id: 'ground',
        name: 'Ground',
        tone: 'ground',
        shape: { kind: 'disc', centre: origin, diameterMm: 20 },
      },
      { id: 'inlay', name: 'Inlay', tone: 'inlay', shape },
    ];
    const tones = ['ground', 'inlay'].map((id) => ({ id, name: id, colour: '#808080' }));
    const parts = mosaic({ name, tones, areas });
    const ours = (share: 'inserted' | 'both'): SeamGaps => {
      const { cuts } = compensate(parts, plainFit(kerf, ALLOWANCE_MM), { share, turn: 'none' });
      const [q, p] = cuts.map(({ contours }) => {
        const rings = [...contours].sort((a, b) => (a.role === b.role ? 0 : a.role === 'outside' ? -1 : 1));
        return referee.freed([rings.map(({ curve }) => flattenCurve(curve, 5e-5))], r, r);
      });
      return gaps(p!, q!);
    };
    const [ground, inlay] = parts.parts.map(({ region }) =>
      referee.solid(
        [...region.rings].sort((a, b) => regionArea({ rings: [b] }) - regionArea({ rings: [a] })),
      ),
    ) as [Solid, Solid];
    const pocket = referee.closing(ground, r);
    const grown = referee.buffer(inlay, ALLOWANCE_MM);
    const eased = referee.difference(inlay, pocket);
    const yielding = referee.difference(ground, referee.closing(inlay, r));
    const easedGrown = referee.union(
      eased,
      referee.intersection(referee.buffer(eased, ALLOWANCE_MM), ground),
    );
    return {
      name,
      growOnly: gaps(referee.closing(grown, r), pocket),
      growThenOpen: gaps(referee.closing(referee.opening(grown, r), r), pocket),
      easeThenGrow: gaps(referee.closing(easedGrown, r), referee.closing(yielding, r)),
      inserted: ours('inserted'),
      both: ours('both'),
    };
  });
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1]!;
}
