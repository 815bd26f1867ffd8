/**
 * Cost of the dry fit on a piece of twelve parts, against the same gaps with GEOS: walls by buffering the flattened
 * paths at three depths, then one distance query for each station and depth.
 */
import {
  flattenCurve,
  invert,
  openKernel,
  reverseCurve,
  signedArea,
  transformCurve,
} from '@inlaywright/geometry';
import {
  type Area,
  type CutSheet,
  compensate,
  cutSheets,
  dryFit,
  type FitByTone,
  mosaic,
  type Piece,
  placementTransform,
  type Shape,
} from '@inlaywright/workshop';
import { openGeosWalls } from './dry-fit-geos.ts';

export interface DryFitMeasurement {
  readonly parts: number;
  readonly segments: number;
  readonly seams: number;
  readonly samples: number;
  /** Median of warm runs, ms. */
  readonly dryFitMs: number;
  readonly cutSheetsMs: number;
  readonly geosMs: number;
  /** GEOS over ours. */
  readonly ratio: number;
  /** Largest difference to GEOS over all samples at mid-depth, mm. */
  readonly worstDifferenceMm: number;
}

const kerf = (mm: number): { xMm: number; yMm: number } => ({ xMm: mm, yMm: mm });
const FIT: FitByTone = {
  default: {
    kerfEntry: kerf(0.22),
    kerfExit: kerf(0.18),
    allowanceMm: 0.03,
    scatterMm: 0.01,
    gradeGapMm: { min: -0.05, max: -0.01 },
  },
  byTone: {},
};

/** An invented piece of the garden's shop: moon, leaves and seed pods in a disc of cherry. */
export function gardenPiece(): Piece {
  const tones = ['cherry', 'holly', 'sapele', 'bog-oak'].map((id) => ({ id, name: id, colour: '#8a6f52' }));
  const areas: Area[] = [];
  const add = (tone: string, shape: Shape): void => {
    const id = `a${areas.length + 1}`;
    areas.push({ id, name: id, shape, tone });
  };
  const at = (x: number, y: number): { x: number; y: number } => ({ x, y });
  add('cherry', { kind: 'disc', centre: at(0, 0), diameterMm: 44 });
  add('holly', {
    kind: 'crescent',
    centre: at(-9, 5),
    diameterMm: 15,
    biteDiameterMm: 13,
    biteOffsetMm: 4,
  });
  add('sapele', { kind: 'star', centre: at(9, 10), points: 8, outerDiameterMm: 9, innerDiameterMm: 6 });
  add('holly', { kind: 'disc', centre: at(9, 10), diameterMm: 3 });
  for (let i = 0; i < 5; i++) {
    const angle = -1.9 + 0.42 * i;
    const centre = at(4 + 11 * Math.cos(angle), 1 + 11 * Math.sin(angle));
    add(i % 2 === 0 ? 'bog-oak' : 'sapele', {
      kind: 'leaf',
      centre,
      lengthMm: 9,
      widthMm: 3.4,
      angleDeg: (angle * 180) / Math.PI - 90,
    });
  }
  add('bog-oak', { kind: 'ellipse', centre: at(-12, -8), widthMm: 7, heightMm: 5, angleDeg: 20 });
  add('holly', { kind: 'drop', centre: at(-7, -14), widthMm: 4, lengthMm: 7, angleDeg: 40 });
  add('sapele', { kind: 'regular-polygon', centre: at(-2, 15), sides: 6, diameterMm: 6 });
  add('piercing', { kind: 'disc', centre: at(0, 20), diameterMm: 1.6 });
  return { name: 'garden disc', tones, areas };
}

/** @param rounds timed runs of each, after as many warm ones */
export async function measureDryFit(rounds: number): Promise<DryFitMeasurement> {
  await openKernel();
  const piece = gardenPiece();
  const parts = mosaic(piece);
  const compensation = compensate(parts, FIT, { share: 'inserted', turn: 'auto' });
  const options = { piece: piece.name, fit: FIT, stockOfTone: {}, pair: false };
  const sheets = cutSheets(compensation, parts, options);
  const geos = await geosRun(sheets);
  const times = { sheets: [] as number[], fit: [] as number[], geos: [] as number[] };
  let samples = 0;
  for (let round = -rounds; round < rounds; round++) {
    const start = performance.now();
    cutSheets(compensation, parts, options);
    const laid = performance.now();
    const result = dryFit(sheets);
    const fitted = performance.now();
    samples = result.seams.reduce((sum, seam) => sum + seam.samples.length, 0);
    if (round < 0) continue;
    times.sheets.push(laid - start);
    times.fit.push(fitted - laid);
  }
  let worstDifferenceMm = 0;
  for (let round = 0; round < Math.min(5, rounds); round++) {
    const start = performance.now();
    worstDifferenceMm = geos();
    times.geos.push(performance.now() - start);
  }
  const dryFitMs = median(times.fit);
  const geosMs = median(times.geos);
  return {
    parts: parts.parts.length,
    segments: compensation.cuts.reduce(
      (sum, cut) => sum + cut.contours.reduce((n, contour) => n + contour.curve.segments.length, 0),
      0,
    ),
    seams: parts.seams.length,
    samples,
    dryFitMs,
    cutSheetsMs: median(times.sheets),
    geosMs,
    ratio: geosMs / dryFitMs,
    worstDifferenceMm,
  };
}

/** The gaps of the same stations with GEOS; each run returns the largest difference at mid-depth, mm. */
async function geosRun(sheets: readonly CutSheet[]): Promise<() => number> {
  const geos = await openGeosWalls();
  const { seams } = dryFit(sheets);
  const placed = sheets.flatMap((sheet) => sheet.parts.map((part) => ({ part, fit: sheet.fit[part.tone]! })));
  return () => {
    const walls = new Map(
      placed.map(({ part, fit }) => {
        const back = invert(placementTransform(part.placement));
        const rings = [...part.contours]
          .sort((p) => (p.role === 'outside' ? -1 : 1))
          .map(({ curve }) => {
            const moved = transformCurve(curve, back);
            return flattenCurve(signedArea(moved) > 0 ? moved : reverseCurve(moved));
          });
        const atDepth = [0, 0.5, 1].map((s) => {
          const depth = part.turned ? 1 - s : s;
          return geos.wall(rings, (fit.kerfEntry.xMm * (1 - depth) + fit.kerfExit.xMm * depth) / 2, 32);
        });
        return [part.part, atDepth] as const;
      }),
    );
    let worst = 0;
    for (const seam of seams) {
      for (const { at, wall, middleMm } of seam.samples) {
        const [show, middle, back] = walls.get(wall === 'a' ? seam.b : seam.a)!;
        const gap = middle!.gap(at.x, at.y);
        show!.gap(at.x, at.y);
        back!.gap(at.x, at.y);
        // Where a third part fills an opening the dry fit says 0, which two parts alone cannot know.
        if (!(middleMm === 0 && gap > 0)) worst = Math.max(worst, Math.abs(gap - middleMm));
      }
    }
    for (const list of walls.values()) for (const wall of list) wall.free();
    return worst;
  };
}

function median(values: readonly number[]): number {
  return [...values].sort((p, q) => p - q)[values.length >> 1]!;
}
