import type { Finding } from '../finding.ts';
import type { FitByTone } from '../fit/fit-record.ts';
import type { Mosaic } from '../mosaic/model.ts';
import { fitOfTone } from './cut-sheet.ts';
import type { CompensationOptions } from './model.ts';

/**
 * Which parts are cut mirrored and turned over at assembly. The beam leaves a slanted wall; where one part of a seam is
 * turned and the other is not, both walls lean the same way and the gap is even all the way down.
 * `auto` colours the graph of parts with two colours. Where that is impossible (three parts that all meet), the longest
 * seams come first: seams are taken in order of falling length, and one that would close an odd ring gives way. (Greedy
 * maximum spanning forest after Kruskal, 1956, with the parity of each part to its root.)
 */

export interface Turning {
  /** By part, in the mosaic's order. */
  readonly turned: readonly boolean[];
  /** Seams whose walls do not lean the same way, and what that opens. */
  readonly findings: readonly Finding[];
}

/** Half-taper differences below this, mm, show nowhere. */
const LEAST_LEAN_MM = 0.001;

/** Turns parts by the option, and reports seams whose walls lean apart. The ground, part 1, lies as drawn with `auto`. */
export function turning(mosaic: Mosaic, fit: FitByTone, turn: CompensationOptions['turn']): Turning {
  const turned = turnedParts(mosaic, turn);
  return { turned, findings: leaning(mosaic, fit, turned, turn) };
}

function turnedParts(mosaic: Mosaic, turn: CompensationOptions['turn']): boolean[] {
  const { parts, seams } = mosaic;
  if (turn === 'none') return parts.map(() => false);
  if (turn !== 'auto') return parts.map(({ tone }) => turn.includes(tone));
  const indexOf = new Map(parts.map(({ id }, i) => [id, i]));
  // Each part points at another of its group; `flip` says whether the two differ.
  const above = parts.map((_, i) => i);
  const flip = parts.map(() => false);
  const rootOf = (part: number): { root: number; differs: boolean } => {
    let differs = false;
    let at = part;
    while (above[at] !== at) {
      differs = differs !== flip[at]!;
      at = above[at]!;
    }
    return { root: at, differs };
  };
  const byLength = seams.map((_, s) => s).sort((p, q) => seams[q]!.lengthMm - seams[p]!.lengthMm || p - q);
  for (const s of byLength) {
    const a = rootOf(indexOf.get(seams[s]!.a)!);
    const b = rootOf(indexOf.get(seams[s]!.b)!);
    if (a.root === b.root) continue;
    // The lower part stays the root, so that every group's first part, a ground, lies as drawn.
    const [root, child] = a.root < b.root ? [a.root, b.root] : [b.root, a.root];
    above[child] = root;
    flip[child] = a.differs === b.differs;
  }
  return parts.map((_, i) => rootOf(i).differs);
}

function leaning(
  mosaic: Mosaic,
  fit: FitByTone,
  turned: readonly boolean[],
  turn: CompensationOptions['turn'],
): Finding[] {
  const indexOf = new Map(mosaic.parts.map(({ id }, i) => [id, i]));
  const findings: Finding[] = [];
  for (const seam of mosaic.seams) {
    const a = indexOf.get(seam.a)!;
    const b = indexOf.get(seam.b)!;
    // The wall moves by half the kerf's taper from face to face; turned the other way, it leans the other way.
    const lean =
      leanMm(fit, mosaic.parts[a]!.tone, turned[a]!) + leanMm(fit, mosaic.parts[b]!.tone, turned[b]!);
    if (turned[a] !== turned[b] || Math.abs(lean) < LEAST_LEAN_MM) continue;
    const opens = Math.abs(lean);
    findings.push({
      code: 'walls-lean-apart',
      severity: 'note',
      message: `The walls of ${seam.a} and ${seam.b} lean apart: the gap differs by ${opens.toFixed(3)} mm from face to face along ${seam.lengthMm.toFixed(1)} mm.`,
      hint:
        turn === 'auto'
          ? 'Three parts that all meet cannot all be turned against one another. Move a seam, or accept this one.'
          : 'Let the parts turn by themselves, or turn one of the two.',
      at: midpointOf(seam.stretches[0]!.points),
      parts: [seam.a, seam.b],
      figureMm: opens,
    });
  }
  return findings;
}

/** How far a part's wall stands back at the entry face against the exit face as shown; the mean of both axes, mm. */
function leanMm(fit: FitByTone, tone: string, turned: boolean): number {
  const { kerfEntry, kerfExit } = fitOfTone(fit, tone);
  const taper = (kerfEntry.xMm + kerfEntry.yMm - kerfExit.xMm - kerfExit.yMm) / 2;
  return (turned ? -1 : 1) * (taper / 2);
}

function midpointOf(points: Float64Array): { x: number; y: number } {
  const i = 2 * Math.floor(points.length / 4);
  return { x: points[i]!, y: points[i + 1]! };
}
