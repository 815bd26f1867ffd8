import { type Curve, curveBounds } from '@inlaywright/geometry';
import type { Compensation, CutSheet, DryFit, Finding, Mosaic } from '@inlaywright/workshop';

/** What `--json` prints for `make` and `dryfit`; documented in docs/command-line.md. Lengths in mm, areas in mm2. */
export interface Report {
  readonly piece: string;
  readonly fit: string;
  readonly parts: readonly PartReport[];
  readonly seams: readonly SeamReport[];
  readonly warnings: readonly Finding[];
  readonly files: readonly string[];
}

interface PartReport {
  readonly id: string;
  readonly hand: string;
  readonly tone: string;
  readonly stock: string;
  readonly turned: boolean;
  readonly areaMm2?: number;
  readonly widthMm: number;
  readonly heightMm: number;
  readonly contours: number;
  readonly segments: number;
}

interface GapReport {
  readonly mean: number;
  readonly p95: number;
  readonly worst: number;
  readonly tightest: number;
}

interface SeamReport {
  readonly id: string;
  readonly a: string;
  readonly b: string;
  readonly hand: string;
  readonly lengthMm: number;
  readonly gapShowMm: GapReport & { readonly worstAt: { x: number; y: number } };
  readonly gapMiddleMm: GapReport;
  readonly gapBackMm: GapReport;
  readonly pressShare: number;
  readonly gradeProbability?: number;
}

/** Rounds to 0.1 um: finer digits are below what the grid and the written files hold. */
function round(value: number, digits = 4): number {
  const rounded = Number(value.toFixed(digits));
  return rounded === 0 ? 0 : rounded;
}

function gap(figures: DryFit['seams'][number]['gapShowMm']): GapReport {
  return {
    mean: round(figures.mean),
    p95: round(figures.p95),
    worst: round(figures.worst),
    tightest: round(figures.tightest),
  };
}

export function report(input: {
  readonly piece: string;
  readonly fitOrigin: string;
  readonly sheets: readonly CutSheet[];
  readonly dryFit: DryFit;
  readonly mosaic?: Mosaic;
  readonly compensation?: Compensation;
  readonly findings: readonly Finding[];
  readonly files: readonly string[];
}): Report {
  const areas = new Map(input.mosaic?.parts.map((part) => [part.id, part.areaMm2]));
  const parts = input.sheets.flatMap((sheet) =>
    sheet.parts.map((part): PartReport => {
      const area = areas.get(part.part);
      const [width, height] = extent(part.contours.map((contour) => contour.curve));
      return {
        id: part.part,
        hand: part.hand,
        tone: part.tone,
        stock: sheet.stock,
        turned: part.turned,
        ...(area === undefined ? {} : { areaMm2: round(area) }),
        widthMm: round(width),
        heightMm: round(height),
        contours: part.contours.length,
        segments: part.contours.reduce((sum, contour) => sum + contour.curve.segments.length, 0),
      };
    }),
  );
  parts.sort((a, b) => a.hand.localeCompare(b.hand) || a.id.localeCompare(b.id, 'en', { numeric: true }));
  const seams = input.dryFit.seams.map(
    (seam): SeamReport => ({
      id: seam.id,
      a: seam.a,
      b: seam.b,
      hand: seam.hand,
      lengthMm: round(seam.lengthMm),
      gapShowMm: {
        ...gap(seam.gapShowMm),
        worstAt: { x: round(seam.gapShowMm.worstAt.x), y: round(seam.gapShowMm.worstAt.y) },
      },
      gapMiddleMm: gap(seam.gapMiddleMm),
      gapBackMm: gap(seam.gapBackMm),
      pressShare: round(seam.pressShare),
      ...(seam.gradeProbability === undefined ? {} : { gradeProbability: round(seam.gradeProbability) }),
    }),
  );
  return {
    piece: input.piece,
    fit: input.fitOrigin,
    parts,
    seams,
    warnings: [...input.findings, ...input.dryFit.findings],
    files: input.files,
  };
}

/** The report as a table for the terminal. */
export function table(result: Report): string {
  const head = ['seam', 'hand', 'length', 'show: mean', 'p95', 'worst', 'tightest', 'back: mean', 'presses'];
  const rows = result.seams.map((seam) => [
    seam.id,
    seam.hand === 'single' ? '' : seam.hand,
    seam.lengthMm.toFixed(1),
    signed(seam.gapShowMm.mean),
    signed(seam.gapShowMm.p95),
    signed(seam.gapShowMm.worst),
    signed(seam.gapShowMm.tightest),
    signed(seam.gapBackMm.mean),
    `${(seam.pressShare * 100).toFixed(0)} %`,
  ]);
  const lines = [
    `${result.piece}: ${result.parts.length} parts, ${result.seams.length} seams. Fit: ${result.fit}`,
    '',
    ...columns([head, ...rows]),
    '',
    'Gaps in mm at the show face: + is air, - presses. Lengths in mm.',
  ];
  if (result.warnings.length > 0) lines.push('', ...result.warnings.map(findingLine));
  if (result.files.length > 0) lines.push('', 'Written:', ...result.files.map((file) => `  ${file}`));
  return lines.join('\n');
}

export function findingLine(finding: Finding): string {
  const at = finding.at ? ` (at ${finding.at.x.toFixed(2)}, ${finding.at.y.toFixed(2)} mm)` : '';
  const word =
    finding.severity === 'decision' ? 'DECIDE ' : finding.severity === 'warning' ? 'warning' : 'note   ';
  return `${word} ${finding.message}${at}${finding.hint ? `\n        ${finding.hint}` : ''}`;
}

function signed(value: number): string {
  return `${value > 0 ? '+' : ''}${value.toFixed(3)}`;
}

function columns(rows: readonly (readonly string[])[]): string[] {
  const widths = rows[0]!.map((_, i) => Math.max(...rows.map((row) => row[i]!.length)));
  return rows.map((row) =>
    row
      .map((cell, i) => (i < 2 ? cell.padEnd(widths[i]!) : cell.padStart(widths[i]!)))
      .join('  ')
      .trimEnd(),
  );
}

/** Width and height of some closed curves together. */
function extent(curves: readonly Curve[]): [number, number] {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const curve of curves) {
    const box = curveBounds(curve);
    minX = Math.min(minX, box.minX);
    minY = Math.min(minY, box.minY);
    maxX = Math.max(maxX, box.maxX);
    maxY = Math.max(maxY, box.maxY);
  }
  return curves.length === 0 ? [0, 0] : [maxX - minX, maxY - minY];
}
