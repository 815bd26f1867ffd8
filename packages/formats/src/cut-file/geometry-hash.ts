import type { Curve, Point } from '@inlaywright/geometry';
import { bulgeUnits } from './bulge.ts';

/**
 * A short fingerprint of what is cut and marked of one part, so that a file changed after it was written shows.
 * It guards against mishaps, not against forgery.
 *
 * Method: FNV-1a, 64 bits (G. Fowler, L. C. Noll, K.-P. Vo; offset basis cbf29ce484222325, prime 100000001b3) over
 * an ASCII text of the geometry in whole nanometres.
 */

/** How an arc is written beside its end: its radius (SVG) or its bulge, the tangent of a quarter of its sweep (DXF). */
export type ArcNumber = 'radius' | 'bulge';

export interface HashedContour {
  readonly role: 'inside' | 'outside';
  readonly curve: Curve;
}

/** 16 hexadecimal digits for the contours (inside ones first, each group in its own order), marks and turn of a part. */
export function geometryHash(
  turned: boolean,
  contours: readonly HashedContour[],
  marks: readonly { readonly points: readonly Point[] }[],
  arcNumber: ArcNumber,
): string {
  const sink: Sink = { bytes: new Uint8Array(1024), length: 0 };
  if (turned) putText(sink, 'turned\n');
  for (const role of ['inside', 'outside'] as const) {
    for (const contour of contours) {
      if (contour.role !== role) continue;
      putText(sink, `${role} `);
      putCurve(sink, contour.curve, arcNumber);
      putText(sink, '\n');
    }
  }
  for (const mark of marks) {
    putText(sink, 'mark');
    for (const p of mark.points) putPoint(sink, p);
    putText(sink, '\n');
  }
  return fnv1a64(sink.bytes.subarray(0, sink.length));
}

function putCurve(sink: Sink, curve: Curve, arcNumber: ArcNumber): void {
  const first = curve.segments[0];
  if (!first) return;
  if (first.kind === 'arc' && curve.segments.length === 1) {
    putText(sink, 'circle');
    putPoint(sink, first.centre);
    putNm(sink, first.radius);
    putText(sink, first.sweep < 0 ? ' cw' : ' ccw');
    return;
  }
  putNumber(sink, Math.round(first.from.x * NM_PER_MM));
  putNm(sink, first.from.y);
  for (const segment of curve.segments) {
    switch (segment.kind) {
      case 'line':
        putText(sink, ' L');
        break;
      case 'arc':
        if (arcNumber === 'bulge') {
          putText(sink, ' B ');
          putNumber(sink, bulgeUnits(segment.sweep));
        } else {
          // The sign stands before the number, also before a radius that rounds to nothing.
          putText(sink, segment.sweep < 0 ? ' A -' : ' A ');
          putNumber(sink, Math.round(segment.radius * NM_PER_MM));
        }
        break;
      case 'cubic':
        putText(sink, ' C');
        putPoint(sink, segment.c1);
        putPoint(sink, segment.c2);
        break;
    }
    putPoint(sink, segment.to);
  }
}

/** The text is made as bytes: as a string it would be thousands of short-lived pieces. */
interface Sink {
  bytes: Uint8Array;
  length: number;
}

const NM_PER_MM = 1e6;

function putPoint(sink: Sink, p: Point): void {
  putNm(sink, p.x);
  putNm(sink, p.y);
}

/** A space and a length in whole nanometres. */
function putNm(sink: Sink, mm: number): void {
  putText(sink, ' ');
  putNumber(sink, Math.round(mm * NM_PER_MM));
}

function putText(sink: Sink, text: string): void {
  makeRoom(sink, text.length);
  for (let i = 0; i < text.length; i++) sink.bytes[sink.length++] = text.charCodeAt(i);
}

/** A whole number in decimals; -0 as 0. What is not a number that can be written out stays a word. */
function putNumber(sink: Sink, value: number): void {
  if (!(Math.abs(value) < 1e15)) {
    putText(sink, String(value));
    return;
  }
  makeRoom(sink, 17);
  const { bytes } = sink;
  let rest = value;
  if (value < 0) {
    bytes[sink.length++] = 45;
    rest = -value;
  }
  let digits = 1;
  for (let limit = 10; limit <= rest; limit *= 10) digits++;
  let at = sink.length + digits;
  sink.length = at;
  // Whole thousands first where the number is too large for integer division.
  for (; rest >= 0x40000000; rest = Math.floor(rest / 1000)) {
    let low = rest % 1000;
    for (let k = 0; k < 3; k++) {
      bytes[--at] = 48 + (low % 10);
      low = (low / 10) | 0;
    }
  }
  let small = rest | 0;
  do {
    bytes[--at] = 48 + (small % 10);
    small = (small / 10) | 0;
  } while (small > 0);
}

function makeRoom(sink: Sink, more: number): void {
  if (sink.length + more <= sink.bytes.length) return;
  const wider = new Uint8Array(2 * sink.bytes.length + more);
  wider.set(sink.bytes);
  sink.bytes = wider;
}

/** FNV-1a, 64 bits, of an ASCII text or its bytes, as 16 hexadecimal digits. */
export function fnv1a64(text: string | Uint8Array): string {
  const bytes = typeof text === 'string' ? Uint8Array.from(text, (c) => c.charCodeAt(0)) : text;
  let high = 0xcbf29ce4;
  let low = 0x84222325;
  for (let i = 0; i < bytes.length; i++) {
    low = (low ^ bytes[i]!) >>> 0;
    // Times 2^40 + 0x1b3, modulo 2^64, in halves of which the lower one is multiplied in two parts that fit 32 bits.
    const carry = ((low >>> 16) * 0x1b3 + (((low & 0xffff) * 0x1b3) >>> 16)) >>> 16;
    high = (Math.imul(high, 0x1b3) + carry + (low << 8)) >>> 0;
    low = Math.imul(low, 0x1b3) >>> 0;
  }
  return high.toString(16).padStart(8, '0') + low.toString(16).padStart(8, '0');
}
