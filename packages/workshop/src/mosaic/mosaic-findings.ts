import type { Finding } from '../finding.ts';
import { PIERCING, type Piece } from '../piece/piece.ts';
import type { Part, Seam } from './model.ts';
import type { MergedSliver, SolidMeasure } from './slivers.ts';

interface Seen {
  readonly piece: Piece;
  readonly parts: readonly Part[];
  readonly seams: readonly Seam[];
  /** Per walk, the area that shows, before slivers were merged. */
  readonly shown: Int32Array;
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
  return merged.map(({ at, areaMm2, widthMm, area, into }) => {
    const where = `at (${at.x.toFixed(2)}, ${at.y.toFixed(2)})`;
    const size = `${areaMm2.toPrecision(2)} mm2, ${widthMm.toPrecision(2)} mm wide`;
    const id = piece.areas[area]!.id;
    const target = parts[into];
    return target
      ? {
          code: 'sliver-merged',
          severity: 'note',
          message: `A sliver of area "${id}" ${where} (${size}) cannot be cut; it became part of ${target.id} (${target.tone}).`,
          hint: 'Move the areas apart or over one another if the sliver was meant to show.',
          at,
          areas: [id],
          parts: [target.id],
          figureMm: widthMm,
        }
      : {
          code: 'dust-dropped',
          severity: 'note',
          message: `A speck of area "${id}" ${where} (${size}) touches no other part and is thinner than drawings are exact; it was left out.`,
          hint: 'Nothing to do, unless it was meant to be a part: then make it larger.',
          at,
          areas: [id],
          figureMm: widthMm,
        };
  });
}

function widthFindings({ parts, measures, alone, narrowMm }: Seen): Finding[] {
  return parts.flatMap((part, number): Finding[] => {
    const { widthMm, widestAt } = measures[number]!;
    const where = `at (${widestAt.x.toFixed(2)}, ${widestAt.y.toFixed(2)})`;
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

function hiddenFindings({ piece, shown }: Seen): Finding[] {
  const seen = new Set(shown);
  return piece.areas.flatMap((area, index): Finding[] => {
    if (area.tone === PIERCING || seen.has(index)) return [];
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
