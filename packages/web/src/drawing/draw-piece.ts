import { offset, type Region, regionBounds, simplifyRegion } from '@inlaywright/geometry';
import type { Compensation, CutSheet, DryFit, Finding, Mosaic, Piece, SeamFit } from '@inlaywright/workshop';
import { grainLine } from './grain-line.ts';
import { insidePlace } from './inside-place.ts';
import type { Box, DrawnPart, DrawnSeam, GapNumbers, PieceDrawing, Place } from './model.ts';
import { numberNotes } from './notes.ts';
import { partsApart } from './parts-apart.ts';
import { linePath, placesPath, regionPath } from './path-data.ts';
import { nearestSamples, type SeamLine, seamLines, seamRuns } from './seam-runs.ts';

/** Outlines are drawn this close to the true ones, mm: a twentieth of a pixel at 12 px to the mm. */
const DRAWN_TOLERANCE_MM = 0.004;
/** How far inside its outline a turned part's hidden line runs, mm. */
const HIDDEN_INSET_MM = 0.45;

/** What of a part's drawing depends on the piece alone: made once, kept while fit and options change. */
export interface PartOutlines {
  readonly byPart: ReadonlyMap<
    string,
    Omit<DrawnPart, 'turned' | 'hidden'> & { readonly hiddenLine: string | null }
  >;
  readonly box: Box;
  readonly apartBox: Box;
  readonly rims: string;
  readonly seamLines: string;
  readonly bySeam: ReadonlyMap<string, readonly SeamLine[]>;
}

function flippedBox(region: Region): Box {
  const box = regionBounds(region);
  return { minX: box.minX, minY: -box.maxY, maxX: box.maxX, maxY: -box.minY };
}

function flipped(p: { readonly x: number; readonly y: number }): Place {
  return { x: p.x, y: -p.y };
}

/** Outlines, numbers' places, grain and places apart of all parts. */
export function outlineParts(piece: Piece, mosaic: Mosaic): PartOutlines {
  const grainOf = new Map(piece.tones.map((tone) => [tone.id, tone.grainDeg]));
  const box = flippedBox(mosaic.outline);
  const boxes = mosaic.parts.map((part) => ({
    id: part.id,
    level: part.level,
    box: flippedBox(part.region),
  }));
  const moves = partsApart(boxes, box);
  const byPart = new Map(
    mosaic.parts.map((part, index) => {
      const drawn = simplifyRegion(part.region, DRAWN_TOLERANCE_MM);
      const { at, radius } = insidePlace(drawn);
      const grainDeg = grainOf.get(part.tone);
      const grain = grainDeg === undefined ? null : grainLine(drawn, at, grainDeg);
      const inset = offset(drawn, -HIDDEN_INSET_MM, { tolerance: DRAWN_TOLERANCE_MM });
      return [
        part.id,
        {
          id: part.id,
          number: part.id.replace(/^p(?=\d+$)/, ''),
          tone: part.tone,
          level: part.level,
          areaMm2: part.areaMm2,
          box: boxes[index]!.box,
          path: regionPath(drawn),
          hiddenLine: inset.rings.length > 0 ? regionPath(simplifyRegion(inset, DRAWN_TOLERANCE_MM)) : null,
          inside: flipped(at),
          insideRadius: radius,
          corners: nearCorners(drawn, boxes[index]!.box),
          grain: grain && { from: flipped(grain.from), to: flipped(grain.to) },
          apart: moves.get(part.id)!,
        },
      ] as const;
    }),
  );
  const apartBox = boxes.reduce((sum, { id, box: own }) => {
    const move = moves.get(id)!;
    return {
      minX: Math.min(sum.minX, own.minX + move.x),
      minY: Math.min(sum.minY, own.minY + move.y),
      maxX: Math.max(sum.maxX, own.maxX + move.x),
      maxY: Math.max(sum.maxY, own.maxY + move.y),
    };
  }, box);
  return {
    byPart,
    box,
    apartBox,
    rims: mosaic.rims.flatMap((rim) => rim.stretches.map((s) => linePath(s.points, s.closed))).join(''),
    seamLines: mosaic.seams
      .flatMap((seam) => seam.stretches.map((s) => linePath(s.points, s.closed)))
      .join(''),
    bySeam: new Map(mosaic.seams.map((seam) => [seam.id, seamLines(seam.stretches)])),
  };
}

/** The outline's places nearest the corners of its (flipped) box. */
function nearCorners(region: Region, box: Box): readonly [Place, Place, Place, Place] {
  const nearest = (corner: Place): Place => {
    let best = corner;
    let least = Number.POSITIVE_INFINITY;
    for (const ring of region.rings) {
      for (let i = 0; i < ring.length; i += 2) {
        const place = { x: ring[i]!, y: -ring[i + 1]! };
        const far = Math.hypot(place.x - corner.x, place.y - corner.y);
        if (far < least) {
          least = far;
          best = place;
        }
      }
    }
    return best;
  };
  return [
    nearest({ x: box.minX, y: box.minY }),
    nearest({ x: box.maxX, y: box.minY }),
    nearest({ x: box.minX, y: box.maxY }),
    nearest({ x: box.maxX, y: box.maxY }),
  ];
}

/** The whole drawing of a piece from everything that was computed of it. */
export function drawPiece(input: {
  readonly piece: Piece;
  readonly pair: boolean;
  readonly mosaic: Mosaic;
  readonly outlines: PartOutlines;
  readonly compensation: Compensation;
  readonly sheets: readonly CutSheet[];
  readonly dryFit: DryFit;
  readonly findings: readonly Finding[];
}): PieceDrawing {
  const { piece, mosaic, outlines } = input;
  const turned = new Set(input.compensation.cuts.filter((cut) => cut.turned).map((cut) => cut.part));
  return {
    name: piece.name,
    pair: input.pair,
    box: outlines.box,
    apartBox: outlines.apartBox,
    rims: outlines.rims,
    seamLines: outlines.seamLines,
    tones: piece.tones.map((tone) => {
      const parts = mosaic.parts.filter((part) => part.tone === tone.id);
      return {
        id: tone.id,
        name: tone.name,
        colour: tone.colour,
        grainDeg: tone.grainDeg ?? null,
        parts: parts.length,
        areaMm2: parts.reduce((sum, part) => sum + part.areaMm2, 0),
      };
    }),
    parts: mosaic.parts.map((part) => {
      const { hiddenLine, ...outline } = outlines.byPart.get(part.id)!;
      const isTurned = turned.has(part.id);
      return { ...outline, turned: isTurned, hidden: isTurned ? hiddenLine : null };
    }),
    // The right partner mirrors the left one; the drawing shows the left.
    seams: input.dryFit.seams
      .filter((seam) => seam.hand !== 'right')
      .map((seam) => drawSeam(seam, outlines.bySeam.get(seam.id) ?? [])),
    notes: numberNotes(input.findings),
    stocks: input.sheets.map((sheet) => ({
      stock: sheet.stock,
      parts: sheet.parts.length,
      widthMm: sheet.widthMm,
      heightMm: sheet.heightMm,
    })),
  };
}

function drawSeam(seam: SeamFit, lines: readonly SeamLine[]): DrawnSeam {
  const samples = nearestSamples(lines, seam.samples);
  const longest = [...lines].sort((p, q) => q.length - p.length)[0];
  // Off the middle: on a symmetric stretch that would be a point or a corner, where other leaders meet.
  const middle = longest?.[Math.floor(0.37 * longest.length)];
  return {
    id: seam.id,
    a: seam.a,
    b: seam.b,
    lengthMm: seam.lengthMm,
    gaps: {
      show: gapNumbers(seam.gapShowMm),
      middle: gapNumbers(seam.gapMiddleMm),
      back: gapNumbers(seam.gapBackMm),
    },
    pressShare: seam.pressShare,
    gradeProbability: seam.gradeProbability ?? null,
    path: lines.map((line) => placesPath(line.map(flipped))).join(''),
    runs: {
      show: seamRuns(lines, samples, 'show'),
      middle: seamRuns(lines, samples, 'middle'),
      back: seamRuns(lines, samples, 'back'),
    },
    at: flipped(middle ?? seam.gapShowMm.worstAt),
  };
}

function gapNumbers(figures: SeamFit['gapShowMm']): GapNumbers {
  return { ...figures, worstAt: flipped(figures.worstAt), tightestAt: flipped(figures.tightestAt) };
}
