/** The vertices of a noding in progress. Its arrays are longer than `count`, so that crossings can be added. */
export interface Vertices {
  x: Float64Array;
  y: Float64Array;
  /** The area whose own boundary has this vertex; -1 for crossings. */
  owner: Int32Array;
  /** A vertex that was joined to another points to it. */
  parent: Int32Array;
  count: number;
}

export function addVertex(vertices: Vertices, x: number, y: number, owner: number): number {
  const v = vertices.count++;
  if (v === vertices.x.length) {
    const length = 2 * v + 64;
    vertices.x = grownFloats(vertices.x, length);
    vertices.y = grownFloats(vertices.y, length);
    vertices.owner = grownInts(vertices.owner, length);
    vertices.parent = grownInts(vertices.parent, length);
  }
  vertices.x[v] = x;
  vertices.y[v] = y;
  vertices.owner[v] = owner;
  vertices.parent[v] = v;
  return v;
}

/** The vertex that v has become. */
export function findVertex({ parent }: Vertices, v: number): number {
  let root = v;
  while (parent[root] !== root) root = parent[root]!;
  let at = v;
  while (parent[at] !== root) {
    const next = parent[at]!;
    parent[at] = root;
    at = next;
  }
  return root;
}

/**
 * Joins vertices two by two; the lower number (of the lower area) keeps its place. `reach` keeps a chain of near
 * vertices from collapsing into one; returns whether it did.
 */
export function joinVertices(
  vertices: Vertices,
  a: readonly number[],
  b: readonly number[],
  reach: number,
): boolean {
  const { x, y, parent } = vertices;
  let refused = false;
  for (let i = 0; i < a.length; i++) {
    const p = findVertex(vertices, a[i]!);
    const q = findVertex(vertices, b[i]!);
    if (p === q) continue;
    if (Math.hypot(x[p]! - x[q]!, y[p]! - y[q]!) > reach) {
      refused = true;
      continue;
    }
    if (p < q) parent[q] = p;
    else parent[p] = q;
  }
  return refused;
}

export function grownInts(array: Int32Array, length: number): Int32Array {
  const larger = new Int32Array(length);
  larger.set(array);
  return larger;
}

function grownFloats(array: Float64Array, length: number): Float64Array {
  const larger = new Float64Array(length);
  larger.set(array);
  return larger;
}
