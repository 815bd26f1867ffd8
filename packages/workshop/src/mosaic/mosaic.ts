/**
 * The planar partition of a piece. docs/mosaic.md describes method, laws and tolerances.
 *
 *   areas -> curves -> rings (flattened 0.5 um, 1 nm grid)
 *   noding.ts       edges that meet only at their ends
 *   face-graph.ts   half-edges, faces, islands
 *   visible.ts      which area shows in each face
 *   slivers.ts      connected solids; those too small go to a neighbour
 *   stretches.ts    seams and rims
 */
import { FLATTEN_TOLERANCE, flattenCurve, type Region, regionBounds } from '@inlaywright/geometry';
import { WorkshopError } from '../errors.ts';
import type { Finding } from '../finding.ts';
import { assertComputable } from '../piece/check-piece.ts';
import { PIERCING, type Piece } from '../piece/piece.ts';
import { areaCurves } from '../piece/shape-curves.ts';
import { cycleVertices, simpleRings, traceBoundaries } from './boundaries.ts';
import { buildFaceGraph, type FaceGraph } from './face-graph.ts';
import type { Mosaic, Part } from './model.ts';
import { mosaicFindings } from './mosaic-findings.ts';
import { type AreaRing, NM_PER_MM, nodeRings } from './noding.ts';
import { mergeSlivers } from './slivers.ts';
import { seamsAndRims } from './stretches.ts';
import { type AreaRule, OUTSIDE, PIERCED, visibleAreas } from './visible.ts';

/**
 * Boundaries nearer than this are one boundary, mm: two flattenings of the same true curve lie within one chord error of
 * each other. A tenth is added for the grid.
 */
export const WELD_MM = 1.1 * FLATTEN_TOLERANCE;

export interface MosaicOptions {
  /** Parts of less area go to their neighbour, mm2. Default 0.05: half a kerf's square; no hand can place it. */
  readonly sliverMm2?: number;
  /** Parts that nowhere hold a circle of this diameter go to their neighbour, mm. Default 0.05: the beam burns them away. */
  readonly sliverWidthMm?: number;
  /** Parts narrower than this at their widest place get a warning, mm. Default 1 (common practice, no published source). */
  readonly narrowMm?: number;
}

export const defaultMosaicOptions: Required<MosaicOptions> = {
  sliverMm2: 0.05,
  sliverWidthMm: 0.05,
  narrowMm: 1,
};

/**
 * Outline = the lowest area and those that extend it; what is on top wins; piercings go through everything. Laws: the
 * parts do not overlap, together they are outline minus piercings, each seam is shared by exactly two parts, seams and
 * rims add up to the parts' boundaries.
 * @throws WorkshopError `piece-invalid` for a piece that cannot be computed, `shape-impossible` for one area's numbers,
 * `mosaic-internal` for a fault of the program
 */
export function mosaic(piece: Piece, options: MosaicOptions = {}): Mosaic {
  const limits = { ...defaultMosaicOptions, ...options };
  assertComputable(piece);
  const rings: AreaRing[] = [];
  const rules: AreaRule[] = [];
  const ground = piece.areas.findIndex((area) => area.tone !== PIERCING);
  for (let i = 0; i < piece.areas.length; i++) {
    const area = piece.areas[i]!;
    const { curves, fillRule } = areaCurves(area);
    const piercing = area.tone === PIERCING;
    rules.push({
      evenOdd: fillRule === 'evenodd',
      piercing,
      outline: !piercing && (i === ground || area.extendsOutline === true),
    });
    for (const curve of curves) rings.push({ area: i, points: flattenCurve(curve) });
  }

  const graph = buildFaceGraph(nodeRings(rings, WELD_MM * NM_PER_MM));
  const { label, opens } = visibleAreas(graph, rules);
  const tones = piece.areas.map((area) => piece.tones.findIndex((tone) => tone.id === area.tone));
  const classOf = label.map((area) => (area >= 0 ? tones[area]! : -1));
  const shown = label.slice();
  const absorbed = new Uint8Array(graph.walkCount);
  const clean = mergeSlivers(graph, classOf, label, absorbed, {
    areaMm2: limits.sliverMm2,
    widthMm: limits.sliverWidthMm,
    narrowMm: limits.narrowMm,
  });
  if (clean.solids.length === 0) {
    throw new WorkshopError(
      'piece-invalid',
      `Nothing is left of the piece "${piece.name}": it has no solid part.`,
      {
        hint: 'Give the lowest area a size, and leave something of it beside the piercings.',
      },
    );
  }

  const order = clean.solids.map((solid, index) => {
    const showing = new Set<number>();
    for (const w of solid.walks) if (!absorbed[w]) showing.add(label[w]!);
    const areas = [...showing].sort((a, b) => a - b);
    const bounds = regionBounds(clean.measures[index]!.region);
    return { index, areas, top: Math.round(bounds.maxY * 1000), left: Math.round(bounds.minX * 1000) };
  });
  order.sort((p, q) => p.areas[0]! - q.areas[0]! || q.top - p.top || p.left - q.left || p.index - q.index);
  const numberOf = new Int32Array(clean.solids.length);
  const parts: Part[] = order.map(({ index, areas }, number) => {
    numberOf[index] = number;
    const { region, areaMm2 } = clean.measures[index]!;
    return {
      id: `p${number + 1}`,
      tone: piece.areas[areas[0]!]!.tone,
      region,
      areaMm2,
      level: areas[0]!,
      areas: areas.map((area) => piece.areas[area]!.id),
    };
  });
  const partOf = clean.solidOf.map((solid) => (solid < 0 ? -1 : numberOf[solid]!));
  const cycles = order.map(({ index }, number) => ({
    id: parts[number]!.id,
    cycles: clean.solids[index]!.cycles,
  }));
  const { seams, rims } = seamsAndRims(graph, clean.boundaries, cycles, partOf);
  const findings: readonly Finding[] = mosaicFindings({
    piece,
    parts,
    seams,
    shown,
    opens,
    merged: clean.merged.map((sliver) => ({ ...sliver, into: sliver.into < 0 ? -1 : partOf[sliver.into]! })),
    measures: order.map(({ index }) => clean.measures[index]!),
    alone: new Set([...clean.alone].map((solid) => numberOf[solid]!)),
    narrowMm: limits.narrowMm,
  });
  const partVertices = new Uint8Array(graph.edges.x.length);
  for (let cycle = 0; cycle + 1 < clean.boundaries.cycleStart.length; cycle++) {
    for (const v of cycleVertices(graph.edges, clean.boundaries, cycle)) partVertices[v] = 1;
  }
  return {
    outline: regionOf(
      graph,
      label.map((area) => (area === OUTSIDE ? -1 : 0)),
      partVertices,
    ),
    piercings: regionOf(
      graph,
      label.map((area) => (area === PIERCED ? 0 : -1)),
      partVertices,
    ),
    parts,
    seams,
    rims,
    findings,
  };
}

/**
 * The faces with class 0 as a region, with every vertex that the parts have on its boundary: then the areas add up to
 * the last digit, and a rim is a stretch of the outline.
 */
function regionOf(graph: FaceGraph, classOf: Int32Array, partVertices: Uint8Array): Region {
  const traced = traceBoundaries(graph, classOf);
  const degree = traced.degree.map((own, v) => (partVertices[v] ? Math.max(own, 3) : own));
  const rings = [];
  for (let cycle = 0; cycle + 1 < traced.cycleStart.length; cycle++) {
    const vertices = cycleVertices(graph.edges, { ...traced, degree }, cycle);
    rings.push(...simpleRings(graph.edges, vertices, degree));
  }
  return { rings };
}
