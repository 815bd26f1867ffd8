// Keeps far rings out of the kernel. Of two operands only what lies near the other one can change, so a ring
// whose edges stay clear of the other operand's box is set aside. Over that box its winding number is constant;
// rings that surround the box are stood in for by one rectangle around everything that is left.

import { type Bounds, emptyBounds, joinBounds } from './bounds.ts';
import { snap } from './grid.ts';
import { checkRing } from './kernel.ts';
import type { Region } from './region.ts';
import { type Ring, ringBounds } from './ring.ts';

/** Clearance, in units, that makes rounding in the tests below harmless. */
const CLEAR = 1e-5;

export interface Locality {
  /** Rings that may meet the other operand. */
  readonly near: Ring[];
  /** The others. */
  readonly far: Ring[];
  /** Whether the far rings' fill covers the other operand's box. */
  readonly covers: boolean;
}

/** Splits the rings of `region` by whether they can meet something whose rings have the boxes `others`. */
export function split(region: Region, boxes: readonly Bounds[], others: readonly Bounds[]): Locality {
  const near: Ring[] = [];
  const far: Ring[] = [];
  const target = joined(others);
  let winding = 0;
  for (let r = 0; r < boxes.length; r++) {
    const ring = region.rings[r]!;
    if (!meetsAny(boxes[r]!, others)) far.push(ring);
    else if (edgesClear(ring, target)) {
      far.push(ring);
      winding += windingAbout(ring, target.minX, target.minY);
    } else near.push(ring);
  }
  return { near, far, covers: winding > 0 };
}

/** The box of each ring. @throws GeometryError bad-coordinate, bad-ring */
export function ringBoxes(region: Region): Bounds[] {
  return region.rings.map((ring, r) => {
    const box = ringBounds(ring);
    // The comparisons that make a box pass over NaN; a sum does not.
    let sum = 0;
    for (let i = 0; i < ring.length; i++) sum += ring[i]!;
    if (!Number.isFinite(sum) || ring.length & 1) checkRing(ring, r);
    return box;
  });
}

/** A rectangle, counterclockwise, with all boxes well inside. */
export function rectangleAround(boxes: readonly Bounds[]): Ring {
  const all = joined(boxes);
  const x0 = snap(all.minX - 1);
  const y0 = snap(all.minY - 1);
  const x1 = snap(all.maxX + 1);
  const y1 = snap(all.maxY + 1);
  return Float64Array.of(x0, y0, x1, y0, x1, y1, x0, y1);
}

export function boxesMeet(a: Bounds, b: Bounds): boolean {
  return a.minX <= b.maxX && b.minX <= a.maxX && a.minY <= b.maxY && b.minY <= a.maxY;
}

function meetsAny(box: Bounds, others: readonly Bounds[]): boolean {
  for (const other of others) if (boxesMeet(box, other)) return true;
  return false;
}

function joined(boxes: readonly Bounds[]): Bounds {
  return boxes.reduce(joinBounds, emptyBounds);
}

/** Whether no edge of the ring comes within CLEAR of the box. May say false of an edge that just passes. */
function edgesClear(ring: Ring, box: Bounds): boolean {
  const minX = box.minX - CLEAR;
  const minY = box.minY - CLEAR;
  const maxX = box.maxX + CLEAR;
  const maxY = box.maxY + CLEAR;
  let ax = ring[ring.length - 2]!;
  let ay = ring[ring.length - 1]!;
  let aside = (ax < minX ? 1 : ax > maxX ? 2 : 0) | (ay < minY ? 4 : ay > maxY ? 8 : 0);
  for (let i = 0; i < ring.length; i += 2) {
    const bx = ring[i]!;
    const by = ring[i + 1]!;
    const bside = (bx < minX ? 1 : bx > maxX ? 2 : 0) | (by < minY ? 4 : by > maxY ? 8 : 0);
    if ((aside & bside) === 0) {
      if (aside === 0 || bside === 0) return false;
      // The edge passes a corner of the box, or through it: see on which side the four corners lie.
      const dx = bx - ax;
      const dy = by - ay;
      const s1 = dx * (minY - ay) - dy * (minX - ax);
      const s2 = dx * (minY - ay) - dy * (maxX - ax);
      const s3 = dx * (maxY - ay) - dy * (minX - ax);
      const s4 = dx * (maxY - ay) - dy * (maxX - ax);
      if (!((s1 > 0 && s2 > 0 && s3 > 0 && s4 > 0) || (s1 < 0 && s2 < 0 && s3 < 0 && s4 < 0))) return false;
    }
    ax = bx;
    ay = by;
    aside = bside;
  }
  return true;
}

/** Times the ring winds round a point that is known to be clear of its edges. */
function windingAbout(ring: Ring, x: number, y: number): number {
  let winding = 0;
  let ax = ring[ring.length - 2]!;
  let ay = ring[ring.length - 1]!;
  for (let i = 0; i < ring.length; i += 2) {
    const bx = ring[i]!;
    const by = ring[i + 1]!;
    if (ay <= y !== by <= y) {
      const left = (bx - ax) * (y - ay) - (x - ax) * (by - ay);
      if (ay <= y) {
        if (left > 0) winding++;
      } else if (left < 0) winding--;
    }
    ax = bx;
    ay = by;
  }
  return winding;
}
