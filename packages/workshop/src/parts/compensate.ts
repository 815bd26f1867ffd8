import { flattenCurve, type Region } from '@inlaywright/geometry';
import type { Finding } from '../finding.ts';
import { checkFit } from '../fit/check-fit.ts';
import type { FitByTone } from '../fit/fit-record.ts';
import type { Mosaic } from '../mosaic/model.ts';
import { beamRing, contoursOf, isPlausible } from './beam-path.ts';
import type { PathSegment } from './beam-path-segments.ts';
import { aimRing, rimPieces } from './compensate-aim.ts';
import {
  type ChainGraph,
  chainGraph,
  type Leg,
  legsByPart,
  loopsOf,
  OUTSIDE,
  pinchedParts,
  walked,
} from './compensate-chains.ts';
import { drawnRings, isAimPlausible } from './compensate-check.ts';
import {
  allowanceFindings,
  brokenFindings,
  easedCorners,
  easingFindings,
  slotFindings,
  vanishedFinding,
} from './compensate-findings.ts';
import { type Beam, type Plan, planOf } from './compensate-plan.ts';
import {
  beamCurves,
  type Contact,
  contactsOf,
  depthOf,
  easeRegions,
  grownSolid,
  type RegionFill,
} from './compensate-regions.ts';
import { type Eased, type EasingResult, easeGraph } from './easing.ts';
import { type Narrow, narrowPlaces } from './easing-narrow.ts';
import type { Compensation, CompensationOptions, PartCut } from './model.ts';
import { turning } from './turn.ts';

/**
 * From parts to beam paths. docs/compensation.md gives the formulas, their derivation and the measured results.
 *
 *   compensate-plan     beam by part, growth and least bend by seam
 *   compensate-chains   seams and rims as shared chains of lines and arcs
 *   easing              corners no beam can follow are rounded, once for both parts
 *   easing-narrow       slots that close, webs that are pressed through
 *   compensate-aim      every part's boundary, grown over its seams
 *   beam-path           outward by the beam's radius
 *   compensate-regions  the same by whole polygons, where chains cannot tell
 */

/** Beams rounder than this ratio of half axes roll as the disk that holds them; others go the way of regions. */
const ROUND_BEAM = 1.1;
/**
 * Beam paths for every part of the mosaic, in the frame of the piece. Parts lie on the sheet as drawn or mirrored, not
 * turned by an angle: the two kerfs of a fit record belong to the axes of the drawing.
 * @throws WorkshopError bad-kerf, bad-allowance
 */
export function compensate(mosaic: Mosaic, fit: FitByTone, options: CompensationOptions): Compensation {
  checkFit(fit);
  const { turned, findings: leaning } = turning(mosaic, fit, options.turn);
  const plan = planOf(mosaic, fit, options.share, turned);
  const graph = chainGraph(mosaic, plan);
  const narrow = narrowPlaces(graph, plan);
  const isWholly = plan.beams.every(isRound);
  const shaped = isWholly ? byChains(mosaic, plan, graph, narrow) : byRegions(mosaic, plan);
  const outsides = shaped.parts.map(outsidesOf);
  return {
    cuts: mosaic.parts.map(({ id, tone }, p) => ({
      part: id,
      tone,
      turned: turned[p]!,
      // A part that came to nothing is put up for decision; cut as drawn, it is seen and can be written.
      ...(outsides[p] === 0 ? refitted(mosaic.parts[p]!.region, plan.beams[p]!) : shaped.parts[p]!),
    })),
    eased: easedCorners(mosaic, shaped.eased),
    findings: [
      ...slotFindings(mosaic, graph, narrow),
      ...shaped.findings,
      ...easingFindings(mosaic, shaped.eased),
      ...allowanceFindings(mosaic, plan, narrow),
      ...brokenFindings(mosaic, outsides),
      ...leaning,
    ],
  };
}

type Shape = Pick<PartCut, 'contours' | 'aim'>;

interface Shaped {
  readonly parts: readonly Shape[];
  readonly eased: readonly Eased[];
  readonly findings: readonly Finding[];
}

function outsidesOf({ contours }: Shape): number {
  return contours.filter(({ role }) => role === 'outside').length;
}

function isRound({ rx, ry }: Beam): boolean {
  return Math.max(rx, ry) <= ROUND_BEAM * Math.min(rx, ry);
}

function byChains(mosaic: Mosaic, plan: Plan, graph: ChainGraph, narrow: readonly Narrow[]): Shaped {
  const drawn = graph.chains.map(({ segments }) => segments);
  const easing = easeGraph(graph, plan);
  const legs = legsByPart(graph, mosaic.parts.length);
  const loops = mosaic.parts.map((_, p) => loopsOf(graph, p, legs[p]!));
  const eased = [...easing.eased];
  // A ball at a slot's mouth has closed the whole slot; what is narrow still, lies between different chains.
  const left = narrow.some(({ kind }) => kind === 'slot') ? narrowPlaces(graph, plan) : narrow;
  const settled = settle(mosaic, plan, graph, loops, left, easing, eased);
  const rims = rimPieces(graph);
  const parts = mosaic.parts.map((_, p): Shape => {
    const region = settled.shapes.get(p);
    if (region) return region;
    const rings = loops[p]!.map((loop) => aimRing(graph, plan, rims, loop));
    if (rings.some((ring) => ring === null)) return settled.shapeOf(p);
    const solid = rings as PathSegment[][];
    const beam = plan.beams[p]!;
    if (!isAimPlausible(graph, plan, p, drawnRings(drawn, loops[p]!), solid, easing.eased))
      return settled.shapeOf(p);
    const paths = solid.map((ring) => beamRing(ring, beam));
    if (paths.some((path, i) => path === null || !isPlausible(solid[i]!, path, beam)))
      return settled.shapeOf(p);
    const shape = { contours: contoursOf(paths as PathSegment[][]), aim: regionOf(solid) };
    return outsidesOf(shape) === 1 ? shape : settled.shapeOf(p);
  });
  return { parts, eased, findings: settled.findings };
}

/** The same by whole polygons. */
export function byRegions(mosaic: Mosaic, plan: Plan): Shaped {
  const contacts = contactsOf(mosaic, plan);
  const solids = mosaic.parts.map(({ region }) => region);
  const fills = easeRegions(solids, [...solids.keys()], contacts, plan);
  const eased = fills.map((fill) => easedBy(fill, solids));
  const parts = mosaic.parts.map((_, p) => shapeByRegions(mosaic, plan, solids, contacts, p));
  return { parts, eased, findings: vanished(mosaic, solids, fills) };
}

interface Settled {
  readonly shapes: ReadonlyMap<number, Shape>;
  readonly findings: readonly Finding[];
  /** Any part's shape by the way of regions. */
  readonly shapeOf: (part: number) => Shape;
}

/**
 * Parts with places that chains cannot tell go the way of regions, with the neighbours that change by it: from what
 * easing along chains has left, or, where that made boundaries cross, from what was drawn.
 */
function settle(
  mosaic: Mosaic,
  plan: Plan,
  graph: ChainGraph,
  loops: readonly (readonly Leg[][])[],
  narrow: readonly Narrow[],
  { unsettled, crossed }: EasingResult,
  eased: Eased[],
): Settled {
  const contacts = contactsOf(mosaic, plan);
  const shapes = new Map<number, Shape>();
  const open = new Set(unsettled.map(({ part }) => part));
  // Where a boundary passes a point twice, its two corners there are one opening or one neck: not for one chain to tell.
  for (const part of pinchedParts(graph)) open.add(part);
  const changed = new Set<number>();
  for (const place of narrow) {
    if (place.kind === 'slot') open.add(place.part);
    else for (const chain of place.chains) for (const part of sidesOf(graph, chain)) changed.add(part);
  }
  const solids: Region[] = [];
  const prepare = (part: number): void => {
    for (const p of withNeighbours([part], contacts)) {
      solids[p] ??= regionOf(
        loops[p]!.map((loop) => loop.flatMap((leg) => walked(graph.chains[leg.chain]!, leg.forward))),
      );
    }
  };
  for (const part of open) prepare(part);
  const fills = easeRegions(solids, [...open], contacts, plan);
  for (const fill of fills) {
    changed.add(fill.neighbour);
    eased.push(easedBy(fill, solids));
  }
  for (const part of open) changed.add(part);
  const findings = vanished(mosaic, solids, fills);
  const shapeOf = (part: number): Shape => {
    prepare(part);
    return shapeByRegions(mosaic, plan, solids, contacts, part);
  };
  for (const part of changed) shapes.set(part, shapeOf(part));
  if (crossed.size > 0) {
    const closers = withNeighbours(crossed, contacts);
    const drawn: Region[] = [];
    for (const p of withNeighbours(closers, contacts)) drawn[p] = mosaic.parts[p]!.region;
    const taken = easeRegions(drawn, [...closers], contacts, plan);
    for (const part of crossed) shapes.set(part, shapeByRegions(mosaic, plan, drawn, contacts, part));
    findings.push(
      ...vanished(mosaic, drawn, taken).filter(({ parts: [id] = [] }) => crossed.has(plan.indexOf.get(id!)!)),
    );
  }
  return { shapes, findings, shapeOf };
}

function withNeighbours(parts: Iterable<number>, contacts: readonly (readonly Contact[])[]): Set<number> {
  const all = new Set(parts);
  for (const part of [...all]) for (const { neighbour } of contacts[part]!) all.add(neighbour);
  return all;
}

function sidesOf(graph: ChainGraph, chain: number): number[] {
  const { left, right } = graph.chains[chain]!;
  return right === OUTSIDE ? [left] : [left, right];
}

function easedBy({ part, neighbour, region }: RegionFill, solids: readonly Region[]): Eased {
  return { part: neighbour, neighbour: part, ...depthOf(region, solids[neighbour]!) };
}

function vanished(mosaic: Mosaic, solids: readonly Region[], fills: readonly RegionFill[]): Finding[] {
  return mosaic.parts.flatMap((_, p) =>
    solids[p]?.rings.length === 0 ? [vanishedFinding(mosaic, p, fills)] : [],
  );
}

/** A part whose pocket closes keeps its drawn shape, so that it is cut and seen; it is reported. */
function shapeByRegions(
  mosaic: Mosaic,
  plan: Plan,
  solids: readonly Region[],
  contacts: readonly (readonly Contact[])[],
  part: number,
): Shape {
  const isGone = solids[part]!.rings.length === 0;
  const aim = isGone ? mosaic.parts[part]!.region : grownSolid(solids, part, contacts[part]!);
  return refitted(aim, plan.beams[part]!);
}

function refitted(aim: Region, beam: Beam): Shape {
  return { contours: contoursOf(beamCurves(aim, beam)), aim };
}

/** Closed runs as polygons on the 1 nm grid. */
function regionOf(rings: readonly (readonly PathSegment[])[]): Region {
  return {
    rings: rings.map((segments) => {
      const ring = flattenCurve({ segments });
      for (let i = 0; i < ring.length; i++) ring[i] = Math.round(ring[i]! * 1e6) / 1e6;
      return ring;
    }),
  };
}
