import type { Bounds } from './bounds.ts';
import { type BooleanOperation, kernelBoolean, requireKernel } from './kernel.ts';
import { boxesMeet, type Locality, rectangleAround, ringBoxes, split } from './locality.ts';
import { emptyRegion, type Region, type Ring } from './region.ts';

/**
 * What is in at least one of the regions. One region alone comes back as it is.
 * @throws GeometryError kernel-closed, bad-coordinate, bad-ring
 */
export function union(regions: readonly Region[]): Region {
  requireKernel();
  const filled = regions.filter((region) => region.rings.length > 0);
  if (filled.length === 0) return emptyRegion;
  if (filled.length === 1) return filled[0]!;
  if (filled.length === 2) return combine('union', filled[0]!, filled[1]!);
  const { near, far } = splitByBoxes(filled);
  if (near.length === 0) return { rings: far };
  return { rings: [...kernelBoolean('union', near, [], 'nonzero'), ...far] };
}

/**
 * What is in both.
 * @throws GeometryError kernel-closed, bad-coordinate, bad-ring
 */
export function intersection(a: Region, b: Region): Region {
  return combine('intersection', a, b);
}

/**
 * What is in `a` and not in `b`. Returns `a` itself when `b` is plainly clear of it.
 * @throws GeometryError kernel-closed, bad-coordinate, bad-ring
 */
export function difference(a: Region, b: Region): Region {
  return combine('difference', a, b);
}

/**
 * What is in exactly one of the two.
 * @throws GeometryError kernel-closed, bad-coordinate, bad-ring
 */
export function symmetricDifference(a: Region, b: Region): Region {
  return combine('xor', a, b);
}

function combine(operation: BooleanOperation, a: Region, b: Region): Region {
  requireKernel();
  if (a.rings.length === 0) return operation === 'union' || operation === 'xor' ? b : emptyRegion;
  if (b.rings.length === 0) return operation === 'intersection' ? emptyRegion : a;
  const boxesA = ringBoxes(a);
  const boxesB = ringBoxes(b);
  const partA = split(a, boxesA, boxesB);
  const partB = split(b, boxesB, boxesA);
  const plain = withoutKernel(operation, a, partA, b, partB);
  if (plain) return plain;
  // Only an operand that surrounds the other has `covers`, so at most one rectangle comes in, and it comes out
  // again where the operation keeps that operand's outline.
  const rectangle =
    partA.covers || partB.covers ? rectangleAround([...boxesNear(partA), ...boxesNear(partB)]) : null;
  const subjects = partA.covers && rectangle ? [...partA.near, rectangle] : partA.near;
  const clips = partB.covers && rectangle ? [...partB.near, rectangle] : partB.near;
  const rings = kernelBoolean(operation, subjects, clips, 'nonzero');
  const kept = rectangle ? rings.filter((ring) => !touchesLeft(ring, rectangle[0]!)) : rings;
  if (operation !== 'intersection') kept.push(...partA.far);
  if (operation === 'union' || operation === 'xor') kept.push(...partB.far);
  return { rings: kept };
}

function boxesNear(part: Locality): Bounds[] {
  return ringBoxes({ rings: part.near });
}

function touchesLeft(ring: Ring, x: number): boolean {
  for (let i = 0; i < ring.length; i += 2) if (ring[i] === x) return true;
  return false;
}

/** The answer when no boundary of one operand is near the other operand; else undefined. */
function withoutKernel(
  operation: BooleanOperation,
  a: Region,
  partA: Locality,
  b: Region,
  partB: Locality,
): Region | undefined {
  const clearA = partA.near.length === 0;
  const clearB = partB.near.length === 0;
  switch (operation) {
    case 'intersection':
      if (clearA) return partA.covers ? b : emptyRegion;
      if (clearB) return partB.covers ? a : emptyRegion;
      return undefined;
    case 'difference':
      if (clearA && !partA.covers) return a;
      if (clearB) return partB.covers ? emptyRegion : a;
      return undefined;
    case 'union':
      if (clearA && partA.covers) return a;
      if (clearB && partB.covers) return b;
      break;
    case 'xor':
      break;
  }
  return clearA && clearB && !partA.covers && !partB.covers ? { rings: [...a.rings, ...b.rings] } : undefined;
}

/** Splits the rings of many regions by whether their box meets that of another region's ring. */
function splitByBoxes(regions: readonly Region[]): { near: Ring[]; far: Ring[] } {
  const items = regions.flatMap((region, owner) => {
    const boxes = ringBoxes(region);
    return region.rings.map((ring, r) => ({ ring, owner, box: boxes[r]!, meets: false }));
  });
  items.sort((a, b) => a.box.minX - b.box.minX);
  for (let i = 0; i < items.length; i++) {
    const a = items[i]!;
    for (let j = i + 1; j < items.length; j++) {
      const b = items[j]!;
      if (b.box.minX > a.box.maxX) break;
      if (a.owner !== b.owner && boxesMeet(a.box, b.box)) a.meets = b.meets = true;
    }
  }
  const near: Ring[] = [];
  const far: Ring[] = [];
  for (const { ring, meets } of items) (meets ? near : far).push(ring);
  return { near, far };
}
