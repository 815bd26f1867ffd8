import type { Finding } from '../finding.ts';
import type { Seam } from '../mosaic/model.ts';
import { type AssembledPart, type Assembly, ofHand } from './assemble.ts';
import type { SeamFit } from './model.ts';

/**
 * Interference beyond the designed overlap that passes without a word, mm: what an equal taper of 0.06 mm adds at the
 * back of an inlay that is not turned. Our own choice; no published source.
 */
const EXTRA_INTERFERENCE_MM = 0.03;
/** Figures this close to a limit keep it, mm: half a micrometre is what file decimals leave open. */
const LIMIT_SLACK_MM = 0.0005;
/** A declared length and what was found of it may differ by this share. */
const LENGTH_SHARE = 0.02;
/** Corners that turn straight back would lose an endless length; beyond this turn, radians, none is longer. */
const SHARPEST_TURN = 2.9;

export interface SeamCheck {
  readonly seam: Seam;
  readonly hand: Assembly['hand'];
  readonly a: AssembledPart;
  readonly b: AssembledPart;
  /** Absent where neither wall was found. */
  readonly fitted: SeamFit | null;
  readonly wallMm: { readonly a: number; readonly b: number };
  readonly lostMm: { readonly a: number; readonly b: number };
  /** A part of which the beam leaves nothing at some depth. */
  readonly vanished: string | null;
  readonly visibleGapMm: number;
}

const mm = (value: number): string => value.toFixed(3);
const at = (point: { x: number; y: number }): string => `(${point.x.toFixed(2)}, ${point.y.toFixed(2)})`;

/** What the maker should know about one seam. */
export function seamFindings(check: SeamCheck): Finding[] {
  const { seam, hand, fitted } = check;
  const parts = [seam.a, seam.b];
  const name = `Seam ${seam.id}${ofHand(hand)}`;
  if (check.vanished) {
    return [
      {
        code: 'part-burns-away',
        severity: 'decision',
        message: `Of part ${check.vanished}${ofHand(hand)} the beam leaves nothing at some depth: it is nowhere wider than the kerf.`,
        hint: 'Make it wider, or cut it with a narrower kerf.',
        at: startOf(seam),
        parts: [check.vanished],
      },
    ];
  }
  const findings: Finding[] = lengthFindings(check, name, parts);
  if (!fitted) return findings;
  const show = fitted.gapShowMm;
  const kerfMm = Math.max(check.a.kerfMm, check.b.kerfMm);
  if (show.mean > Math.max(check.visibleGapMm, kerfMm / 2)) {
    findings.push({
      code: 'seam-open',
      severity: 'decision',
      message: `${name} stands open by ${mm(show.mean)} mm on average at the show face: as if a part had been compensated the wrong way or not at all.`,
      hint: 'Do not cut. Check which parts the kerf was added to, and the kerf itself.',
      at: show.worstAt,
      parts,
      figureMm: show.mean,
    });
  } else if (show.worst > check.visibleGapMm) {
    findings.push({
      code: 'air-at-show-face',
      severity: 'warning',
      message: `${name} shows air of ${mm(show.worst)} mm at ${at(show.worstAt)}; from ${mm(check.visibleGapMm)} mm on it is seen as a line.`,
      hint: 'Turn the inlay, raise the allowance, or round the corner there.',
      at: show.worstAt,
      parts,
      figureMm: show.worst,
    });
  }
  const limit = tightestAllowed(check);
  const allowed = -limit - LIMIT_SLACK_MM;
  const deepest = [fitted.gapShowMm, fitted.gapMiddleMm, fitted.gapBackMm].reduce((p, q) =>
    q.tightest < p.tightest ? q : p,
  );
  if (deepest.mean < limit) {
    findings.push({
      code: 'seam-too-tight',
      severity: 'decision',
      message: `${name} overlaps by ${mm(-deepest.mean)} mm on average where it is tightest; ${mm(allowed)} mm is allowed. It may not go together without damage.`,
      hint: 'Lower the allowance, or check the kerf of the fit record.',
      at: deepest.tightestAt,
      parts,
      figureMm: deepest.mean,
    });
  } else if (deepest.tightest < limit) {
    findings.push({
      code: 'tight-spot',
      severity: 'warning',
      message: `${name} overlaps by ${mm(-deepest.tightest)} mm at ${at(deepest.tightestAt)}; ${mm(allowed)} mm is allowed. A thin point there can split.`,
      hint: 'Round the corner there in the drawing, or ease it by hand before pressing.',
      at: deepest.tightestAt,
      parts,
      figureMm: deepest.tightest,
    });
  }
  return findings;
}

/** The narrower limit: the grade's own if it is wider than the overlap that was designed. mm, a negative gap. */
function tightestAllowed({ a, b }: SeamCheck): number {
  const designed = -Math.max(0, a.fit.allowanceMm, b.fit.allowanceMm) - EXTRA_INTERFERENCE_MM;
  const grade = b.fit.gradeGapMm ?? a.fit.gradeGapMm;
  return (grade ? Math.min(designed, grade.min) : designed) - LIMIT_SLACK_MM;
}

function lengthFindings(check: SeamCheck, name: string, parts: readonly string[]): Finding[] {
  const { seam, wallMm, lostMm, fitted } = check;
  const lost = Math.max(lostMm.a, lostMm.b);
  if (!fitted || lost >= (1 - LENGTH_SHARE) * seam.lengthMm) {
    return [
      {
        code: 'seam-not-found',
        // Between parts that hardly touch nothing is missing where the beam is wider than the seam is long.
        severity: seam.lengthMm < Math.max(check.a.kerfMm, check.b.kerfMm) ? 'note' : 'decision',
        message: `${name} is ${mm(seam.lengthMm)} mm long in the drawing, but no cut lies along it.`,
        hint: 'A contour is missing or misplaced in the files. Write them again; do not cut these.',
        at: startOf(seam),
        parts,
        figureMm: seam.lengthMm,
      },
    ];
  }
  const { shorter, longer } = lengthPlay(check);
  const findings: Finding[] = [];
  if (lost > 0) {
    findings.push({
      code: 'seam-end-not-found',
      severity: 'note',
      message: `${mm(lost)} mm of ${name} (${mm(seam.lengthMm)} mm) has no cut along it and was not measured.`,
      hint: 'A tip too thin for the beam ends early. If there is none, compare the file with the drawing there.',
      at: startOf(seam),
      parts,
      figureMm: lost,
    });
  }
  for (const [part, wall] of [
    [seam.a, wallMm.a],
    [seam.b, wallMm.b],
  ] as const) {
    const play = LENGTH_SHARE * seam.lengthMm;
    if (wall >= seam.lengthMm - play - shorter && wall <= seam.lengthMm + play + longer) continue;
    findings.push({
      code: 'seam-length-differs',
      severity: 'warning',
      message: `${name} is ${mm(seam.lengthMm)} mm long in the drawing; the cut of ${part} along it leaves a wall of ${mm(wall)} mm.`,
      hint: 'Compare the file with the drawing along this seam; a stretch may be missing, doubled or cut short.',
      at: startOf(seam),
      parts,
      figureMm: wall - seam.lengthMm,
    });
  }
  return findings;
}

/**
 * By how much a sound wall may be shorter or longer than its declared line, mm. A wall runs beside the line, offset by
 * at most half a kerf and the allowance d: it grows by d times the turning of the line, and an eased or filled corner
 * that turns by phi cuts off at most 2 d tan(phi / 2).
 */
function lengthPlay({ seam, a, b }: SeamCheck): { shorter: number; longer: number } {
  const d =
    Math.max(a.kerfMm, b.kerfMm) / 2 + Math.max(Math.abs(a.fit.allowanceMm), Math.abs(b.fit.allowanceMm));
  let shorter = 0;
  let longer = 0;
  for (const { points, closed } of seam.stretches) {
    const count = points.length / 2;
    for (let i = closed ? 0 : 1; i < (closed ? count : count - 1); i++) {
      const p = 2 * ((i + count - 1) % count);
      const q = 2 * i;
      const r = 2 * ((i + 1) % count);
      const ux = points[q]! - points[p]!;
      const uy = points[q + 1]! - points[p + 1]!;
      const vx = points[r]! - points[q]!;
      const vy = points[r + 1]! - points[q + 1]!;
      const turn = Math.abs(Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy));
      shorter += 2 * d * Math.tan(Math.min(turn, SHARPEST_TURN) / 2);
      longer += d * turn;
    }
    if (!closed) {
      shorter += 2 * d;
      longer += 2 * d;
    }
  }
  return { shorter, longer };
}

function startOf(seam: Seam): { x: number; y: number } {
  const points = seam.stretches[0]?.points;
  return { x: points?.[0] ?? 0, y: points?.[1] ?? 0 };
}
