// GEOS 3.13 (npm geos-wasm 3.1.1, LGPL, tests and benches only): an independent polygon kernel, as the referee.
import initGeos from 'geos-wasm';
import { components, type Region, type Ring } from '../src/index.ts';

type Geos = Awaited<ReturnType<typeof initGeos>>;
/** A geometry in GEOS memory. */
export type Shape = number;

let geos: Geos | undefined;
let owned: Shape[] = [];

export async function openGeos(): Promise<void> {
  // Notices tell why a shape is not valid; errors throw by themselves.
  geos ??= await initGeos({ noticeHandler: () => {} });
}

function opened(): Geos {
  if (!geos) throw new Error('await openGeos() first');
  return geos;
}

/** Runs `use` and frees every shape made in it. */
export function withGeos<T>(use: () => T): T {
  const outer = owned;
  owned = [];
  try {
    return use();
  } finally {
    for (const shape of owned) opened().GEOSGeom_destroy(shape);
    owned = outer;
  }
}

/** GEOS tells of an error by a null result. */
function made(shape: Shape, what: string): Shape {
  if (!shape) throw new Error(`GEOS failed: ${what}`);
  owned.push(shape);
  return shape;
}

function linearRing(ring: Ring): Shape {
  const g = opened();
  const count = ring.length / 2 + 1;
  const pointer = g.Module._malloc(count * 16);
  const heap = new Float64Array(g.Module.HEAPU8.buffer, pointer, count * 2);
  heap.set(ring);
  heap.set(ring.subarray(0, 2), ring.length);
  const sequence = g.GEOSCoordSeq_copyFromBuffer(pointer, count, 0, 0);
  g.Module._free(pointer);
  const shape = g.GEOSGeom_createLinearRing(sequence);
  if (!shape) throw new Error('GEOS failed: linear ring');
  return shape;
}

function pointerArray(shapes: readonly Shape[]): number {
  const g = opened();
  const pointer = g.Module._malloc(Math.max(1, shapes.length) * 4);
  new Uint32Array(g.Module.HEAPU8.buffer, pointer, shapes.length).set(shapes);
  return pointer;
}

/** A polygon from its outer ring and its holes, in any sense of rotation. */
export function polygon([outer, ...holes]: readonly Ring[]): Shape {
  return made(rawPolygon(outer!, holes), 'polygon');
}

function rawPolygon(outer: Ring, holes: readonly Ring[]): Shape {
  const g = opened();
  const shell = linearRing(outer);
  const pointer = pointerArray(holes.map(linearRing));
  const shape = g.GEOSGeom_createPolygon(shell, pointer, holes.length);
  g.Module._free(pointer);
  return shape;
}

const MULTIPOLYGON = 6;

/**
 * A region of ours as a multipolygon. Rings that touch may, by rounding to the grid, cross by a grid step; GEOS
 * wants that mended first.
 */
export function shapeOf(region: Region): Shape {
  const g = opened();
  const polygons = components(region).map(({ rings: [outer, ...holes] }) => rawPolygon(outer!, holes));
  const pointer = pointerArray(polygons);
  const shape = g.GEOSGeom_createCollection(MULTIPOLYGON, pointer, polygons.length);
  g.Module._free(pointer);
  made(shape, 'multipolygon');
  return g.GEOSisValid(shape) === 1 ? shape : made(g.GEOSMakeValid(shape), 'mend');
}

export function join(a: Shape, b: Shape): Shape {
  return made(opened().GEOSUnion(a, b), 'union');
}

export function meet(a: Shape, b: Shape): Shape {
  return made(opened().GEOSIntersection(a, b), 'intersection');
}

export function minus(a: Shape, b: Shape): Shape {
  return made(opened().GEOSDifference(a, b), 'difference');
}

/** On a grid of 1 pm: without one, GEOS gives up on two boundaries that run within rounding of each other. */
export function either(a: Shape, b: Shape): Shape {
  return made(opened().GEOSSymDifferencePrec(a, b, 1e-9), 'symmetric difference');
}

export function joinAll(shapes: readonly Shape[]): Shape {
  return shapes.reduce(join);
}

/**
 * The offset of a shape as GEOS builds it from single edges: every edge thickened by itself, all of them joined,
 * and that added or taken away. GEOS's buffer of the whole shape will not do as a reference, for it first drops
 * vertices from concave runs that lie within a hundredth of the distance (BufferInputLineSimplifier). Chords on
 * arcs stay inside them by up to chordDepth.
 */
export function offsetByEdges(shape: Shape, distance: number, segmentsPerQuarter: number): Shape {
  const g = opened();
  const reach = Math.abs(distance);
  const capsules: Shape[] = [];
  forEachLine(boundaryOf(shape), (xy) => {
    for (let i = 0; i + 3 < xy.length; i += 2) {
      const edge = lineString(xy.subarray(i, i + 4));
      capsules.push(g.GEOSBuffer(edge, reach, segmentsPerQuarter));
      g.GEOSGeom_destroy(edge);
    }
  });
  const pointer = pointerArray(capsules);
  const all = made(g.GEOSGeom_createCollection(MULTIPOLYGON, pointer, capsules.length), 'capsules');
  g.Module._free(pointer);
  const band = made(g.GEOSUnaryUnion(all), 'union of capsules');
  return distance > 0 ? join(shape, band) : minus(shape, band);
}

/** Depth of GEOS's chords inside its arcs; twice what their number implies, as measured. */
export function chordDepth(radius: number, segmentsPerQuarter: number): number {
  return 2 * radius * (1 - Math.cos(Math.PI / 4 / segmentsPerQuarter));
}

function lineString(xy: Float64Array): Shape {
  const g = opened();
  const pointer = g.Module._malloc(xy.length * 8);
  new Float64Array(g.Module.HEAPU8.buffer, pointer, xy.length).set(xy);
  const sequence = g.GEOSCoordSeq_copyFromBuffer(pointer, xy.length / 2, 0, 0);
  g.Module._free(pointer);
  return g.GEOSGeom_createLineString(sequence);
}

function forEachLine(lines: Shape, visit: (xy: Float64Array) => void): void {
  const g = opened();
  for (let k = 0; k < g.GEOSGetNumGeometries(lines); k++) {
    const sequence = g.GEOSGeom_getCoordSeq(g.GEOSGetGeometryN(lines, k));
    const count = g.GEOSGeomGetNumPoints(g.GEOSGetGeometryN(lines, k));
    const pointer = g.Module._malloc(count * 16);
    g.GEOSCoordSeq_copyToBuffer(sequence, pointer, 0, 0);
    const xy = new Float64Array(g.Module.HEAPU8.buffer, pointer, count * 2).slice();
    g.Module._free(pointer);
    visit(xy);
  }
}

function measured(call: (out: number) => number, what: string): number {
  const g = opened();
  const pointer = g.Module._malloc(8);
  const ok = call(pointer);
  const value = new Float64Array(g.Module.HEAPU8.buffer, pointer, 1)[0]!;
  g.Module._free(pointer);
  if (!ok) throw new Error(`GEOS failed: ${what}`);
  return value;
}

export function areaOf(shape: Shape): number {
  return measured((out) => opened().GEOSArea(shape, out), 'area');
}

export function perimeterOf(shape: Shape): number {
  return measured((out) => opened().GEOSLength(shape, out), 'length');
}

/** Hausdorff distance of the boundaries, at vertices and points no farther apart than a tenth of each edge. */
export function boundaryDistance(a: Shape, b: Shape): number {
  return measured(
    (out) => opened().GEOSHausdorffDistanceDensify(boundaryOf(a), boundaryOf(b), 0.1, out),
    'Hausdorff distance',
  );
}

/** Distance of a point from the shape; 0 inside an areal one. */
export function distanceFrom(shape: Shape, x: number, y: number): number {
  const g = opened();
  const point = g.GEOSGeom_createPointFromXY(x, y);
  try {
    return measured((out) => g.GEOSDistance(shape, point, out), 'distance');
  } finally {
    g.GEOSGeom_destroy(point);
  }
}

export function boundaryOf(shape: Shape): Shape {
  return made(opened().GEOSBoundary(shape), 'boundary');
}

export function isValid(shape: Shape): boolean {
  return opened().GEOSisValid(shape) === 1;
}

export function polygonCount(shape: Shape): number {
  return opened().GEOSGetNumGeometries(shape);
}
