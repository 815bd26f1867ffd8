import {
  closing,
  components,
  difference,
  intersection,
  offset,
  offsetEllipse,
  type Point,
  type Region,
  regionArea,
  regionBounds,
  union,
} from '@inlaywright/geometry';
import type { Mosaic } from '../mosaic/model.ts';
import { tidied } from './beam-path.ts';
import { boxesMeet, type PathSegment } from './beam-path-segments.ts';
import type { Beam, Plan } from './compensate-plan.ts';
import { fitStretch } from './compensate-stretch.ts';

/**
 * Compensation by whole regions: every part is closed, grown and offset as a polygon. The plain statement of
 * docs/compensation.md, for beams of any ellipse and for places where boundaries merge. Compensation along chains is
 * the fast twin of it, which the tests hold to it.
 */

/** Something one part stays filled with and its neighbour therefore loses. Indices into the mosaic's parts. */
export interface RegionFill {
  readonly part: number;
  readonly neighbour: number;
  readonly region: Region;
}

/** Rounds of closing all parts: a closing can leave a neighbour something to close. */
const ROUNDS = 4;
/** Fills smaller than this, mm2, are rounding: a strip 1 mm long and 0.02 um wide. */
const LEAST_FILL_MM2 = 2e-5;
/** Arc tolerance of the closings, mm. */
const CLOSING_TOLERANCE_MM = 1e-4;

/** Fills are taken this much too wide, mm, so that rounding leaves no skin of a grid step between them and the part. */
const SKIN_MM = 1e-5;

/** How two parts meet, as seen from `part`. */
export interface Contact {
  readonly neighbour: number;
  readonly growth: number;
  /** Counter-growth of the neighbour. */
  readonly met: number;
}

/** By part, whom it meets and what the plan asks there. */
export function contactsOf(mosaic: Mosaic, plan: Plan): Contact[][] {
  const contacts: Contact[][] = mosaic.parts.map(() => []);
  mosaic.seams.forEach((seam, s) => {
    const a = plan.indexOf.get(seam.a)!;
    const b = plan.indexOf.get(seam.b)!;
    const { growA, growB } = plan.seams[s]!;
    contacts[a]!.push({ neighbour: b, growth: growA, met: growB });
    contacts[b]!.push({ neighbour: a, growth: growB, met: growA });
  });
  return contacts;
}

/**
 * Closes the listed parts until nothing changes: what a part's closing takes goes from its neighbour to it.
 * Changes `solids` in place and returns what changed hands.
 */
export function easeRegions(
  solids: Region[],
  parts: readonly number[],
  contacts: readonly (readonly Contact[])[],
  plan: Plan,
): RegionFill[] {
  const fills: RegionFill[] = [];
  let changed = new Set(parts);
  for (let round = 0; round < ROUNDS && changed.size > 0; round++) {
    const due = parts.filter((part) => changed.has(part));
    changed = new Set();
    for (const part of due) {
      for (const [first, ...others] of alike(contacts[part]!)) {
        const closed = closedSolid(solids[part]!, plan.beams[part]!, first!.growth, first!.met);
        const gained = components(difference(closed, solids[part]!))
          .filter((region) => regionArea(region) >= LEAST_FILL_MM2)
          .map((region) => ({ region, box: regionBounds(region) }));
        if (gained.length === 0) continue;
        for (const { neighbour } of [first!, ...others]) {
          const box = regionBounds(solids[neighbour]!);
          const near = gained.filter((gain) => boxesMeet(gain.box, box));
          if (near.length === 0) continue;
          const all = { rings: near.flatMap(({ region }) => region.rings) };
          const taken = components(intersection(all, solids[neighbour]!));
          const regions = taken.filter((region) => regionArea(region) >= LEAST_FILL_MM2);
          if (regions.length === 0) continue;
          for (const region of regions) fills.push({ part, neighbour, region });
          const lost = { rings: regions.flatMap(({ rings }) => rings) };
          const wide = offset(lost, SKIN_MM, { tolerance: SKIN_MM / 10 });
          solids[neighbour] = withoutSpecks(difference(solids[neighbour]!, wide));
          solids[part] = union([solids[part]!, wide]);
          changed.add(part).add(neighbour);
        }
      }
    }
  }
  return fills;
}

/** Contacts that ask for the same closing, together. */
function alike(contacts: readonly Contact[]): Contact[][] {
  const groups: Contact[][] = [];
  for (const contact of contacts) {
    const group = groups.find(([other]) => other!.growth === contact.growth && other!.met === contact.met);
    if (group) group.push(contact);
    else groups.push([contact]);
  }
  return groups;
}

function withoutSpecks(region: Region): Region {
  const kept = components(region).filter((component) => regionArea(component) >= LEAST_FILL_MM2);
  return { rings: kept.flatMap(({ rings }) => rings) };
}

/** What stays of the part's surroundings when the beam cuts it with this growth: closing by beam and growth together. */
function closedSolid(solid: Region, { rx, ry, rolling }: Beam, growth: number, met: number): Region {
  const options = { tolerance: CLOSING_TOLERANCE_MM };
  if (rx === ry || growth < 0) return closing(solid, Math.max(0, rolling + growth, -met), options);
  const grown = offset(offsetEllipse(solid, rx, ry, 1, options), growth, options);
  const closed = offsetEllipse(offset(grown, -growth, options), rx, ry, -1, options);
  return met < 0 ? closing(closed, -met, options) : closed;
}

/** The eased solid with its growth over the neighbours, or without what it draws back from them. */
export function grownSolid(solids: readonly Region[], part: number, contacts: readonly Contact[]): Region {
  const own = solids[part]!;
  let aim = own;
  const reached = new Map<number, Region>();
  for (const { neighbour, growth } of contacts) {
    if (growth === 0) continue;
    if (growth < 0) {
      aim = difference(aim, offset(solids[neighbour]!, -growth));
      continue;
    }
    let wide = reached.get(growth);
    if (!wide) {
      wide = offset(own, growth);
      reached.set(growth, wide);
    }
    aim = union([aim, intersection(wide, solids[neighbour]!)]);
  }
  return aim;
}

/** Beam paths round an aim: outward by the beam, refitted to lines and arcs. */
export function beamCurves(aim: Region, { rx, ry }: Beam): PathSegment[][] {
  const path = rx === ry ? offset(aim, rx) : offsetEllipse(aim, rx, ry, 1);
  return path.rings.map((points) => tidied(fitStretch({ points, closed: true })));
}

/** The point of a fill farthest from what is left of its loser, and how far: the depth taken. */
export function depthOf(fill: Region, left: Region): { at: Point; depthMm: number } {
  const edges = edgesNear(left, fill);
  let at: Point = { x: 0, y: 0 };
  let depth = -1;
  for (const ring of fill.rings) {
    for (let i = 0; i < ring.length; i += 2) {
      let nearest = Number.POSITIVE_INFINITY;
      for (const [ax, ay, bx, by] of edges)
        nearest = Math.min(nearest, toEdge(ring[i]!, ring[i + 1]!, ax, ay, bx, by));
      if (nearest > depth && nearest < Number.POSITIVE_INFINITY) {
        depth = nearest;
        at = { x: ring[i]!, y: ring[i + 1]! };
      }
    }
  }
  if (depth >= 0) return { at, depthMm: depth };
  // Nothing is left near it: all of it went, to half its width.
  const box = regionBounds(fill);
  const width = Math.min(box.maxX - box.minX, box.maxY - box.minY);
  return { at: { x: (box.minX + box.maxX) / 2, y: (box.minY + box.maxY) / 2 }, depthMm: width / 2 };
}

type Edge = readonly [number, number, number, number];

function edgesNear(region: Region, fill: Region): Edge[] {
  const box = regionBounds(fill);
  const reach = Math.max(box.maxX - box.minX, box.maxY - box.minY);
  const edges: Edge[] = [];
  for (const ring of region.rings) {
    const n = ring.length;
    for (let i = 0; i < n; i += 2) {
      const j = (i + 2) % n;
      const edge: Edge = [ring[i]!, ring[i + 1]!, ring[j]!, ring[j + 1]!];
      const [ax, ay, bx, by] = edge;
      const beside = Math.max(ax, bx) < box.minX - reach || Math.min(ax, bx) > box.maxX + reach;
      const above = Math.max(ay, by) < box.minY - reach || Math.min(ay, by) > box.maxY + reach;
      if (!beside && !above) edges.push(edge);
    }
  }
  return edges;
}

function toEdge(x: number, y: number, ax: number, ay: number, bx: number, by: number): number {
  const dx = bx - ax;
  const dy = by - ay;
  const square = dx * dx + dy * dy;
  const t = square > 0 ? Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / square)) : 0;
  return Math.hypot(x - ax - t * dx, y - ay - t * dy);
}
