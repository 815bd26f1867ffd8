/**
 * Solids too small to cut: they go to the neighbour they share the longest boundary with, and are reported.
 */
import { type Point, type Region, type Ring, ringArea } from '@inlaywright/geometry';
import { cycleVertices, simpleRings } from './boundaries.ts';
import { type FaceGraph, originOf } from './face-graph.ts';
import { inscribedCircle } from './inscribed-circle.ts';
import { NM_PER_MM } from './noding.ts';
import { findSolids, type Solid, type Solids } from './solids.ts';

/**
 * A solid narrower than this is noise of the drawing, not a part: four times the chord error of flattening. Where it has
 * no neighbour to go to, it is dropped.
 */
export const DUST_WIDTH_MM = 0.002;

/** Greatest error of half a reported width, mm; and of half a width near the sliver limit, where it decides. */
const WIDTH_PRECISION_MM = 0.01;
const SLIVER_PRECISION_MM = 0.0002;

export interface SliverLimits {
  readonly areaMm2: number;
  readonly widthMm: number;
  readonly narrowMm: number;
}

/** One solid as a region, with what decides whether it can be a part. */
export interface SolidMeasure {
  readonly region: Region;
  readonly areaMm2: number;
  /** Diameter of the largest circle in it, mm; only where it is below the narrow limit. */
  readonly widthMm?: number;
  readonly widestAt: Point;
  readonly sliver: boolean;
}

export interface MergedSliver {
  readonly at: Point;
  readonly areaMm2: number;
  readonly widthMm: number;
  /** Index of the area that showed there. */
  readonly area: number;
  /** A walk of the solid it went to, or -1 where it was dropped. */
  readonly into: number;
}

export interface CleanSolids extends Solids {
  readonly measures: readonly SolidMeasure[];
  readonly merged: readonly MergedSliver[];
  /** Slivers without a neighbour, by solid number. */
  readonly alone: ReadonlySet<number>;
}

/**
 * Merges slivers; changes `classOf` and `label` of their walks. Every round leaves fewer solids than it found, because
 * in one round no solid is both given away and added to.
 * @param absorbed per walk, set to 1 where a sliver was given away
 */
export function mergeSlivers(
  graph: FaceGraph,
  classOf: Int32Array,
  label: Int32Array,
  absorbed: Uint8Array,
  limits: SliverLimits,
): CleanSolids {
  const merged: MergedSliver[] = [];
  // Measures of the last round's solids by their first walk: a solid that has as many walks as then is still the same.
  let known = new Map<number, { walks: number; measured: SolidMeasure }>();
  for (;;) {
    const found = findSolids(graph, classOf);
    const measures = found.solids.map((solid) => {
      const before = known.get(solid.walks[0]!);
      return before?.walks === solid.walks.length ? before.measured : measure(graph, found, solid, limits);
    });
    const slivers = measures.flatMap((m, i) => (m.sliver ? [i] : []));
    slivers.sort((a, b) => measures[a]!.areaMm2 - measures[b]!.areaMm2 || a - b);
    const given = new Set<number>();
    const taking = new Set<number>();
    const alone = new Set<number>();
    for (const i of slivers) {
      if (taking.has(i)) continue;
      const solid = found.solids[i]!;
      const { areaMm2, region, widestAt } = measures[i]!;
      const lengths = neighbourLengths(graph, found, solid);
      const target = longest(lengths, given);
      const widthMm = measures[i]!.widthMm ?? 2 * inscribedCircle(region).radius;
      const record = { at: widestAt, areaMm2, widthMm, area: label[solid.walks[0]!]! };
      if (target !== -1) {
        const into = found.solids[target]!.walks[0]!;
        for (const w of solid.walks) {
          classOf[w] = classOf[into]!;
          absorbed[w] = 1;
        }
        given.add(i);
        taking.add(target);
        merged.push({ ...record, into });
      } else if (lengths.size === 0) {
        if (widthMm < DUST_WIDTH_MM) {
          // Whatever surrounds it, the outside or a piercing, takes its place.
          const half = found.boundaries.cycleHalf[found.boundaries.cycleStart[solid.cycles[0]!]!]!;
          const around = label[graph.walk[half ^ 1]!]!;
          for (const w of solid.walks) {
            classOf[w] = -1;
            label[w] = around;
          }
          given.add(i);
          merged.push({ ...record, into: -1 });
        } else {
          alone.add(i);
        }
      }
    }
    if (given.size === 0) {
      // A merging may have straightened the outline of solids that it did not touch.
      const final =
        merged.length === 0 ? measures : measures.map((m, i) => redrawn(graph, found, found.solids[i]!, m));
      return { ...found, measures: final, merged, alone };
    }
    known = new Map(
      found.solids.map(({ walks }, i) => [walks[0]!, { walks: walks.length, measured: measures[i]! }]),
    );
  }
}

function longest(lengths: ReadonlyMap<number, number>, without: ReadonlySet<number>): number {
  let best = -1;
  let most = 0;
  for (const [neighbour, length] of lengths) {
    if (without.has(neighbour)) continue;
    if (length > most) {
      most = length;
      best = neighbour;
    }
  }
  return best;
}

/** Length of the boundary shared with each neighbouring solid, mm. */
function neighbourLengths(graph: FaceGraph, found: Solids, solid: Solid): Map<number, number> {
  const { edges, walk } = graph;
  const { cycleHalf, cycleStart } = found.boundaries;
  const lengths = new Map<number, number>();
  for (const cycle of solid.cycles) {
    for (let i = cycleStart[cycle]!; i < cycleStart[cycle + 1]!; i++) {
      const half = cycleHalf[i]!;
      const neighbour = found.solidOf[walk[half ^ 1]!]!;
      if (neighbour < 0) continue;
      const a = originOf(edges, half);
      const b = originOf(edges, half ^ 1);
      const length = Math.hypot(edges.x[a]! - edges.x[b]!, edges.y[a]! - edges.y[b]!) / NM_PER_MM;
      lengths.set(neighbour, (lengths.get(neighbour) ?? 0) + length);
    }
  }
  return lengths;
}

/** The rings of a solid and its area; it has one outer ring, the one of greatest area, which comes first. */
function drawn(graph: FaceGraph, found: Solids, solid: Solid): { region: Region; areaMm2: number } {
  const rings = solid.cycles.flatMap((cycle) =>
    simpleRings(graph.edges, cycleVertices(graph.edges, found.boundaries, cycle), found.boundaries.degree),
  );
  const areas = rings.map(ringArea);
  let outer = 0;
  for (let i = 1; i < rings.length; i++) if (areas[i]! > areas[outer]!) outer = i;
  if (outer > 0) rings.unshift(...rings.splice(outer, 1));
  const sum = areas.reduce((total, area) => total + area, 0);
  return { region: { rings }, areaMm2: Math.max(0, sum) };
}

function redrawn(graph: FaceGraph, found: Solids, solid: Solid, measured: SolidMeasure): SolidMeasure {
  return { ...measured, ...drawn(graph, found, solid) };
}

function measure(graph: FaceGraph, found: Solids, solid: Solid, limits: SliverLimits): SolidMeasure {
  const { region, areaMm2 } = drawn(graph, found, solid);
  const { rings } = region;
  const widestAt = rings.length > 0 ? { x: rings[0]![0]!, y: rings[0]![1]! } : edgePoint(graph, found, solid);
  if (rings.length === 0) return { region, areaMm2, widestAt, widthMm: 0, sliver: true };

  const enough = Math.max(limits.narrowMm, limits.widthMm) / 2;
  // At depth t the inner parallel line of a region with h holes is at most perimeter + 2 pi (h - 1) t long (Sz.-Nagy,
  // Acta Sci. Math. 20, 1959, from memory); summed over all depths that is the area.
  const length = rings.reduce((sum, ring) => sum + perimeter(ring), 0);
  const surelyWide = areaMm2 > enough * length + Math.PI * enough * enough * Math.max(0, rings.length - 2);
  if (surelyWide) return { region, areaMm2, widestAt, sliver: areaMm2 < limits.areaMm2 };
  let circle = inscribedCircle(region, enough, WIDTH_PRECISION_MM);
  if (circle.radius < limits.widthMm / 2 + WIDTH_PRECISION_MM) {
    circle = inscribedCircle(region, limits.widthMm / 2 + WIDTH_PRECISION_MM, SLIVER_PRECISION_MM);
  }
  if (circle.radius >= enough) {
    return { region, areaMm2, widestAt: circle.centre, sliver: areaMm2 < limits.areaMm2 };
  }
  const widthMm = 2 * circle.radius;
  return {
    region,
    areaMm2,
    widthMm,
    widestAt: circle.centre,
    sliver: areaMm2 < limits.areaMm2 || widthMm < limits.widthMm,
  };
}

function edgePoint(graph: FaceGraph, found: Solids, solid: Solid): Point {
  const { cycleHalf, cycleStart } = found.boundaries;
  const v = originOf(graph.edges, cycleHalf[cycleStart[solid.cycles[0]!]!]!);
  return { x: graph.edges.x[v]! / NM_PER_MM, y: graph.edges.y[v]! / NM_PER_MM };
}

function perimeter(ring: Ring): number {
  let sum = 0;
  let ax = ring[ring.length - 2]!;
  let ay = ring[ring.length - 1]!;
  for (let i = 0; i < ring.length; i += 2) {
    sum += Math.hypot(ring[i]! - ax, ring[i + 1]! - ay);
    ax = ring[i]!;
    ay = ring[i + 1]!;
  }
  return sum;
}
