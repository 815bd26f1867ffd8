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
  let text = turned ? 'turned\n' : '';
  for (const role of ['inside', 'outside'] as const) {
    for (const contour of contours) {
      if (contour.role === role) text += `${role} ${curveText(contour.curve, arcNumber)}\n`;
    }
  }
  for (const mark of marks) text += `mark ${mark.points.map(pointText).join(' ')}\n`;
  return fnv1a64(text);
}

function curveText(curve: Curve, arcNumber: ArcNumber): string {
  const first = curve.segments[0];
  if (!first) return '';
  if (first.kind === 'arc' && curve.segments.length === 1) {
    return `circle ${pointText(first.centre)} ${nm(first.radius)} ${first.sweep < 0 ? 'cw' : 'ccw'}`;
  }
  let text = pointText(first.from);
  for (const segment of curve.segments) {
    switch (segment.kind) {
      case 'line':
        text += ` L ${pointText(segment.to)}`;
        break;
      case 'arc':
        text +=
          arcNumber === 'bulge'
            ? ` B ${bulgeUnits(segment.sweep)} ${pointText(segment.to)}`
            : ` A ${segment.sweep < 0 ? '-' : ''}${nm(segment.radius)} ${pointText(segment.to)}`;
        break;
      case 'cubic':
        text += ` C ${pointText(segment.c1)} ${pointText(segment.c2)} ${pointText(segment.to)}`;
        break;
    }
  }
  return text;
}

function pointText(p: Point): string {
  return `${nm(p.x)} ${nm(p.y)}`;
}

/** Whole nanometres; -0 prints as 0. */
function nm(mm: number): number {
  return Math.round(mm * 1e6);
}

/** FNV-1a, 64 bits, of an ASCII text, as 16 hexadecimal digits. */
export function fnv1a64(text: string): string {
  let high = 0xcbf29ce4;
  let low = 0x84222325;
  for (let i = 0; i < text.length; i++) {
    low = (low ^ text.charCodeAt(i)) >>> 0;
    // Times 2^40 + 0x1b3, modulo 2^64, in halves that stay exact in a double.
    const product = low * 0x1b3;
    high = (Math.imul(high, 0x1b3) + Math.floor(product / 0x100000000) + (low << 8)) >>> 0;
    low = product >>> 0;
  }
  return high.toString(16).padStart(8, '0') + low.toString(16).padStart(8, '0');
}
