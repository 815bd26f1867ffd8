/** Drawings of a set size for the benches, the same bytes for the same numbers. */

function mixed(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 4294967296;
  };
}

const FILLS = ['#8c5a2b', '#f4ead6', '#6b3a2a', '#3b2a20', '#c9a06a'];

/**
 * Overlapping blobs of cubic curves, `paths` of them with `segments` each, on a sheet with a free edge. The sheet sets
 * how large the details are: most should be wider than a beam, as in a drawing that can be cut at all.
 */
export function blobArtwork(paths: number, segments: number, seed: number, sheetMm = 120): string {
  const random = mixed(seed);
  const side = Math.ceil(Math.sqrt(paths));
  const pitch = (sheetMm - 20) / side;
  const elements: string[] = [];
  for (let i = 0; i < paths; i++) {
    const cx = 10 + ((i % side) + 0.5 + 0.3 * (random() - 0.5)) * pitch;
    const cy = 10 + (Math.floor(i / side) + 0.5 + 0.3 * (random() - 0.5)) * pitch;
    const points = Array.from({ length: segments }, (_, s) => {
      const angle = (2 * Math.PI * s) / segments;
      const r = pitch * (0.5 + 0.14 * random());
      return { x: cx + r * Math.cos(angle), y: cy + r * Math.sin(angle) };
    });
    elements.push(`<path fill="${FILLS[i % FILLS.length]}" d="${closedSpline(points)}"/>`);
  }
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${sheetMm}mm" height="${sheetMm}mm" viewBox="0 0 ${sheetMm} ${sheetMm}">${elements.join('')}</svg>`;
}

/** Catmull-Rom spline through the points as cubics. */
function closedSpline(points: readonly { x: number; y: number }[]): string {
  const n = points.length;
  const at = (i: number): { x: number; y: number } => points[(i + n) % n]!;
  let d = `M${at(0).x.toFixed(4)} ${at(0).y.toFixed(4)}`;
  for (let i = 0; i < n; i++) {
    const [p0, p1, p2, p3] = [at(i - 1), at(i), at(i + 1), at(i + 2)];
    const c1 = { x: p1.x + (p2.x - p0.x) / 6, y: p1.y + (p2.y - p0.y) / 6 };
    const c2 = { x: p2.x - (p3.x - p1.x) / 6, y: p2.y - (p3.y - p1.y) / 6 };
    d += `C${[c1.x, c1.y, c2.x, c2.y, p2.x, p2.y].map((v) => v.toFixed(4)).join(' ')}`;
  }
  return `${d}Z`;
}
