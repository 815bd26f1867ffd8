import { readFileSync } from 'node:fs';
import { readCutSvg, readPiece, writeCutSvg } from '@inlaywright/formats';
import { containsPoint, openKernel, regionArea, regionFromRings } from '@inlaywright/geometry';
import { dryFit, make, plainFit } from '@inlaywright/workshop';
import { beforeAll, describe, expect, test } from 'vitest';
import { drawPiece, outlineParts } from '../src/drawing/draw-piece.ts';
import type { PieceDrawing } from '../src/drawing/model.ts';

beforeAll(() => openKernel());

const FIT = plainFit(0.16, 0.03);

function drawn(name: string): { drawing: PieceDrawing; made: ReturnType<typeof make> } {
  const piece = readPiece(readFileSync(new URL(`../../../examples/${name}.json`, import.meta.url), 'utf8'));
  const made = make(piece, FIT);
  const readBack = made.sheets.map((sheet) => readCutSvg(writeCutSvg(sheet)));
  const fitted = dryFit(readBack, FIT);
  const drawing = drawPiece({
    piece,
    pair: false,
    mosaic: made.mosaic,
    outlines: outlineParts(piece, made.mosaic),
    compensation: made.compensation,
    sheets: made.sheets,
    dryFit: fitted,
    findings: [...made.findings, ...fitted.findings],
  });
  return { drawing, made };
}

/** Rings of path data made of M, L and Z only, with y turned up again. */
function ringsOf(path: string): Float64Array[] {
  return path
    .split('M')
    .filter((ring) => ring !== '')
    .map((ring) => {
      const numbers = ring.replace(/[LZ]/g, ' ').trim().split(/\s+/).map(Number);
      return Float64Array.from(numbers, (value, i) => (i % 2 === 0 ? value : -value));
    });
}

function lengthOf(path: string): number {
  let sum = 0;
  for (const ring of ringsOf(path)) {
    for (let i = 2; i < ring.length; i += 2)
      sum += Math.hypot(ring[i]! - ring[i - 2]!, ring[i + 1]! - ring[i - 1]!);
  }
  return sum;
}

const kept = new Map<string, ReturnType<typeof drawn>>();

function sheetOf(name: string): ReturnType<typeof drawn> {
  const found = kept.get(name) ?? drawn(name);
  kept.set(name, found);
  return found;
}

describe.each(['seed-pod', 'star-seed', 'fern-brooch'])('the drawing of %s', (name) => {
  test('shows every part with its area, to the drawn tolerance', () => {
    const { drawing, made } = sheetOf(name);
    expect(drawing.parts.map(({ id }) => id)).toEqual(made.mosaic.parts.map(({ id }) => id));
    expect(drawing.parts.length).toBeGreaterThan(5);
    for (const [i, part] of drawing.parts.entries()) {
      const area = regionArea(regionFromRings(ringsOf(part.path), 'evenodd'));
      // The outline lies within 0.004 mm of the true one: the area differs by less than that times its length.
      expect(Math.abs(area - made.mosaic.parts[i]!.areaMm2)).toBeLessThan(
        0.004 * lengthOf(`${part.path}`) + 1e-6,
      );
    }
  });

  test('shows every seam at its length, and all of it in the colours of its gaps at each face', () => {
    const { drawing, made } = sheetOf(name);
    expect(drawing.seams.map(({ id }) => id).sort()).toEqual(made.mosaic.seams.map(({ id }) => id).sort());
    for (const seam of drawing.seams) {
      expect(lengthOf(seam.path)).toBeGreaterThan(0.99 * seam.lengthMm);
      expect(lengthOf(seam.path)).toBeLessThan(1.0001 * seam.lengthMm + 0.001);
      for (const face of ['show', 'middle', 'back'] as const) {
        const coloured = seam.runs[face].reduce((sum, run) => sum + lengthOf(run.path), 0);
        expect(coloured).toBeCloseTo(lengthOf(seam.path), 2);
      }
    }
  });

  test('puts each number well inside its part', () => {
    const { drawing, made } = sheetOf(name);
    for (const [i, part] of drawing.parts.entries()) {
      const region = made.mosaic.parts[i]!.region;
      expect(containsPoint(region, { x: part.inside.x, y: -part.inside.y }), part.id).toBe(true);
      const box = part.box;
      expect(part.insideRadius).toBeLessThanOrEqual(
        Math.min(box.maxX - box.minX, box.maxY - box.minY) / 2 + 1e-6,
      );
      // The largest circle inside a shape covers at most the shape.
      expect(Math.PI * part.insideRadius ** 2).toBeLessThanOrEqual(part.areaMm2 * 1.001);
      expect(part.insideRadius).toBeGreaterThan(0);
    }
  });

  test('marks as turned what the cut files turn, and draws its hidden edge inside it', () => {
    const { drawing, made } = sheetOf(name);
    const turned = made.sheets.flatMap((sheet) =>
      sheet.parts.filter((part) => part.turned).map(({ part }) => part),
    );
    expect(drawing.parts.filter((part) => part.turned).map(({ id }) => id)).toEqual(turned.sort(byNumber));
    for (const [i, part] of drawing.parts.entries()) {
      if (!part.turned) expect(part.hidden).toBe(null);
      if (part.hidden === null) continue;
      for (const ring of ringsOf(part.hidden)) {
        for (let j = 0; j < ring.length; j += 2) {
          expect(containsPoint(made.mosaic.parts[i]!.region, { x: ring[j]!, y: ring[j + 1]! })).toBe(true);
        }
      }
    }
  });
});

test('grain runs along its tone, in the model’s sense of turning', () => {
  const { drawing } = sheetOf('fern-brooch');
  const lined = drawing.parts.filter((part) => part.grain);
  expect(lined.length).toBeGreaterThan(3);
  for (const part of lined) {
    const { from, to } = part.grain!;
    const drawnDeg = (Math.atan2(-(to.y - from.y), to.x - from.x) * 180) / Math.PI;
    const grainDeg = drawing.tones.find(({ id }) => id === part.tone)!.grainDeg!;
    expect(Math.sin(((drawnDeg - grainDeg) * Math.PI) / 180)).toBeCloseTo(0, 6);
  }
});

function byNumber(a: string, b: string): number {
  return Number(a.slice(1)) - Number(b.slice(1));
}
