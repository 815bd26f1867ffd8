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
  /**
   * @param gridMm 0 computes in floating point: fast, but now and then a union loses a polygon; a grid such as 1e-6 snaps
   * all vertices to it and is reliable
   */
  partition(areas: readonly FlatArea[], gridMm: number): GeosPart[];
  /** Outline minus piercings, made directly: what the parts must cover. */
  cover(areas: readonly FlatArea[], gridMm: number): Float64Array[][];
  /** The union of sets of polygons that may share edges. */
  union(polygons: readonly (readonly Float64Array[])[], gridMm: number): Float64Array[][];
  /** Area of the symmetric difference of two sets of polygons; each polygon is its outer ring and its holes. */
  differenceArea(a: readonly (readonly Float64Array[])[], b: readonly (readonly Float64Array[])[]): number;
  /** Area that two sets of polygons have in common. */
  commonArea(a: readonly (readonly Float64Array[])[], b: readonly (readonly Float64Array[])[]): number;
}

const POLYGON = 3;
const MULTIPOLYGON = 6;

interface Box {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

export async function openGeosPartition(): Promise<GeosPartition> {
  const geos = await initGeos();
  return {
    partition: (areas, gridMm) => partition(new Overlay(geos, gridMm), areas),
    cover: (areas, gridMm) => cover(new Overlay(geos, gridMm), areas),
    union: (polygons, gridMm) => union(new Overlay(geos, gridMm), polygons),
    differenceArea: (a, b) => twoSets(geos, a, b, (p, q) => geos.GEOSSymDifference(p, q)),
    commonArea: (a, b) => twoSets(geos, a, b, (p, q) => geos.GEOSIntersection(p, q)),
  };
}

/** The overlay operations in floating point or on a grid. They leave their operands alone; results are the caller's. */
class Overlay {
  readonly geos: Geos;
  readonly #gridMm: number;

  constructor(geos: Geos, gridMm: number) {
    this.geos = geos;
    this.#gridMm = gridMm;
  }

  intersection(a: Handle, b: Handle): Handle {
    const { geos } = this;
    const grid = this.#gridMm;
    return this.#polygonal(grid > 0 ? geos.GEOSIntersectionPrec(a, b, grid) : geos.GEOSIntersection(a, b));
  }

  difference(a: Handle, b: Handle): Handle {
    const { geos } = this;
    const grid = this.#gridMm;
    return this.#polygonal(grid > 0 ? geos.GEOSDifferencePrec(a, b, grid) : geos.GEOSDifference(a, b));
  }

  exclusive(a: Handle, b: Handle): Handle {
    const { geos } = this;
    const grid = this.#gridMm;
    return this.#polygonal(grid > 0 ? geos.GEOSSymDifferencePrec(a, b, grid) : geos.GEOSSymDifference(a, b));
  }

  united(shapes: readonly Handle[]): Handle {
    const { geos } = this;
    if (shapes.length === 1) return geos.GEOSGeom_clone(shapes[0]!);
    const polygons = shapes.flatMap((shape) =>
      Array.from({ length: geos.GEOSGetNumGeometries(shape) }, (_, i) =>
        geos.GEOSGeom_clone(geos.GEOSGetGeometryN(shape, i)),
      ),
    );
    const all = collection(geos, polygons, MULTIPOLYGON);
    const grid = this.#gridMm;
    const result = this.#polygonal(grid > 0 ? geos.GEOSUnaryUnionPrec(all, grid) : geos.GEOSUnaryUnion(all));
    geos.GEOSGeom_destroy(all);
    return result;
  }

  /** Where shapes only touch, results hold lines and points too, which later operations refuse. */
  #polygonal(result: Handle): Handle {
    const { geos } = this;
    const type = geos.GEOSGeomTypeId(checked(result));
    if (type === POLYGON || type === MULTIPOLYGON) return result;
    const polygons: Handle[] = [];
    for (let i = 0; i < geos.GEOSGetNumGeometries(result); i++) {
      const member = geos.GEOSGetGeometryN(result, i);
      if (geos.GEOSGeomTypeId(member) === POLYGON) polygons.push(geos.GEOSGeom_clone(member));
    }
    geos.GEOSGeom_destroy(result);
    return collection(geos, polygons, MULTIPOLYGON);
  }
}

function partition(overlay: Overlay, areas: readonly FlatArea[]): GeosPart[] {
  const { geos } = overlay;
  const shapes = areas.map((area) => areaShape(overlay, area));
  const boxes = areas.map((area) => boxOf(area.rings));
  const inOutline = outlineAreas(areas);
  const outline = overlay.united(shapes.filter((_, i) => inOutline[i]));
  const byTone = new Map<string, Handle[]>();
  for (let i = 0; i < areas.length; i++) {
    const area = areas[i]!;
    if (area.piercing) continue;
    let visible = inOutline[i] ? geos.GEOSGeom_clone(shapes[i]!) : overlay.intersection(shapes[i]!, outline);
    const above = shapes.filter(
      (_, j) => j !== i && (areas[j]!.piercing || j > i) && overlap(boxes[i]!, boxes[j]!),
    );
    if (above.length > 0) {
      const covering = overlay.united(above);
      const rest = overlay.difference(visible, covering);
      geos.GEOSGeom_destroy(visible);
      geos.GEOSGeom_destroy(covering);
      visible = rest;
    }
    const list = byTone.get(area.tone);
    if (list) list.push(visible);
    else byTone.set(area.tone, [visible]);
  }
  const parts: GeosPart[] = [];
  for (const [tone, list] of byTone) {
    const all = overlay.united(list);
    for (const handle of list) geos.GEOSGeom_destroy(handle);
    for (const rings of polygonsOf(geos, all)) {
      const areaMm2 = rings.reduce((sum, ring, i) => sum + (i === 0 ? 1 : -1) * ringSize(ring), 0);
      parts.push({ tone, rings, areaMm2 });
    }
    geos.GEOSGeom_destroy(all);
  }
  geos.GEOSGeom_destroy(outline);
  for (const shape of shapes) geos.GEOSGeom_destroy(shape);
  return parts;
}

function outlineAreas(areas: readonly FlatArea[]): boolean[] {
  const ground = areas.findIndex((area) => !area.piercing);
  return areas.map((area, i) => !area.piercing && (i === ground || area.extendsOutline));
}

function cover(overlay: Overlay, areas: readonly FlatArea[]): Float64Array[][] {
  const { geos } = overlay;
  const shapes = areas.map((area) => areaShape(overlay, area));
  const inOutline = outlineAreas(areas);
  let rest = overlay.united(shapes.filter((_, i) => inOutline[i]));
  for (let i = 0; i < areas.length; i++) {
    if (!areas[i]!.piercing) continue;
    const next = overlay.difference(rest, shapes[i]!);
    geos.GEOSGeom_destroy(rest);
    rest = next;
  }
  const polygons = polygonsOf(geos, rest);
  for (const handle of [rest, ...shapes]) geos.GEOSGeom_destroy(handle);
  return polygons;
}

function union(overlay: Overlay, polygons: readonly (readonly Float64Array[])[]): Float64Array[][] {
  const { geos } = overlay;
  const shapes = polygons.map((rings) => polygon(geos, rings));
  const all = overlay.united(shapes);
  const result = polygonsOf(geos, all);
  for (const handle of [all, ...shapes]) geos.GEOSGeom_destroy(handle);
  return result;
}

function areaShape(overlay: Overlay, area: FlatArea): Handle {
  const { geos } = overlay;
  const polygons = area.rings.map((ring) => polygon(geos, [ring]));
  if (polygons.length === 1) return polygons[0]!;
  const isHole = area.rings.map((ring) => area.fillRule === 'nonzero' && signedSize(ring) < 0);
  const replaced = (old: Handle, next: Handle): Handle => {
    geos.GEOSGeom_destroy(old);
    return next;
  };
  let filled: Handle;
  if (area.fillRule === 'evenodd') {
    filled = geos.GEOSGeom_clone(polygons[0]!);
    for (const other of polygons.slice(1)) filled = replaced(filled, overlay.exclusive(filled, other));
  } else {
    filled = overlay.united(polygons.filter((_, i) => !isHole[i]));
    for (const hole of polygons.filter((_, i) => isHole[i])) {
      filled = replaced(filled, overlay.difference(filled, hole));
    }
  }
  for (const handle of polygons) geos.GEOSGeom_destroy(handle);
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
    if (geos.GEOSGeomTypeId(part) !== POLYGON || geos.GEOSisEmpty(part)) continue;
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
