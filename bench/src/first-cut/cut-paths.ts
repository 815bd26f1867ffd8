import type { Piece } from '@inlaywright/workshop';
import { SVGPathData } from 'svg-pathdata';
import type { GeosPlane, Polygon } from '../geos-plane.ts';
import type { Offsets } from './maker.ts';

/** A part's beam paths in the frame of the piece, as polygons with holes. */
export interface PartPath {
  readonly part: string;
  readonly tone: string;
  readonly turned: boolean;
  readonly path: readonly Polygon[];
}

/** Chords of written arcs stay this close to them, mm. */
const CHORD = 0.0002;

interface RecordPart {
  readonly part: string;
  readonly tone: string;
  readonly placement: { mirrored: boolean; angleDeg: number; dxMm: number; dyMm: number };
}

/**
 * The paths of a written cut file, read here by plain means: elements by pattern, path data by svg-pathdata, arcs from
 * their end points, the placement undone.
 */
export function pathsOfFile(svg: string): PartPath[] {
  const height = Number(/viewBox="0 0 [\d.]+ ([\d.]+)"/.exec(svg)![1]);
  const record = JSON.parse(/<metadata id="cut-record">([\s\S]*?)<\/metadata>/.exec(svg)![1]!) as {
    parts: RecordPart[];
  };
  const rings = new Map<string, { turned: boolean; outside: Float64Array[]; inside: Float64Array[] }>();
  for (const role of ['inside', 'outside'] as const) {
    const group = new RegExp(`<g id="cut-${role}"[\\s\\S]*?</g>`).exec(svg)?.[0] ?? '';
    for (const [element] of group.matchAll(/<(?:path|circle)\b[^>]*>/g)) {
      const id = /data-part="([^"]*)"/.exec(element)![1]!;
      const entry = rings.get(id) ?? {
        turned: element.includes('data-turned="true"'),
        outside: [],
        inside: [],
      };
      const placement = record.parts.find((part) => part.part === id)!.placement;
      entry[role].push(
        unplaced(element.startsWith('<circle') ? circle(element) : outline(element), placement, height),
      );
      rings.set(id, entry);
    }
  }
  return [...rings].map(([part, { turned, outside, inside }]) => ({
    part,
    turned,
    tone: record.parts.find((candidate) => candidate.part === part)!.tone,
    path: [[outside[0]!, ...inside]],
  }));
}

function unplaced(
  ring: number[],
  { mirrored, angleDeg, dxMm, dyMm }: RecordPart['placement'],
  height: number,
): Float64Array {
  const [cos, sin] = [Math.cos((angleDeg * Math.PI) / 180), Math.sin((angleDeg * Math.PI) / 180)];
  const out = new Float64Array(ring.length);
  for (let i = 0; i < ring.length; i += 2) {
    const [x, y] = [ring[i]! - dxMm, height - ring[i + 1]! - dyMm];
    out[i] = (mirrored ? -1 : 1) * (cos * x + sin * y);
    out[i + 1] = -sin * x + cos * y;
  }
  return out;
}

function circle(element: string): number[] {
  const number = (name: string): number => Number(new RegExp(` ${name}="([^"]*)"`).exec(element)![1]);
  const [cx, cy, r] = [number('cx'), number('cy'), number('r')];
  const n = Math.ceil(Math.PI / Math.acos(1 - CHORD / r));
  return Array.from({ length: n }, (_, i) => (2 * Math.PI * i) / n).flatMap((a) => [
    cx + r * Math.cos(a),
    cy + r * Math.sin(a),
  ]);
}

function outline(element: string): number[] {
  const ring: number[] = [];
  let [x, y] = [0, 0];
  for (const command of new SVGPathData(/ d="([^"]*)"/.exec(element)![1]!).toAbs().commands) {
    if (command.type === SVGPathData.CLOSE_PATH) continue;
    const to =
      command.type === SVGPathData.HORIZ_LINE_TO
        ? { x: command.x, y }
        : command.type === SVGPathData.VERT_LINE_TO
          ? { x, y: command.y }
          : (command as { x: number; y: number });
    if (command.type === SVGPathData.ARC)
      ring.push(...arcPoints(x, y, to.x, to.y, command.rX, command.lArcFlag, command.sweepFlag));
    ring.push(to.x, to.y);
    [x, y] = [to.x, to.y];
  }
  // The last point closes onto the first.
  if (Math.hypot(ring[0]! - x, ring[1]! - y) < 1e-9) ring.length -= 2;
  return ring;
}

function arcPoints(
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  r: number,
  large: number,
  sweep: number,
): number[] {
  const [mx, my] = [(x0 + x1) / 2, (y0 + y1) / 2];
  const half = Math.hypot(x1 - x0, y1 - y0) / 2;
  const rise = Math.sqrt(Math.max(0, r * r - half * half));
  const side = large === sweep ? -1 : 1;
  const [cx, cy] = [
    mx + (side * rise * -(y1 - y0)) / (2 * half),
    my + (side * rise * (x1 - x0)) / (2 * half),
  ];
  const a0 = Math.atan2(y0 - cy, x0 - cx);
  let turn = Math.atan2(y1 - cy, x1 - cx) - a0;
  if (sweep === 1 && turn < 0) turn += 2 * Math.PI;
  if (sweep === 0 && turn > 0) turn -= 2 * Math.PI;
  const n = Math.ceil(Math.abs(turn) / (2 * Math.acos(Math.max(-1, 1 - CHORD / r))));
  return Array.from({ length: Math.max(0, n - 1) }, (_, i) => a0 + (turn * (i + 1)) / n).flatMap((a) => [
    cx + r * Math.cos(a),
    cy + r * Math.sin(a),
  ]);
}

/** A part as drawn, for common practice. */
export interface DrawnPart {
  readonly id: string;
  readonly tone: string;
  readonly level: number;
  readonly polygon: Polygon;
}

/**
 * Common practice: outlines grow by half the kerf, inlays by the allowance on top, openings shrink by half the kerf; no
 * corner is eased.
 */
export function paddedPaths(
  plane: GeosPlane,
  parts: readonly DrawnPart[],
  offsets: Offsets,
  turned: boolean,
): PartPath[] {
  return parts.map(({ id, tone, level, polygon }) => {
    const half = offsets.kerfMm / 2;
    const grow = half + (level > 0 ? offsets.allowanceMm : 0);
    const outer = plane.buffer([[polygon[0]!]], Math.abs(grow), Math.abs(grow), grow >= 0 ? 1 : -1);
    const holes = polygon.slice(1).flatMap((hole) => plane.buffer([[hole]], half, half, -1));
    return { part: id, tone, turned: turned && level > 0, path: plane.difference(outer, holes) };
  });
}

/** The drawing order of tones, which numbers the boards. */
export function tonesOf(piece: Piece): string[] {
  return piece.tones.map((tone) => tone.id);
}
