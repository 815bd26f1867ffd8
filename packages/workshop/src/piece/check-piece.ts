/**
 * What is wrong with a piece before anything is computed from it. Every finding names the area by its id, the place
 * where there is one, and the numbers. `error` findings stop the partition, warnings do not.
 */
import { type Curve, flattenCurve, type Point, type Ring, ringArea } from '@inlaywright/geometry';
import { WorkshopError } from '../errors.ts';
import type { Finding } from '../finding.ts';
import { type Area, PIERCING, type Piece } from './piece.ts';
import { findSelfCrossing } from './self-crossing.ts';
import { areaCurves } from './shape-curves.ts';
import { LARGEST_MM } from './shape-limits.ts';

/** Ends nearer than this are the same point, mm: one step of the grid. */
const JOINT_TOLERANCE = 1e-6;
/** An outline below this encloses nothing that could be made, mm2. */
const LEAST_AREA_MM2 = 1e-6;

/** All findings about the piece as drawn; empty when there is nothing to say. */
export function checkPiece(piece: Piece): Finding[] {
  const findings = checkStructure(piece);
  const outlines = new Map<string, string>();
  for (const area of piece.areas) {
    const broken = area.shape.kind === 'path' && pathFindings(area).length > 0;
    if (broken) continue;
    try {
      const { curves, findings: radii } = areaCurves(area);
      findings.push(...radii, ...outlineFindings(area, curves));
      const outline = JSON.stringify([area.shape, area.cornerRadiiMm ?? 0]);
      const twin = outlines.get(outline);
      if (twin !== undefined) {
        findings.push({
          code: 'area-duplicate',
          severity: 'warning',
          message: `Areas "${twin}" and "${area.id}" have the same outline; the upper one hides the lower.`,
          hint: `Delete area "${twin}", or move one of them.`,
          areas: [twin, area.id],
        });
      } else outlines.set(outline, area.id);
    } catch (error) {
      if (!(error instanceof WorkshopError)) throw error;
      findings.push(failure(error.code, error.message, error.hint, [area.id]));
    }
  }
  return findings;
}

/**
 * Throws the first reason why the partition of this piece cannot be computed.
 * @throws WorkshopError `piece-invalid`; `details.findings` holds all reasons
 */
export function assertComputable(piece: Piece): void {
  const findings = checkStructure(piece);
  const first = findings[0];
  if (first === undefined) return;
  const more = findings.length > 1 ? ` (and ${findings.length - 1} more)` : '';
  throw new WorkshopError('piece-invalid', first.message + more, { hint: first.hint, details: { findings } });
}

/** What makes a piece impossible to compute, apart from the numbers of its parametric shapes. */
function checkStructure(piece: Piece): Finding[] {
  const findings: Finding[] = [];
  const tones = new Set<string>();
  for (const tone of piece.tones) {
    if (tone.id === PIERCING) {
      findings.push(
        failure(
          'tone-reserved',
          `A tone is named "${PIERCING}", which is the word for an opening.`,
          'Give the tone another id.',
        ),
      );
    } else if (!/^[a-z0-9-]+$/.test(tone.id)) {
      findings.push(
        failure(
          'tone-id',
          `The tone id "${tone.id}" has other characters than a-z, 0-9 and -.`,
          'Write it in lower case without spaces.',
        ),
      );
    }
    if (tones.has(tone.id)) {
      findings.push(
        failure('tone-duplicate', `Two tones have the id "${tone.id}".`, 'Give each tone an id of its own.'),
      );
    }
    if (tone.grainDeg !== undefined && !Number.isFinite(tone.grainDeg)) {
      findings.push(
        failure(
          'tone-grain',
          `The grain of tone "${tone.id}" is ${tone.grainDeg}, not a number of degrees.`,
          'Leave it out where the material has no grain.',
        ),
      );
    }
    tones.add(tone.id);
  }
  if (!piece.areas.some((area) => area.tone !== PIERCING)) {
    findings.push(
      failure(
        'piece-empty',
        piece.areas.length === 0
          ? `The piece "${piece.name}" has no areas.`
          : `The piece "${piece.name}" has piercings only.`,
        'Add an area with a tone; the lowest one is the ground.',
      ),
    );
  }
  const ids = new Set<string>();
  for (const area of piece.areas) {
    if (ids.has(area.id)) {
      findings.push(
        failure(
          'area-id-duplicate',
          `Two areas have the id "${area.id}".`,
          'Give each area an id of its own.',
          [area.id],
        ),
      );
    }
    ids.add(area.id);
    if (area.tone !== PIERCING && !tones.has(area.tone)) {
      const known = [...tones, PIERCING].join(', ');
      findings.push(
        failure(
          'tone-unknown',
          `Area "${area.id}" has the tone "${area.tone}", which the piece does not define.`,
          `Use one of: ${known}.`,
          [area.id],
        ),
      );
    }
    if (area.shape.kind === 'path') findings.push(...pathFindings(area));
  }
  return findings;
}

/** Numbers that are none, joints that do not meet, curves that do not close. */
function pathFindings(area: Area): Finding[] {
  if (area.shape.kind !== 'path') return [];
  const { curves } = area.shape;
  if (!curves.some((curve) => curve.segments.length > 0)) {
    return [
      failure('path-empty', `Area "${area.id}" is a path without segments.`, 'Draw it, or delete the area.', [
        area.id,
      ]),
    ];
  }
  const findings: Finding[] = [];
  curves.forEach((curve, index) => {
    const where = curves.length > 1 ? `curve ${index} of area "${area.id}"` : `the path of area "${area.id}"`;
    const { segments } = curve;
    for (let i = 0; i < segments.length; i++) {
      const wrong = numbersOf(curve, i).find((value) => !(Math.abs(value) <= LARGEST_MM));
      if (wrong !== undefined) {
        findings.push(
          failure(
            'path-number',
            `Segment ${i} of ${where} has the coordinate ${wrong}; coordinates are numbers between ${-LARGEST_MM} and ${LARGEST_MM} mm.`,
            'Correct the number.',
            [area.id],
          ),
        );
        return;
      }
    }
    for (let i = 0; i < segments.length; i++) {
      const end = segments[i]!.to;
      const last = i === segments.length - 1;
      const start = segments[last ? 0 : i + 1]!.from;
      const gap = Math.hypot(end.x - start.x, end.y - start.y);
      if (gap <= JOINT_TOLERANCE) continue;
      findings.push({
        ...failure(
          last ? 'path-open' : 'path-broken',
          last
            ? `${capital(where)} is open: it ends at ${place(end)}, ${gap.toPrecision(3)} mm from its start.`
            : `${capital(where)} is broken: segment ${i} ends at ${place(end)}, segment ${i + 1} starts ${gap.toPrecision(3)} mm away.`,
          last
            ? 'Close it: in a piece file, end the path with Z.'
            : 'Let each segment start where the last one ends.',
          [area.id],
        ),
        at: end,
        figureMm: gap,
      });
      return;
    }
  });
  return findings;
}

function numbersOf(curve: Curve, index: number): number[] {
  const segment = curve.segments[index]!;
  const { from, to } = segment;
  const ends = [from.x, from.y, to.x, to.y];
  switch (segment.kind) {
    case 'line':
      return ends;
    case 'arc':
      // A flat arc's centre may lie far off; only what is drawn must be within reach.
      return [
        ...ends,
        ...[segment.centre.x, segment.centre.y, segment.radius].map((v) => v / 1000),
        segment.sweep,
      ];
    case 'cubic':
      return [...ends, segment.c1.x, segment.c1.y, segment.c2.x, segment.c2.y];
  }
}

/** Outlines that enclose nothing, run twice, or cross themselves. */
function outlineFindings(area: Area, curves: readonly Curve[]): Finding[] {
  const rings = curves.map((curve) => flattenCurve(curve));
  const twins = findTwins(rings);
  const findings: Finding[] = [];
  rings.forEach((ring, index) => {
    const at = { x: ring[0]!, y: ring[1]! };
    const size = Math.abs(ringArea(ring));
    if (size < LEAST_AREA_MM2 && !findSelfCrossing([ring])) {
      const where = rings.length > 1 ? `Curve ${index} of area "${area.id}"` : `Area "${area.id}"`;
      findings.push({
        code: 'path-no-area',
        severity: 'warning',
        message: `${where} at ${place(at)} encloses no area (${size.toPrecision(2)} mm2): nothing will show.`,
        hint: 'Delete it, or draw it as an outline; a stroke must be turned into an outline first.',
        at,
        areas: [area.id],
      });
    }
    const twin = twins.get(index);
    if (twin !== undefined) {
      findings.push({
        code: 'path-duplicate',
        severity: 'warning',
        message: `Curves ${twin} and ${index} of area "${area.id}" at ${place(at)} are the same.`,
        hint: 'Delete one of them: with the even-odd rule they cancel, otherwise the second does nothing.',
        at,
        areas: [area.id],
      });
    }
  });
  // Curves that were found twice would only be found crossing themselves everywhere.
  const crossing = twins.size === 0 ? findSelfCrossing(rings) : undefined;
  if (crossing) {
    findings.push({
      code: 'path-self-crossing',
      severity: 'warning',
      message: `The outline of area "${area.id}" crosses itself at ${place(crossing)}; the fill rule decides what is inside.`,
      hint: 'Redraw it without the crossing if the result is not what you meant.',
      at: crossing,
      areas: [area.id],
    });
  }
  return findings;
}

/** Rings that repeat an earlier one, by number, with the number of that one. */
function findTwins(rings: readonly Ring[]): Map<number, number> {
  // Area and vertices tell most rings apart; only those that agree are compared point by point.
  const alike = new Map<string, number[]>();
  rings.forEach((ring, index) => {
    const size = `${ring.length} ${Math.abs(ringArea(ring)).toFixed(6)}`;
    alike.set(size, [...(alike.get(size) ?? []), index]);
  });
  const twins = new Map<number, number>();
  for (const group of alike.values()) {
    if (group.length < 2) continue;
    const first = new Map<string, number>();
    for (const index of group) {
      const key = ringKey(rings[index]!);
      const twin = first.get(key);
      if (twin === undefined) first.set(key, index);
      else twins.set(index, twin);
    }
  }
  return twins;
}

/** The same for rings with the same vertices, wherever they start and whichever way they run. */
function ringKey(ring: Ring): string {
  const points: string[] = [];
  for (let i = 0; i < ring.length; i += 2) points.push(`${ring[i]!.toFixed(6)},${ring[i + 1]!.toFixed(6)}`);
  return points.sort().join(' ');
}

function failure(code: string, message: string, hint: string, areas: readonly string[] = []): Finding {
  return { code, severity: 'error', message, hint, ...(areas.length > 0 ? { areas } : {}) };
}

function place(p: Point): string {
  return `(${p.x.toFixed(2)}, ${p.y.toFixed(2)})`;
}

function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
