/**
 * The same partition done with GEOS 3.13 (npm geos-wasm, LGPL, tests and benches only), as the outside reference for
 * results and speed: every area is trimmed to the outline, what lies above it and overlaps its box is united and taken
 * away in one difference, and what is left is united by tone.
 */
import initGeos from 'geos-wasm';

type Geos = Awaited<ReturnType<typeof initGeos>>;
/** A geometry in GEOS memory. */
type Handle = number;

/** One area, flattened. A ring within another is a hole under `evenodd`; under `nonzero` it is one if it runs clockwise. */
export interface FlatArea {
  readonly tone: string;
  readonly rings: readonly Float64Array[];
  readonly fillRule: 'nonzero' | 'evenodd';
  readonly piercing: boolean;
  readonly extendsOutline: boolean;
}

export interface GeosPart {
  readonly tone: string;
  readonly areaMm2: number;
  /** Outer ring first. */
  readonly rings: readonly Float64Array[];
}

export interface GeosPartition {
  partition(areas: readonly FlatArea[]): GeosPart[];
  /** Area of the symmetric difference of two sets of polygons; each polygon is its outer ring and its holes. */
  differenceArea(a: readonly (readonly Float64Array[])[], b: readonly (readonly Float64Array[])[]): number;
  /** Area that two sets of polygons have in common. */
  commonArea(a: readonly (readonly Float64Array[])[], b: readonly (readonly Float64Array[])[]): number;
}

const MULTIPOLYGON = 6;
const COLLECTION = 7;

interface Box {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

export async function openGeosPartition(): Promise<GeosPartition> {
  const geos = await initGeos();
  return {
    partition: (areas) => partition(geos, areas),
    differenceArea: (a, b) => twoSets(geos, a, b, (p, q) => geos.GEOSSymDifference(p, q)),
    commonArea: (a, b) => twoSets(geos, a, b, (p, q) => geos.GEOSIntersection(p, q)),
  };
}

function partition(geos: Geos, areas: readonly FlatArea[]): GeosPart[] {
  const shapes = areas.map((area) => areaShape(geos, area));
  const boxes = areas.map((area) => boxOf(area.rings));
  const ground = areas.findIndex((area) => !area.piercing);
  const inOutline = areas.map((area, i) => !area.piercing && (i === ground || area.extendsOutline));
  const outline = united(
    geos,
    shapes.filter((_, i) => inOutline[i]),
  );
  const byTone = new Map<string, Handle[]>();
  for (let i = 0; i < areas.length; i++) {
    const area = areas[i]!;
    if (area.piercing) continue;
    let visible = inOutline[i]
      ? geos.GEOSGeom_clone(shapes[i]!)
      : checked(geos.GEOSIntersection(shapes[i]!, outline));
    const above = shapes.filter(
      (_, j) => j !== i && (areas[j]!.piercing || j > i) && overlap(boxes[i]!, boxes[j]!),
    );
    if (above.length > 0) {
      const cover = united(geos, above);
      const rest = checked(geos.GEOSDifference(visible, cover));
      geos.GEOSGeom_destroy(visible);
      geos.GEOSGeom_destroy(cover);
      visible = rest;
    }
    const list = byTone.get(area.tone);
    if (list) list.push(visible);
    else byTone.set(area.tone, [visible]);
  }
  const parts: GeosPart[] = [];
  for (const [tone, list] of byTone) {
    const all = united(geos, list);
    for (const handle of list) geos.GEOSGeom_destroy(handle);
    for (const rings of polygonsOf(geos, all)) {
      parts.push({
        tone,
        rings,
        areaMm2: rings.reduce((sum, ring, i) => sum + (i === 0 ? 1 : -1) * ringSize(ring), 0),
      });
    }
    geos.GEOSGeom_destroy(all);
  }
  geos.GEOSGeom_destroy(outline);
  for (const shape of shapes) geos.GEOSGeom_destroy(shape);
  return parts;
}

function areaShape(geos: Geos, area: FlatArea): Handle {
  const polygons = area.rings.map((ring) => polygon(geos, [ring]));
  if (polygons.length === 1) return polygons[0]!;
  const join = (a: Handle, b: Handle): Handle =>
    checked(area.fillRule === 'evenodd' ? geos.GEOSSymDifference(a, b) : geos.GEOSUnion(a, b));
  const isHole = area.rings.map((ring) => area.fillRule === 'nonzero' && signedSize(ring) < 0);
  let filled = polygons.filter((_, i) => !isHole[i]).reduce(join);
  for (const hole of polygons.filter((_, i) => isHole[i]))
    filled = checked(geos.GEOSDifference(filled, hole));
  return filled;
}

function twoSets(
  geos: Geos,
  a: readonly (readonly Float64Array[])[],
  b: readonly (readonly Float64Array[])[],
  operation: (p: Handle, q: Handle) => Handle,
): number {
  const p = collection(
    geos,
    a.map((rings) => polygon(geos, rings)),
    MULTIPOLYGON,
  );
  const q = collection(
    geos,
    b.map((rings) => polygon(geos, rings)),
    MULTIPOLYGON,
  );
  const result = checked(operation(p, q));
  const out = geos.Module._malloc(8);
  geos.GEOSArea(result, out);
  const area = new Float64Array(geos.Module.HEAPU8.buffer, out, 1)[0]!;
  geos.Module._free(out);
  for (const handle of [p, q, result]) geos.GEOSGeom_destroy(handle);
  return area;
}

function united(geos: Geos, shapes: readonly Handle[]): Handle {
  if (shapes.length === 1) return geos.GEOSGeom_clone(shapes[0]!);
  const all = collection(
    geos,
    shapes.map((shape) => geos.GEOSGeom_clone(shape)),
    COLLECTION,
  );
  const union = checked(geos.GEOSUnaryUnion(all));
  geos.GEOSGeom_destroy(all);
  return union;
}

/** Takes ownership of the shapes. */
function collection(geos: Geos, shapes: readonly Handle[], type: number): Handle {
  const pointer = geos.Module._malloc(Math.max(4, 4 * shapes.length));
  new Uint32Array(geos.Module.HEAPU8.buffer, pointer, shapes.length).set(shapes);
  const made = checked(geos.GEOSGeom_createCollection(type, pointer, shapes.length));
  geos.Module._free(pointer);
  return made;
}

function polygon(geos: Geos, rings: readonly Float64Array[]): Handle {
  const [outer, ...holes] = rings.map((ring) => linearRing(geos, ring));
  const pointer = geos.Module._malloc(Math.max(4, 4 * holes.length));
  new Uint32Array(geos.Module.HEAPU8.buffer, pointer, holes.length).set(holes);
  const made = checked(geos.GEOSGeom_createPolygon(outer!, pointer, holes.length));
  geos.Module._free(pointer);
  return made;
}

function linearRing(geos: Geos, ring: Float64Array): Handle {
  const count = ring.length / 2 + 1;
  const pointer = geos.Module._malloc(16 * count);
  const heap = new Float64Array(geos.Module.HEAPU8.buffer, pointer, 2 * count);
  heap.set(ring);
  heap[ring.length] = ring[0]!;
  heap[ring.length + 1] = ring[1]!;
  const sequence = geos.GEOSCoordSeq_copyFromBuffer(pointer, count, 0, 0);
  geos.Module._free(pointer);
  return checked(geos.GEOSGeom_createLinearRing(sequence));
}

function polygonsOf(geos: Geos, shape: Handle): Float64Array[][] {
  const polygons: Float64Array[][] = [];
  const count = geos.GEOSGetNumGeometries(shape);
  for (let i = 0; i < count; i++) {
    const part = geos.GEOSGetGeometryN(shape, i);
    // Lines and points that a difference leaves where shapes touch are no parts.
    if (geos.GEOSGeomTypeId(part) !== 3 || geos.GEOSisEmpty(part)) continue;
    const rings = [ringPoints(geos, geos.GEOSGetExteriorRing(part))];
    const holes = geos.GEOSGetNumInteriorRings(part);
    for (let h = 0; h < holes; h++) rings.push(ringPoints(geos, geos.GEOSGetInteriorRingN(part, h)));
    polygons.push(rings);
  }
  return polygons;
}

function ringPoints(geos: Geos, ring: Handle): Float64Array {
  const sequence = geos.GEOSGeom_getCoordSeq(ring);
  const count = geos.GEOSGeomGetNumPoints(ring);
  const pointer = geos.Module._malloc(16 * count);
  geos.GEOSCoordSeq_copyToBuffer(sequence, pointer, 0, 0);
  const points = new Float64Array(geos.Module.HEAPU8.buffer, pointer, 2 * count - 2).slice();
  geos.Module._free(pointer);
  return points;
}

function checked(handle: Handle): Handle {
  if (!handle) throw new Error('GEOS returned no result');
  return handle;
}

function signedSize(ring: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < ring.length; i += 2) {
    const j = (i + 2) % ring.length;
    sum += ring[i]! * ring[j + 1]! - ring[j]! * ring[i + 1]!;
  }
  return sum / 2;
}

function ringSize(ring: Float64Array): number {
  return Math.abs(signedSize(ring));
}

function boxOf(rings: readonly Float64Array[]): Box {
  let minX = Number.POSITIVE_INFINITY;
  let minY = Number.POSITIVE_INFINITY;
  let maxX = Number.NEGATIVE_INFINITY;
  let maxY = Number.NEGATIVE_INFINITY;
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      minX = Math.min(minX, ring[i]!);
      maxX = Math.max(maxX, ring[i]!);
      minY = Math.min(minY, ring[i + 1]!);
      maxY = Math.max(maxY, ring[i + 1]!);
    }
  }
  return { minX, minY, maxX, maxY };
}

function overlap(a: Box, b: Box): boolean {
  return a.minX <= b.maxX && b.minX <= a.maxX && a.minY <= b.maxY && b.minY <= a.maxY;
}
