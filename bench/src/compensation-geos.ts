/**
 * Freed solids and the gaps between them with GEOS 3.13 (npm geos-wasm, LGPL, tests and benches only), as the outside
 * referee of compensation: nothing of ours takes part but the flattened curves.
 */
import initGeos from 'geos-wasm';

type Geos = Awaited<ReturnType<typeof initGeos>>;
/** A geometry in GEOS memory. */
export type Solid = number;
/** x, y, x, y, ... without the first point again. */
export type Ring = Float64Array | readonly number[];

export interface SeamGaps {
  /** Deepest interference, negative, and most air over both walls, mm. */
  readonly worstMm: number;
  readonly airMm: number;
  /** Points measured. */
  readonly points: number;
}

export interface Referee {
  /** The solid with that outer ring and those holes. */
  solid(rings: readonly Ring[]): Solid;
  union(a: Solid, b: Solid): Solid;
  difference(a: Solid, b: Solid): Solid;
  intersection(a: Solid, b: Solid): Solid;
  /** Grown (positive) or shrunk (negative) by a disk. */
  buffer(solid: Solid, distance: number): Solid;
  /** What is left of a solid within a path when the beam, an upright ellipse, has gone round it. */
  freed(path: readonly (readonly Ring[])[], rx: number, ry: number): Solid;
  closing(solid: Solid, radius: number): Solid;
  opening(solid: Solid, radius: number): Solid;
  area(solid: Solid): number;
  /** Whether a polygon is one: no ring crosses itself or another, holes lie within (OGC simple features). */
  isValid(solid: Solid): boolean;
  /**
   * Signed gaps along the seam of two solids within `window`: from points of either boundary, no farther apart than
   * `stepMm`, to the other's boundary; negative inside the other.
   */
  gaps(p: Solid, q: Solid, window: Solid, stepMm: number): SeamGaps;
}

const QUADRANT_SEGMENTS = 64;

export async function openReferee(): Promise<Referee> {
  const geos = await initGeos({ noticeHandler: () => {} });
  const out = geos.Module._malloc(8);
  const number = (): number => new Float64Array(geos.Module.HEAPU8.buffer, out, 1)[0]!;
  const buffer = (solid: Solid, distance: number): Solid =>
    distance === 0 ? solid : checked(geos.GEOSBuffer(solid, distance, QUADRANT_SEGMENTS));
  const polygon = (rings: readonly Ring[]): Solid => {
    const [outer, ...holes] = rings.map((ring) => linearRing(geos, ring));
    const pointer = geos.Module._malloc(Math.max(4, 4 * holes.length));
    new Uint32Array(geos.Module.HEAPU8.buffer, pointer, holes.length).set(holes);
    const made = checked(geos.GEOSGeom_createPolygon(outer!, pointer, holes.length));
    geos.Module._free(pointer);
    return made;
  };
  const union = (a: Solid, b: Solid): Solid => checked(geos.GEOSUnion(a, b));
  const difference = (a: Solid, b: Solid): Solid => checked(geos.GEOSDifference(a, b));
  const intersection = (a: Solid, b: Solid): Solid => checked(geos.GEOSIntersection(a, b));

  const referee: Referee = {
    solid: polygon,
    union,
    difference,
    intersection,
    buffer,
    freed(path, rx, ry) {
      // Scaled so that the beam is a disk of radius 1, shrunk by it, and scaled back.
      const round = rx === ry;
      const scale = (rings: readonly Ring[]): Ring[] =>
        round ? [...rings] : rings.map((ring) => Array.from(ring, (v, i) => v / (i % 2 === 0 ? rx : ry)));
      const solids = path.map((rings) => polygon(scale(rings))).reduce(union);
      const shrunk = buffer(solids, round ? -rx : -1);
      if (round) return shrunk;
      return polygonsOf(geos, shrunk)
        .map((rings) => polygon(rings.map((ring) => ring.map((v, i) => v * (i % 2 === 0 ? rx : ry)))))
        .reduce(union);
    },
    closing: (solid, radius) => buffer(buffer(solid, radius), -radius),
    opening: (solid, radius) => buffer(buffer(solid, -radius), radius),
    area(solid) {
      geos.GEOSArea(solid, out);
      return number();
    },
    isValid: (solid) => geos.GEOSisValid(solid) === 1,
    gaps(p, q, window, stepMm) {
      let worstMm = Number.POSITIVE_INFINITY;
      let airMm = Number.NEGATIVE_INFINITY;
      let points = 0;
      for (const [from, to] of [
        [p, q],
        [q, p],
      ] as const) {
        const line = checked(
          geos.GEOSDensify(intersection(checked(geos.GEOSBoundary(from)), window), stepMm),
        );
        const boundary = checked(geos.GEOSPrepare(checked(geos.GEOSBoundary(to))));
        const solid = checked(geos.GEOSPrepare(to));
        for (const xy of linesOf(geos, line)) {
          for (let i = 0; i < xy.length; i += 2) {
            const point = geos.GEOSGeom_createPointFromXY(xy[i]!, xy[i + 1]!);
            geos.GEOSPreparedDistance(boundary, point, out);
            const gap = geos.GEOSPreparedContainsXY(solid, xy[i]!, xy[i + 1]!) ? -number() : number();
            geos.GEOSGeom_destroy(point);
            worstMm = Math.min(worstMm, gap);
            airMm = Math.max(airMm, gap);
            points++;
          }
        }
      }
      return { worstMm, airMm, points };
    },
  };
  return referee;
}

function checked(handle: number): number {
  if (!handle) throw new Error('GEOS returned no result');
  return handle;
}

function linearRing(geos: Geos, ring: Ring): number {
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

function pointsOf(geos: Geos, line: number): Float64Array {
  const count = geos.GEOSGeomGetNumPoints(line);
  const pointer = geos.Module._malloc(16 * count);
  geos.GEOSCoordSeq_copyToBuffer(checked(geos.GEOSGeom_getCoordSeq(line)), pointer, 0, 0);
  const points = new Float64Array(geos.Module.HEAPU8.buffer, pointer, 2 * count).slice();
  geos.Module._free(pointer);
  return points;
}

function linesOf(geos: Geos, lines: number): Float64Array[] {
  const count = geos.GEOSGetNumGeometries(lines);
  return Array.from({ length: count }, (_, i) => geos.GEOSGetGeometryN(lines, i))
    .filter((line) => !geos.GEOSisEmpty(line))
    .map((line) => pointsOf(geos, line));
}

function polygonsOf(geos: Geos, solid: number): number[][][] {
  const ring = (handle: number): number[] => Array.from(pointsOf(geos, handle)).slice(0, -2);
  const count = geos.GEOSGetNumGeometries(solid);
  return Array.from({ length: count }, (_, i) => geos.GEOSGetGeometryN(solid, i)).map((polygon) => [
    ring(geos.GEOSGetExteriorRing(polygon)),
    ...Array.from({ length: geos.GEOSGetNumInteriorRings(polygon) }, (_, h) =>
      ring(geos.GEOSGetInteriorRingN(polygon, h)),
    ),
  ]);
}
