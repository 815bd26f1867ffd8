/**
 * The near pairs of a set of edges, and what must happen to them before they meet only at their ends: see noding.ts.
 */
import { buildEdgeGrid } from './edge-grid.ts';
import type { Edges } from './edge-splitting.ts';
import { orient } from './exact.ts';
import type { Vertices } from './vertices.ts';

/** Edges run side by side when they keep together over at least this many weld distances ... */
const WELD_RUN = 10;
/** ... and drift apart by no more than this many over the stretch they share. */
const WELD_DRIFT = 3;
/**
 * Where a vertex welds to an edge, one of the two moves. Chords of curves are bent, for the vertex lies on the true curve;
 * but bending a long edge moves much, so a vertex between edges this many times shorter is moved onto it instead, and
 * beside an edge longer than any usual chord a vertex between shorter edges is.
 */
const MOVE_RATIO = 4;
const LONG_NM = 1e6;

/** Lists of equal length two by two; pairs met in several grid cells are listed several times. */
export interface EdgeEvents {
  /** Vertices that become one. */
  readonly sameA: number[];
  readonly sameB: number[];
  /** Edges to be routed through a vertex. */
  readonly onEdge: number[];
  readonly onVertex: number[];
  /** Vertices first moved onto an edge, as indices of `onEdge`. */
  readonly moves: number[];
  /** Edges that cross inside both. */
  readonly crossA: number[];
  readonly crossB: number[];
}

/**
 * Pairs of edges that are both unchanged since the last round are passed over: they were found to be at peace.
 * @param tolerance vertices this near to an edge or to another vertex join it, nm
 * @param weld the same for edges that run side by side, nm; not above `tolerance` for none
 */
export function findEvents(
  { from, to, changed }: Edges,
  { x, y, count: vertexCount }: Vertices,
  tolerance: number,
  weld: number,
): EdgeEvents {
  const events: EdgeEvents = {
    sameA: [],
    sameB: [],
    onEdge: [],
    onVertex: [],
    moves: [],
    crossA: [],
    crossB: [],
  };
  const count = from.length;
  const coordinates = new Float64Array(4 * count);
  const lengths = new Float64Array(count);
  const longest = new Float64Array(vertexCount);
  const margin = Math.max(tolerance, weld);
  for (let i = 0; i < count; i++) {
    const a = from[i]!;
    const b = to[i]!;
    const ax = x[a]!;
    const ay = y[a]!;
    const bx = x[b]!;
    const by = y[b]!;
    coordinates[4 * i] = ax;
    coordinates[4 * i + 1] = ay;
    coordinates[4 * i + 2] = bx;
    coordinates[4 * i + 3] = by;
    const length = Math.hypot(bx - ax, by - ay);
    lengths[i] = length;
    if (length > longest[a]!) longest[a] = length;
    if (length > longest[b]!) longest[b] = length;
  }
  const { cellStart, cellEdges } = buildEdgeGrid(coordinates, count, margin, changed);
  const cells = cellStart.length - 1;
  for (let cell = 0; cell < cells; cell++) {
    const end = cellStart[cell + 1]!;
    for (let i = cellStart[cell]!; i < end; i++) {
      const e = cellEdges[i]!;
      const eChanged = changed[e];
      const ax = coordinates[4 * e]!;
      const ay = coordinates[4 * e + 1]!;
      const bx = coordinates[4 * e + 2]!;
      const by = coordinates[4 * e + 3]!;
      const loX = Math.min(ax, bx) - margin;
      const hiX = Math.max(ax, bx) + margin;
      const loY = Math.min(ay, by) - margin;
      const hiY = Math.max(ay, by) + margin;
      for (let j = i + 1; j < end; j++) {
        const f = cellEdges[j]!;
        if (!eChanged && !changed[f]) continue;
        const cx = coordinates[4 * f]!;
        const dx = coordinates[4 * f + 2]!;
        if ((cx < loX && dx < loX) || (cx > hiX && dx > hiX)) continue;
        const cy = coordinates[4 * f + 1]!;
        const dy = coordinates[4 * f + 3]!;
        if ((cy < loY && dy < loY) || (cy > hiY && dy > hiY)) continue;
        const a = from[e]!;
        const b = to[e]!;
        const c = from[f]!;
        const d = to[f]!;
        const shareA = a === c || a === d;
        const shareB = b === c || b === d;
        if (shareA && shareB) continue;
        if ((shareA || shareB) && lengths[e]! > margin && lengths[f]! > margin) {
          // Edges that go on from one another at less than a right angle have nothing else in common.
          const along = (bx - ax) * (dx - cx) + (by - ay) * (dy - cy);
          if ((b === c || a === d) === along > 0) continue;
        }
        const reach =
          weld > tolerance && runTogether(ax, ay, bx, by, cx, cy, dx, dy, weld) ? weld : tolerance;
        const before = events.sameA.length + events.onEdge.length;
        if (!shareA) nearEdge(a, ax, ay, f, c, d, cx, cy, dx, dy, reach);
        if (!shareB) nearEdge(b, bx, by, f, c, d, cx, cy, dx, dy, reach);
        if (c !== a && c !== b) nearEdge(c, cx, cy, e, a, b, ax, ay, bx, by, reach);
        if (d !== a && d !== b) nearEdge(d, dx, dy, e, a, b, ax, ay, bx, by, reach);
        if (shareA || shareB || events.sameA.length + events.onEdge.length > before) continue;
        if (crosses(ax, ay, bx, by, cx, cy, dx, dy)) {
          events.crossA.push(e);
          events.crossB.push(f);
        }
      }
    }
  }
  return events;

  /** Records a vertex p that lies within reach of the edge f from c to d. */
  function nearEdge(
    p: number,
    px: number,
    py: number,
    f: number,
    c: number,
    d: number,
    cx: number,
    cy: number,
    dx: number,
    dy: number,
    reach: number,
  ): void {
    const ex = dx - cx;
    const ey = dy - cy;
    const qx = px - cx;
    const qy = py - cy;
    const length2 = ex * ex + ey * ey;
    const cross = ex * qy - ey * qx;
    const limit = reach * reach;
    if (cross * cross > limit * length2) return;
    const toC = qx * qx + qy * qy;
    const toD = (px - dx) * (px - dx) + (py - dy) * (py - dy);
    if (toC <= limit || toD <= limit) {
      events.sameA.push(p);
      events.sameB.push(toC <= toD ? c : d);
      return;
    }
    const along = ex * qx + ey * qy;
    if (along <= 0 || along >= length2) return;
    const ratio = length2 > LONG_NM * LONG_NM ? 1 : MOVE_RATIO;
    if (reach > tolerance && length2 > ratio * ratio * longest[p]! * longest[p]!) {
      events.moves.push(events.onEdge.length);
    }
    events.onEdge.push(f);
    events.onVertex.push(p);
  }
}

/** Whether two edges keep together over a stretch: measured along the longer one. */
function runTogether(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  dx: number,
  dy: number,
  weld: number,
): boolean {
  let px = ax;
  let py = ay;
  let ex = bx - ax;
  let ey = by - ay;
  let qx = cx;
  let qy = cy;
  let fx = dx - cx;
  let fy = dy - cy;
  if (fx * fx + fy * fy > ex * ex + ey * ey) {
    [px, qx] = [qx, px];
    [py, qy] = [qy, py];
    [ex, fx] = [fx, ex];
    [ey, fy] = [fy, ey];
  }
  const length = Math.hypot(ex, ey);
  const first = ((qx - px) * ex + (qy - py) * ey) / length;
  const run = (fx * ex + fy * ey) / length;
  const low = Math.max(0, Math.min(first, first + run));
  const high = Math.min(length, Math.max(first, first + run));
  if (high - low < WELD_RUN * weld) return false;
  const drift = (Math.abs(ex * fy - ey * fx) / length) * ((high - low) / Math.abs(run));
  return drift <= WELD_DRIFT * weld;
}

function crosses(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
  dx: number,
  dy: number,
): boolean {
  const c = orient(ax, ay, bx, by, cx, cy);
  const d = orient(ax, ay, bx, by, dx, dy);
  if (!((c > 0 && d < 0) || (c < 0 && d > 0))) return false;
  const a = orient(cx, cy, dx, dy, ax, ay);
  const b = orient(cx, cy, dx, dy, bx, by);
  return (a > 0 && b < 0) || (a < 0 && b > 0);
}
