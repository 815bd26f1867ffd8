/**
 * The same walls and gaps with GEOS 3.13 (npm geos-wasm, LGPL, tests and benches only), as the outside reference of
 * the dry fit: the wall at a depth is the written path, flattened, buffered inwards by half the kerf; a gap is the
 * distance to its boundary, negative inside.
 */
import initGeos from 'geos-wasm';

type Geos = Awaited<ReturnType<typeof initGeos>>;
/** A geometry in GEOS memory. */
type Handle = number;

export interface GeosWall {
  /** Signed gap from a point to the solid, mm. */
  gap(x: number, y: number): number;
  free(): void;
}

export interface GeosWalls {
  /** @param rings flattened contours, the outer one first @param h half the kerf, mm */
  wall(rings: readonly Float64Array[], h: number, quadrantSegments: number): GeosWall;
}

export async function openGeosWalls(): Promise<GeosWalls> {
  const geos = await initGeos();
  return { wall: (rings, h, quadrantSegments) => wall(geos, rings, h, quadrantSegments) };
}

function wall(geos: Geos, rings: readonly Float64Array[], h: number, quadrantSegments: number): GeosWall {
  const [outer, ...holes] = rings.map((ring) => linearRing(geos, ring));
  const pointer = geos.Module._malloc(Math.max(4, 4 * holes.length));
  new Uint32Array(geos.Module.HEAPU8.buffer, pointer, holes.length).set(holes);
  const path = checked(geos.GEOSGeom_createPolygon(outer!, pointer, holes.length));
  geos.Module._free(pointer);
  const solid = checked(geos.GEOSBuffer(path, -h, quadrantSegments));
  const boundary = checked(geos.GEOSBoundary(solid));
  const preparedSolid = checked(geos.GEOSPrepare(solid));
  const preparedBoundary = checked(geos.GEOSPrepare(boundary));
  const out = geos.Module._malloc(8);
  return {
    gap(x, y) {
      const point = geos.GEOSGeom_createPointFromXY(x, y);
      geos.GEOSPreparedDistance(preparedBoundary, point, out);
      const distance = new Float64Array(geos.Module.HEAPU8.buffer, out, 1)[0]!;
      const inside = geos.GEOSPreparedContainsXY(preparedSolid, x, y);
      geos.GEOSGeom_destroy(point);
      return inside ? -distance : distance;
    },
    free() {
      geos.GEOSPreparedGeom_destroy(preparedSolid);
      geos.GEOSPreparedGeom_destroy(preparedBoundary);
      for (const handle of [path, solid, boundary]) geos.GEOSGeom_destroy(handle);
      geos.Module._free(out);
    },
  };
}

function linearRing(geos: Geos, ring: Float64Array): Handle {
  const count = ring.length / 2 + 1;
  const pointer = geos.Module._malloc(16 * count);
  const heap = new Float64Array(geos.Module.HEAPU8.buffer, pointer, 2 * count);
  heap.set(ring);
  heap.set(ring.subarray(0, 2), ring.length);
  const sequence = geos.GEOSCoordSeq_copyFromBuffer(pointer, count, 0, 0);
  geos.Module._free(pointer);
  return checked(geos.GEOSGeom_createLinearRing(sequence));
}

function checked(handle: Handle): Handle {
  if (!handle) throw new Error('GEOS returned no result');
  return handle;
}
