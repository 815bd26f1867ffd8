/**
 * A uniform grid over edges, to find near pairs. Each edge is entered in every cell it comes within `margin` of, so two
 * edges nearer than the margin share a cell. Cells are as many as edges: a piece's edges are short and spread along
 * curves, which keeps a cell at a handful. Cost: edges plus cells crossed.
 */
export interface EdgeGrid {
  /** Edges of cell i: cellEdges[cellStart[i] .. cellStart[i + 1]). */
  readonly cellStart: Int32Array;
  readonly cellEdges: Int32Array;
}

/**
 * @param coordinates x and y of both ends, four numbers an edge
 * @param changed only cells with an edge marked here are filled
 */
export function buildEdgeGrid(
  coordinates: Float64Array,
  count: number,
  margin: number,
  changed?: Uint8Array,
): EdgeGrid {
  let minX = Number.POSITIVE_INFINITY;
  let minY = Number.POSITIVE_INFINITY;
  let maxX = Number.NEGATIVE_INFINITY;
  let maxY = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < 4 * count; i += 2) {
    const x = coordinates[i]!;
    const y = coordinates[i + 1]!;
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  }
  if (count === 0) return { cellStart: new Int32Array(1), cellEdges: new Int32Array(0) };
  const width = maxX - minX + 2 * margin;
  const height = maxY - minY + 2 * margin;
  const size = Math.max(
    Math.sqrt((width * height) / count),
    Math.max(width, height) / (4 * count + 4),
    4 * margin,
  );
  const columns = Math.floor(width / size) + 1;
  const rows = Math.floor(height / size) + 1;
  const left = minX - margin;
  const bottom = minY - margin;

  const cellCount = new Int32Array(columns * rows + 1);
  let cells = new Int32Array(3 * count + 64);
  let owners = new Int32Array(3 * count + 64);
  const marked = new Uint8Array(columns * rows);
  let entries = 0;
  const enter = (edge: number, row: number, loX: number, hiX: number): void => {
    const first = Math.max(0, Math.floor((loX - margin - left) / size));
    const last = Math.min(columns - 1, Math.floor((hiX + margin - left) / size));
    for (let column = first; column <= last; column++) {
      if (entries === cells.length) {
        cells = grown(cells);
        owners = grown(owners);
      }
      const cell = row * columns + column;
      if (isQuiet && !marked[cell]) continue;
      marked[cell] = 1;
      cells[entries] = cell;
      owners[entries++] = edge;
      cellCount[cell]!++;
    }
  };
  const enterEdge = (e: number): void => {
    let x0 = coordinates[4 * e]!;
    let y0 = coordinates[4 * e + 1]!;
    let x1 = coordinates[4 * e + 2]!;
    let y1 = coordinates[4 * e + 3]!;
    if (y0 > y1) {
      [x0, x1] = [x1, x0];
      [y0, y1] = [y1, y0];
    }
    const first = Math.max(0, Math.floor((y0 - margin - bottom) / size));
    const last = Math.min(rows - 1, Math.floor((y1 + margin - bottom) / size));
    if (first === last) {
      enter(e, first, Math.min(x0, x1), Math.max(x0, x1));
      return;
    }
    const slope = y1 > y0 ? (x1 - x0) / (y1 - y0) : 0;
    for (let row = first; row <= last; row++) {
      const rowBottom = bottom + row * size - margin;
      const rowTop = bottom + (row + 1) * size + margin;
      const lowX = y1 > y0 && rowBottom > y0 ? x0 + slope * (rowBottom - y0) : x0;
      const highX = y1 > y0 && rowTop < y1 ? x0 + slope * (rowTop - y0) : x1;
      enter(e, row, Math.min(lowX, highX), Math.max(lowX, highX));
    }
  };
  let isQuiet = false;
  for (let e = 0; e < count; e++) if (!changed || changed[e]) enterEdge(e);
  isQuiet = true;
  for (let e = 0; e < count; e++) if (changed && !changed[e]) enterEdge(e);

  const cellStart = new Int32Array(columns * rows + 1);
  let total = 0;
  for (let cell = 0; cell < columns * rows; cell++) {
    cellStart[cell] = total;
    total += cellCount[cell]!;
    cellCount[cell] = cellStart[cell]!;
  }
  cellStart[columns * rows] = total;
  const cellEdges = new Int32Array(total);
  for (let i = 0; i < entries; i++) cellEdges[cellCount[cells[i]!]!++] = owners[i]!;
  return { cellStart, cellEdges };
}

function grown(array: Int32Array<ArrayBuffer>): Int32Array<ArrayBuffer> {
  const larger = new Int32Array(2 * array.length);
  larger.set(array);
  return larger;
}
