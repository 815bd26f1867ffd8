import type { Finding } from '../finding.ts';
import type { FitRecord } from '../fit/fit-record.ts';
import { bestAllowance, type GradeWindow, gradeWindows } from './grade-window.ts';
import {
  cutsOf,
  type Drawn,
  type Evidence,
  evidenceOf,
  joinEvidence,
  kerfOf,
  scatterOf,
} from './likelihood.ts';
import { type NextStep, nextSteps, type SmallestCoupon, smallestCoupon } from './next-step.ts';
import { type Estimate, estimate, type Posterior, type PosteriorOptions, posteriorOf } from './posterior.ts';
import { type FitTrial, GRADES, type Grade } from './trial.ts';

/** Everything a trial tells: the fit record that designs use, the intervals behind it, and what to do next. */
export interface Judgement {
  readonly grade: Grade;
  readonly record: FitRecord;
  /** Kerf across x and y at both faces, mm, with 90 % intervals. */
  readonly kerf: {
    readonly entryX: Estimate;
    readonly entryY: Estimate;
    readonly exitX: Estimate;
    readonly exitY: Estimate;
  };
  /** Standard deviation of a seam's gap from cut to cut, mm. */
  readonly scatter: Estimate;
  /** Allowances of each grade in a design that uses this record's kerf, mm a side. */
  readonly windows: readonly GradeWindow[];
  /** Probability that a seam made with the record lands in the grade. */
  readonly probability: number;
  readonly next: readonly NextStep[];
  readonly coupon: SmallestCoupon;
  /** The result in plain words, a sentence a line. */
  readonly words: readonly string[];
  readonly findings: readonly Finding[];
}

/** The part of a judgement that follows from the posterior alone. */
export type Weighed = Pick<Judgement, 'grade' | 'record' | 'kerf' | 'scatter' | 'windows' | 'probability'> & {
  readonly posterior: Posterior;
};

export interface JudgeOptions extends PosteriorOptions {
  /** The grade that seams should land in; `presses by hand` where absent. */
  readonly grade?: Grade;
  /** Earlier trials and outcomes of real batches, already weighted by age (`evidenceOf`, `outcomeEvidence`). */
  readonly older?: readonly Evidence[];
}

/** Weighs a trial, with older evidence of the same machine, stock and setting if there is any. Throws RangeError for one without any result. */
export function judge(trial: FitTrial, options: JudgeOptions = {}): Judgement {
  const evidence = joinEvidence([...(options.older ?? []), evidenceOf(trial)]);
  if (evidence.steps.length === 0 && evidence.kerfs.length === 0) {
    throw new RangeError('The trial has no result yet: grade at least one step or take one reading.');
  }
  const weighed = weigh(evidence, options);
  const { posterior, ...figures } = weighed;
  // Next steps are cut on a coupon drawn as this trial's was, so they are looked for in its frame, not in the record's.
  const range = candidates(gradeWindows(posterior, trial));
  const next = nextSteps(posterior, trial, range).slice(0, 3);
  const coupon = smallestCoupon(posterior, trial, range);
  const draft = { ...figures, next, coupon };
  return { ...draft, words: words(draft), findings: findings(trial, evidence, draft) };
}

/** The fit record of some evidence with the intervals behind it, without what to do next. */
export function weigh(evidence: Evidence, options: Omit<JudgeOptions, 'older'> = {}): Weighed {
  const grade = options.grade ?? 'presses by hand';
  const posterior = posteriorOf(evidence, options);
  const kerf = {
    entryX: estimate(posterior, (theta) => kerfOf(theta, 1, 1)),
    entryY: estimate(posterior, (theta) => kerfOf(theta, 1, -1)),
    exitX: estimate(posterior, (theta) => kerfOf(theta, -1, 1)),
    exitY: estimate(posterior, (theta) => kerfOf(theta, -1, -1)),
  };
  const scatter = estimate(posterior, scatterOf);
  // A design made with this record draws its paths for the record's own mean kerf, not for the coupon's.
  const meanKerf = (kerf.entryX.median + kerf.entryY.median + kerf.exitX.median + kerf.exitY.median) / 4;
  const design: Drawn = { drawnKerfMm: meanKerf, turned: true };
  const windows = gradeWindows(posterior, design);
  const best = bestAllowance(posterior, design, grade);
  const record: FitRecord = {
    kerfEntry: { xMm: micron(kerf.entryX.median), yMm: micron(kerf.entryY.median) },
    kerfExit: { xMm: micron(kerf.exitX.median), yMm: micron(kerf.exitY.median) },
    allowanceMm: best.allowanceMm,
    scatterMm: micron(scatter.median),
    gradeGapMm: gradeGap(posterior, grade),
  };
  return { posterior, grade, record, kerf, scatter, windows, probability: best.probability };
}

/** Signed gaps that count as the grade: the negative of the overlaps between its two cuts. */
function gradeGap(posterior: Posterior, grade: Grade): { min: number; max: number } {
  const index = GRADES.indexOf(grade);
  return {
    min: -micron(estimate(posterior, (theta) => cutsOf(theta)[index]!).median),
    max: -micron(estimate(posterior, (theta) => cutsOf(theta)[index - 1]!).median),
  };
}

/** Allowances worth cutting next: every 5 um across the windows and a little beyond. */
function candidates(windows: readonly GradeWindow[]): number[] {
  const low = Math.min(windows[1]!.from!.median, windows[1]!.from!.low) - 0.02;
  const high = Math.max(windows[3]!.to!.median, windows[3]!.to!.high) + 0.02;
  const first = Math.ceil(Math.max(low, -0.3) / 0.005);
  const last = Math.floor(Math.min(high, 0.4) / 0.005);
  return Array.from({ length: Math.max(1, last - first + 1) }, (_, i) => Math.round((first + i) * 5) / 1000);
}

function words(j: Omit<Judgement, 'words' | 'findings'>): string[] {
  const window = j.windows.find((candidate) => candidate.grade === j.grade)!;
  const outOfTen = Math.round(j.probability * 10);
  const kerf = (e: Estimate): string => `${mm(e.median)} (${mm(e.low)} to ${mm(e.high)})`;
  return [
    `Seams press as "${j.grade}" from ${mm(window.from!.median)} to ${mm(window.to!.median)} mm a side; ` +
      `the ends are known to lie between ${mm(window.from!.low)} and ${mm(window.from!.high)}, ` +
      `and between ${mm(window.to!.low)} and ${mm(window.to!.high)}.`,
    `With an allowance of ${mm(j.record.allowanceMm)} mm a side, about ${outOfTen} of 10 seams will.`,
    `Kerf across x: ${kerf(j.kerf.entryX)} mm where the beam enters, ${kerf(j.kerf.exitX)} mm where it leaves; ` +
      `across y: ${kerf(j.kerf.entryY)} and ${kerf(j.kerf.exitY)} mm.`,
    `From cut to cut a gap varies by about ${mm(j.scatter.median)} mm (standard deviation; ${mm(j.scatter.low)} to ${mm(j.scatter.high)}).`,
    j.next.length > 0 && j.next[0]!.bits > 0.01
      ? `Next, a step at ${mm(j.next[0]!.allowanceMm)} mm would tell most.`
      : 'Another step would tell little; measure the kerf with a caliper, or cut a batch and record what fitted.',
    ...(j.coupon.halves
      ? [
          `A coupon of ${steps(j.coupon.allowancesMm.length)} would halve what is unknown about the middle of the window ` +
            `(now ${mm(j.coupon.widthNowMm)} mm wide).`,
        ]
      : []),
    'Intervals are 90 %: 1 in 10 of them does not hold the true value.',
  ];
}

/** Whether steps were graded on both sides of a grade: without both, one end of its window is a guess. */
export function bracketed(
  evidence: Evidence,
  grade: Grade,
): { readonly looser: boolean; readonly tighter: boolean } {
  const index = GRADES.indexOf(grade);
  return {
    looser: evidence.steps.some((step) => step.highGrade < index),
    tighter: evidence.steps.some((step) => step.lowGrade > index),
  };
}

function findings(trial: FitTrial, evidence: Evidence, j: Omit<Judgement, 'words' | 'findings'>): Finding[] {
  const found: Finding[] = [];
  const grades = new Set(trial.steps.map((step) => step.grade));
  if (evidence.steps.length === 0) {
    found.push({
      code: 'nothing-graded',
      severity: 'warning',
      message: 'No step was graded: windows and allowance are guesses, only the kerf is measured.',
      hint: 'Try the plugs of a ladder and grade them.',
    });
  }
  found.push(...unlikelyReadings(trial));
  if (trial.steps.length > 0 && !grades.has(j.grade)) {
    found.push({
      code: 'grade-not-seen',
      severity: 'warning',
      message: `No step was graded "${j.grade}": its window is a guess between the steps that were.`,
      hint: `Cut a step at ${mm(j.next[0]?.allowanceMm ?? j.record.allowanceMm)} mm.`,
    });
  }
  const { looser, tighter } = bracketed(evidence, j.grade);
  if (trial.steps.length > 0 && grades.has(j.grade) && !(looser && tighter)) {
    const open = looser ? 'tighter' : tighter ? 'looser' : 'looser or tighter';
    found.push({
      code: 'window-open',
      severity: 'warning',
      message: `No step was graded ${open} than "${j.grade}": that end of its window is a guess.`,
      hint: `Cut a second ladder around ${mm(j.record.allowanceMm)} mm that reaches past both ends, and weigh both trials together.`,
    });
  }
  const ordered = [...trial.steps].sort((a, b) => a.allowanceMm - b.allowanceMm);
  const reversed = ordered.filter(
    (step, i) => i > 0 && GRADES.indexOf(step.grade) < GRADES.indexOf(ordered[i - 1]!.grade) - 1,
  );
  for (const step of reversed) {
    found.push({
      code: 'grade-out-of-order',
      severity: 'warning',
      message: `Step ${step.step} (${mm(step.allowanceMm)} mm) was graded "${step.grade}", two grades looser than a step with less allowance.`,
      hint: 'Look at it again: a typing error, a chip in the socket, or a board that is not flat.',
    });
  }
  if (trial.readings.length === 0) {
    found.push({
      code: 'kerf-not-measured',
      severity: 'note',
      message:
        'The kerf was not measured with a caliper: it is known only from bureau tables and from the grades.',
      hint: 'Measure the slats or the two-face gauge; corner easing and taper need the kerf itself.',
    });
  }
  return found;
}

/** Kerf that a beam may leave in sheets for inlay, mm: wide of what bureau tables give (0.05 to 0.5; common practice). */
const LIKELY_KERF_MM = [0.02, 1] as const;

/** Readings whose kerf no beam leaves: a slipped digit, inches for millimetres, hole and plug exchanged. */
function unlikelyReadings(trial: FitTrial): Finding[] {
  const [least, most] = LIKELY_KERF_MM;
  const { kerfs } = evidenceOf({ ...trial, steps: [] });
  return trial.readings.flatMap((reading, i): Finding[] => {
    const kerfMm = kerfs[i]!.meanMm;
    if (kerfMm >= least && kerfMm <= most) return [];
    const sizes = reading.kind === 'slats' ? 'The slats' : 'Hole and plug of the gauge';
    return [
      {
        code: 'reading-unlikely',
        severity: 'warning',
        message: `${sizes} across ${reading.axis} at the ${reading.face} face give a kerf of ${mm(kerfMm)} mm; beams leave ${least} to ${most}.`,
        hint: 'Look at the reading again: a slipped digit, inches for millimetres, or hole and plug exchanged.',
      },
    ];
  });
}

function steps(count: number): string {
  return count === 1 ? '1 step' : `${count} steps`;
}

function micron(value: number): number {
  return Math.round(value * 1000) / 1000;
}

function mm(value: number): string {
  return (Math.round(value * 1000) / 1000 || 0).toFixed(3);
}
