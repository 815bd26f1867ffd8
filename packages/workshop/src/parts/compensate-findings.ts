import { offset, type Point, regionArea } from '@inlaywright/geometry';
import type { Finding } from '../finding.ts';
import type { Mosaic, Part } from '../mosaic/model.ts';
import { type PathSegment, samePlace } from './beam-path-segments.ts';
import { type ChainGraph, OUTSIDE } from './compensate-chains.ts';
import type { Plan } from './compensate-plan.ts';
import type { RegionFill } from './compensate-regions.ts';
import type { Eased } from './easing.ts';
import type { Narrow } from './easing-narrow.ts';
import type { EasedCorner } from './model.ts';

/** Corners eased by less are within what a written path may be off, mm. */
const LEAST_EASED_MM = 0.001;
/** From this depth on an eased corner is seen on the finished piece, mm (common practice, no published source). */
const VISIBLE_EASED_MM = 0.3;

/** Every eased corner once, by part, neighbour and place. */
export function easedCorners({ parts }: Mosaic, eased: readonly Eased[]): EasedCorner[] {
  return eased
    .filter(({ depthMm }) => depthMm >= LEAST_EASED_MM)
    .map(({ part, neighbour, at, depthMm }) => ({
      part: parts[part]!.id,
      neighbour: parts[neighbour]!.id,
      at,
      depthMm,
    }));
}

/** One finding a part and neighbour, with the deepest corner. */
export function easingFindings({ parts }: Mosaic, eased: readonly Eased[]): Finding[] {
  const groups = new Map<string, Eased[]>();
  for (const corner of eased) {
    if (corner.depthMm < LEAST_EASED_MM) continue;
    const key = `${corner.part} ${corner.neighbour}`;
    const group = groups.get(key);
    if (group) group.push(corner);
    else groups.set(key, [corner]);
  }
  return [...groups.values()].map((group) => {
    const deepest = group.reduce((most, corner) => (corner.depthMm > most.depthMm ? corner : most));
    const part = parts[deepest.part]!.id;
    const neighbour = parts[deepest.neighbour]!.id;
    const corners = group.length === 1 ? 'One corner' : `${group.length} corners`;
    return {
      code: 'corners-eased',
      severity: deepest.depthMm >= VISIBLE_EASED_MM ? 'warning' : 'note',
      message: `${corners} of ${part} ${group.length === 1 ? 'is' : 'are'} rounded where the beam leaves ${neighbour} filled, by up to ${mm(deepest.depthMm)} mm at ${place(deepest.at)}.`,
      hint: 'Nothing to do if that looks right. A blunter or rounded corner in the drawing, or a narrower kerf, keeps more of it.',
      at: deepest.at,
      parts: [part, neighbour],
      figureMm: deepest.depthMm,
    };
  });
}

/** Slots of one part within this distance, mm, are told as one, by their narrowest place. */
const ONE_SLOT_MM = 2;

/** Slots that close, each with the part that fills it. */
export function slotFindings({ parts }: Mosaic, graph: ChainGraph, narrow: readonly Narrow[]): Finding[] {
  const told: Narrow[] = [];
  const findings: Finding[] = [];
  const byWidth = narrow.filter(({ kind }) => kind === 'slot').sort((p, q) => p.widthMm - q.widthMm);
  for (const slot of byWidth) {
    if (told.some((other) => isSameSlot(other, slot))) continue;
    told.push(slot);
    const part = parts[slot.part]!.id;
    const others = [...new Set(slot.chains.map((chain) => acrossFrom(graph, chain, slot.part)))];
    const fillers = others.filter((other) => other !== OUTSIDE).map((other) => parts[other]!.id);
    const name =
      fillers.length > 0
        ? `The slot of ${part} that holds ${fillers.join(' and ')}`
        : `The opening in ${part}`;
    const loss = fillers.length > 0 ? ` and what ${fillers.join(' and ')} has in it is cut away` : '';
    findings.push({
      code: 'slot-closes',
      severity: 'decision',
      message: `${name} is ${mm(slot.widthMm)} mm wide at ${place(slot.at)}; beam and allowance need ${mm(slot.neededMm)} mm. It closes${loss}.`,
      hint: `Make it at least ${mm(slot.neededMm)} mm wide, or leave it out.`,
      at: slot.at,
      parts: [part, ...fillers],
      figureMm: slot.widthMm,
    });
  }
  return findings;
}

function isSameSlot(a: Narrow, b: Narrow): boolean {
  if (a.part !== b.part) return false;
  return (
    distance(a.at, b.at) < ONE_SLOT_MM ||
    a.segments.some((s) => b.segments.some((t) => s === t || isNext(s, t)))
  );
}

/** Whether one segment goes on where the other ends: a long slot has several a side. */
function isNext(s: PathSegment, t: PathSegment): boolean {
  return samePlace(s.to, t.from) || samePlace(t.to, s.from);
}

function acrossFrom(graph: ChainGraph, chain: number, part: number): number {
  const { left, right } = graph.chains[chain]!;
  return left === part ? right : left;
}

/** A part of which nothing would be left. */
export function vanishedFinding({ parts }: Mosaic, part: number, fills: readonly RegionFill[]): Finding {
  const takers = [
    ...new Set(fills.filter((fill) => fill.neighbour === part).map((fill) => parts[fill.part]!.id)),
  ];
  const { id, region } = parts[part]!;
  return {
    code: 'part-vanishes',
    severity: 'decision',
    message: `${id} at ${place(middleOf(region.rings[0]!))} is narrower than the beam everywhere: its pocket in ${takers.join(' and ')} closes. It is cut as drawn, and will not go in.`,
    hint: 'Make it wider than the kerf, or leave it out.',
    at: middleOf(region.rings[0]!),
    parts: [id, ...takers],
  };
}

/** Parts that came out in more than one piece, or in none. */
export function brokenFindings({ parts }: Mosaic, outsides: readonly number[]): Finding[] {
  return parts.flatMap(({ id, region }, p): Finding[] => {
    const pieces = outsides[p]!;
    if (pieces === 1) return [];
    const at = middleOf(region.rings[0]!);
    if (pieces === 0) {
      return [
        {
          code: 'part-vanishes',
          severity: 'decision',
          message: `Nothing is left of ${id} at ${place(at)}: drawn back from its neighbours it is gone. It is cut as drawn, and will not go in.`,
          hint: 'Choose a smaller allowance, make the part larger, or leave it out.',
          at,
          parts: [id],
        },
      ];
    }
    return [
      {
        code: 'part-falls-apart',
        severity: 'decision',
        message: `${id} at ${place(at)} falls into ${pieces} pieces: what joined them is narrower than the beam or the allowance leaves.`,
        hint: 'Widen the neck in the drawing, or accept the pieces.',
        at,
        parts: [id],
      },
    ];
  });
}

/** Allowances that reach through a part: over the whole part, or over a web of it. */
export function allowanceFindings(mosaic: Mosaic, plan: Plan, narrow: readonly Narrow[]): Finding[] {
  const findings: Finding[] = [];
  const told = new Set<number>();
  const tell = (part: Part, widthMm: number, neededMm: number, at: Point): void => {
    findings.push({
      code: 'allowance-too-wide',
      severity: 'decision',
      message: `${part.id} is ${mm(widthMm)} mm wide at ${place(at)}, and the allowances from both sides take ${mm(neededMm)} mm.`,
      hint: 'Choose a smaller allowance, or make the part wider there.',
      at,
      parts: [part.id],
      figureMm: widthMm,
    });
  };
  for (const { kind, part, at, widthMm, neededMm } of narrow) {
    if (kind !== 'web' || told.has(part)) continue;
    told.add(part);
    tell(mosaic.parts[part]!, widthMm, neededMm, at);
  }
  const reach = mosaic.parts.map(() => 0);
  mosaic.seams.forEach((seam, s) => {
    const { growA, growB } = plan.seams[s]!;
    for (const [id, into] of [
      [seam.a, Math.max(growB, -growA)],
      [seam.b, Math.max(growA, -growB)],
    ] as const) {
      const part = plan.indexOf.get(id)!;
      reach[part] = Math.max(reach[part]!, into);
    }
  });
  mosaic.parts.forEach((part, p) => {
    if (told.has(p) || reach[p] === 0 || holdsDisk(part, reach[p]!)) return;
    tell(part, widestOf(part, reach[p]!), 2 * reach[p]!, middleOf(part.region.rings[0]!));
  });
  return findings;
}

function holdsDisk({ region, areaMm2 }: Part, radius: number): boolean {
  // The boundary's length times the inradius is at least the area, so most parts need no offset.
  let length = 0;
  for (const ring of region.rings) {
    const n = ring.length;
    for (let i = 0; i < n; i += 2) {
      length += Math.hypot(ring[(i + 2) % n]! - ring[i]!, ring[(i + 3) % n]! - ring[i + 1]!);
    }
  }
  return areaMm2 > radius * length || regionArea(offset(region, -radius)) > 0;
}

/** Diameter of the largest disk the part holds, known to hold none of radius `less`; halving to 1 um. */
function widestOf({ region }: Part, less: number): number {
  let low = 0;
  let high = less;
  while (high - low > 0.0005) {
    const middle = (low + high) / 2;
    if (regionArea(offset(region, -middle)) > 0) low = middle;
    else high = middle;
  }
  return 2 * high;
}

function middleOf(ring: Float64Array): Point {
  let x = 0;
  let y = 0;
  for (let i = 0; i < ring.length; i += 2) {
    x += ring[i]!;
    y += ring[i + 1]!;
  }
  return { x: (2 * x) / ring.length, y: (2 * y) / ring.length };
}

function distance(p: Point, q: Point): number {
  return Math.hypot(q.x - p.x, q.y - p.y);
}

function place({ x, y }: Point): string {
  return `(${x.toFixed(2)}, ${y.toFixed(2)})`;
}

function mm(value: number): string {
  return value.toFixed(3);
}
