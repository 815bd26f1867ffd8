import type { Point } from '@inlaywright/geometry';
import type { Finding } from '../finding.ts';
import { PIERCING, type Piece } from '../piece/piece.ts';
import type { Part, Seam } from './model.ts';
import { DUST_WIDTH_MM, type MergedSliver, type SolidMeasure } from './slivers.ts';

interface Seen {
  readonly piece: Piece;
  readonly parts: readonly Part[];
  readonly seams: readonly Seam[];
  /** Per walk, the area that shows, before slivers were merged. */
  readonly shown: Int32Array;
  /** Per area, 1 for piercings that open something. */
  readonly opens: Uint8Array;
  /** `into` is a part number here, or -1. */
  readonly merged: readonly MergedSliver[];
  readonly measures: readonly SolidMeasure[];
  readonly alone: ReadonlySet<number>;
  readonly narrowMm: number;
}

/** What the maker should know about a partition. */
export function mosaicFindings(seen: Seen): Finding[] {
  return [...sliverFindings(seen), ...widthFindings(seen), ...hiddenFindings(seen), ...bodyFindings(seen)];
}

function sliverFindings({ piece, parts, merged }: Seen): Finding[] {
  const specks = merged.filter((sliver) => sliver.widthMm < DUST_WIDTH_MM);
  const findings = merged.flatMap((sliver): Finding[] => {
    const { at, areaMm2, widthMm, area, into } = sliver;
    const target = parts[into];
    if (widthMm < DUST_WIDTH_MM || target === undefined) return [];
    const id = piece.areas[area]!.id;
    return [
      {
        code: 'sliver-merged',
        severity: 'note',
        message: `A sliver of area "${id}" at ${place(at)} (${areaMm2.toPrecision(2)} mm2, ${widthMm.toFixed(3)} mm wide) cannot be cut; it became part of ${target.id} (${target.tone}).`,
        hint: 'Move the areas apart or over one another if the sliver was meant to show.',
        at,
        areas: [id],
        parts: [target.id],
        figureMm: widthMm,
      },
    ];
  });
  if (specks.length > 0) {
    const largest = specks.reduce((a, b) => (a.areaMm2 > b.areaMm2 ? a : b));
    const ids = [...new Set(specks.map((speck) => piece.areas[speck.area]!.id))];
    const gone = specks.filter((speck) => speck.into < 0).length;
    const where = [
      gone < specks.length ? `${specks.length - gone} went to their neighbours` : '',
      gone > 0 ? `${gone} touch nothing and were left out` : '',
    ].filter(Boolean);
    findings.push({
      code: 'specks-cleared',
      severity: 'note',
      message: `${specks.length} specks thinner than ${DUST_WIDTH_MM * 1000} um, the largest at ${place(largest.at)} (${largest.areaMm2.toPrecision(2)} mm2): ${where.join(', ')}.`,
      hint: 'Nothing to do: outlines that were meant to meet do not quite.',
      at: largest.at,
      areas: ids,
    });
  }
  return findings;
}

function place(p: Point): string {
  return `(${p.x.toFixed(2)}, ${p.y.toFixed(2)})`;
}

function widthFindings({ parts, measures, alone, narrowMm }: Seen): Finding[] {
  return parts.flatMap((part, number): Finding[] => {
    const { widthMm, widestAt } = measures[number]!;
    const where = `at ${place(widestAt)}`;
    if (alone.has(number)) {
      return [
        {
          code: 'part-too-small',
          severity: 'decision',
          message: `Part ${part.id} (${part.tone}) ${where} has ${part.areaMm2.toPrecision(2)} mm2 and no neighbour to be joined to: it cannot be held or cut.`,
          hint: `Make it larger, or let area "${part.areas[0]}" overlap its neighbour.`,
          at: widestAt,
          areas: part.areas,
          parts: [part.id],
          ...(widthMm === undefined ? {} : { figureMm: widthMm }),
        },
      ];
    }
    if (widthMm === undefined || widthMm >= narrowMm) return [];
    return [
      {
        code: 'part-narrow',
        severity: 'warning',
        message: `Part ${part.id} (${part.tone}) is ${widthMm.toFixed(2)} mm wide at its widest place ${where}, less than ${narrowMm} mm: it may burn or break.`,
        hint: `Widen area "${part.areas[0]}" to ${narrowMm} mm or more.`,
        at: widestAt,
        areas: part.areas,
        parts: [part.id],
        figureMm: widthMm,
      },
    ];
  });
}

function hiddenFindings({ piece, shown, opens }: Seen): Finding[] {
  const seen = new Set(shown);
  const ground = piece.areas.findIndex((area) => area.tone !== PIERCING);
  return piece.areas.flatMap((area, index): Finding[] => {
    if (area.tone === PIERCING) {
      if (opens[index]) return [];
      return [
        {
          code: 'piercing-outside',
          severity: 'warning',
          message: `Piercing "${area.id}" opens nothing: it lies outside the outline.`,
          hint: 'Move it onto the piece, or delete it.',
          areas: [area.id],
        },
      ];
    }
    // The lowest area gives the outline even where nothing of it shows.
    if (index === ground || seen.has(index)) return [];
    return [
      {
        code: 'area-hidden',
        severity: 'warning',
        message: `Area "${area.id}" shows nowhere: areas above it cover it, or it lies outside the outline.`,
        hint: 'Move it up in the order, move it onto the piece, or delete it.',
        areas: [area.id],
      },
    ];
  });
}

/** A piece whose parts are not all joined by seams falls apart into bodies. */
function bodyFindings({ parts, seams }: Seen): Finding[] {
  const number = new Map(parts.map((part, i) => [part.id, i]));
  const parent = parts.map((_, i) => i);
  const find = (i: number): number => {
    while (parent[i] !== i) i = parent[i]!;
    return i;
  };
  for (const seam of seams) parent[find(number.get(seam.a)!)] = find(number.get(seam.b)!);
  const roots = parts.flatMap((_, i) => (parent[i] === i ? [i] : []));
  if (roots.length < 2) return [];
  const main = find(0);
  const loose = parts.filter((_, i) => find(i) !== main).map((part) => part.id);
  return [
    {
      code: 'piece-in-bodies',
      severity: 'warning',
      message: `The piece is ${roots.length} separate bodies: ${loose.join(', ')} share no seam with the body of p1.`,
      hint: 'Join them by a common ground, or accept that they are separate when cut.',
      parts: loose,
    },
  ];
}
