import initGeos from 'geos-wasm';

/**
 * Just enough of GEOS (npm geos-wasm, LGPL, benches and tests only) for an outside plane geometry: polygons with
 * holes as lists of rings, grown or shrunk by a disk or an oval. Rings are x, y, x, y, ... without the first point again.
 */
export type Polygon = readonly Float64Array[];

export interface GeosPlane {
  /** Grows (positive) or shrinks (negative) by an oval of the half axes rx, ry. */
  buffer(polygons: readonly Polygon[], rx: number, ry: number, sign: 1 | -1): Polygon[];
  union(polygons: readonly Polygon[]): Polygon[];
  difference(a: readonly Polygon[], b: readonly Polygon[]): Polygon[];
}

/** Segments of a quarter circle: the chord error of a 0.1 mm radius is 0.03 um. */
const QUARTER = 32;
const POLYGON = 3;
const COLLECTION = 7;

export async function openGeosPlane(): Promise<GeosPlane> {
  const geos = await initGeos();
  type Handle = number;

  const checked = (handle: Handle): Handle => {
    if (!handle) throw new Error('GEOS returned no result');
    return handle;
  };
  const linearRing = (ring: Float64Array): Handle => {
    const count = ring.length / 2 + 1;
    const pointer = geos.Module._malloc(16 * count);
    const heap = new Float64Array(geos.Module.HEAPU8.buffer, pointer, 2 * count);
    heap.set(ring);
    heap[ring.length] = ring[0]!;
    heap[ring.length + 1] = ring[1]!;
    const sequence = geos.GEOSCoordSeq_copyFromBuffer(pointer, count, 0, 0);
    geos.Module._free(pointer);
    return checked(geos.GEOSGeom_createLinearRing(sequence));
  };
  const pointers = (handles: readonly Handle[]): Handle => {
    const pointer = geos.Module._malloc(Math.max(4, 4 * handles.length));
    new Uint32Array(geos.Module.HEAPU8.buffer, pointer, handles.length).set(handles);
    return pointer;
  };
  const polygon = (rings: Polygon): Handle => {
    const [outer, ...holes] = rings.map(linearRing);
    const pointer = pointers(holes);
    const made = checked(geos.GEOSGeom_createPolygon(outer!, pointer, holes.length));
    geos.Module._free(pointer);
    return made;
  };
  const united = (polygons: readonly Polygon[]): Handle => {
    const shapes = polygons.map(polygon);
    const pointer = pointers(shapes);
    const all = checked(geos.GEOSGeom_createCollection(COLLECTION, pointer, shapes.length));
    geos.Module._free(pointer);
    const result = checked(geos.GEOSUnaryUnion(all));
    geos.GEOSGeom_destroy(all);
    return result;
  };
  const ringPoints = (ring: Handle): Float64Array => {
    const count = geos.GEOSGeomGetNumPoints(ring);
    const pointer = geos.Module._malloc(16 * count);
    geos.GEOSCoordSeq_copyToBuffer(geos.GEOSGeom_getCoordSeq(ring), pointer, 0, 0);
    const points = new Float64Array(geos.Module.HEAPU8.buffer, pointer, 2 * count - 2).slice();
    geos.Module._free(pointer);
    return points;
  };
  const taken = (shape: Handle): Polygon[] => {
    const found: Polygon[] = [];
    for (let i = 0; i < geos.GEOSGetNumGeometries(shape); i++) {
      const part = geos.GEOSGetGeometryN(shape, i);
      if (geos.GEOSGeomTypeId(part) !== POLYGON || geos.GEOSisEmpty(part)) continue;
      const rings = [ringPoints(geos.GEOSGetExteriorRing(part))];
      for (let h = 0; h < geos.GEOSGetNumInteriorRings(part); h++) {
        rings.push(ringPoints(geos.GEOSGetInteriorRingN(part, h)));
      }
      found.push(rings);
    }
    geos.GEOSGeom_destroy(shape);
    return found;
  };
  const scaled = (polygons: readonly Polygon[], sx: number, sy: number): Polygon[] =>
    polygons.map((rings) => rings.map((ring) => ring.map((value, i) => value * (i % 2 === 0 ? sx : sy))));

  return {
    buffer(polygons, rx, ry, sign) {
      if (polygons.length === 0) return [];
      if (rx <= 0 || ry <= 0) return [...polygons];
      const round = rx === ry;
      const shape = united(round ? polygons : scaled(polygons, 1 / rx, 1 / ry));
      const result = checked(geos.GEOSBuffer(shape, sign * (round ? rx : 1), QUARTER));
      geos.GEOSGeom_destroy(shape);
      const rings = taken(result);
      return round ? rings : scaled(rings, rx, ry);
    },
    union(polygons) {
      return polygons.length === 0 ? [] : taken(united(polygons));
    },
    difference(a, b) {
      if (a.length === 0 || b.length === 0) return [...a];
      const [p, q] = [united(a), united(b)];
      const result = checked(geos.GEOSDifference(p, q));
      geos.GEOSGeom_destroy(p);
      geos.GEOSGeom_destroy(q);
      return taken(result);
    },
  };
}
