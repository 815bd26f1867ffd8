import { SOURCES, SPECIES_ROWS } from './species-data.ts';

/** How a value is known: seen in a copy of its source, remembered, or computed from a named equation. */
export type Basis = 'read' | 'memory' | 'computed';

/** A published figure with where it comes from. */
export interface Figure {
  readonly value: number;
  readonly source: string;
  readonly basis: Basis;
}

export const FIGURES = [
  'densityKgM3',
  'bendingStrengthMPa',
  'bendingModulusMPa',
  'compressionAlongMPa',
  'compressionAcrossMPa',
  'shearAlongMPa',
  'tensionAcrossMPa',
  'sideHardnessN',
  'shrinkageRadialPct',
  'shrinkageTangentialPct',
  'shrinkageVolumetricPct',
  'changeRadialPerPct',
  'changeTangentialPerPct',
] as const;

export type FigureName = (typeof FIGURES)[number];

/** Reactions that a wood's dust or contact is known for; a usual caution, not medical advice. */
export interface WoodHazard {
  readonly listedAs: string;
  /** In words: irritant, sensitiser, ... */
  readonly reactions: readonly string[];
  /** skin, eyes, breathing */
  readonly sites: readonly string[];
  /** `+` (slight) to `++++` (strong) */
  readonly potency: string;
  readonly source: string;
  readonly basis: Basis;
}

/**
 * A wood with its published values: density and strength at 12 % moisture, shrinkage from green to oven dry in
 * percent, and the change of size per percent of moisture (Wood Handbook Table 13-5 or Eq. 13-3). A figure that
 * nobody published for it is absent.
 */
export interface Species {
  readonly id: string;
  readonly name: string;
  readonly botanicalName: string;
  readonly tropical: boolean;
  readonly figures: Readonly<Partial<Record<FigureName, Figure>>>;
  readonly notes: readonly string[];
  readonly hazard?: WoodHazard;
}

type FigureRow = readonly [number, number, string];

/** A row of species-data.ts. */
export type SpeciesRow = {
  readonly id: string;
  readonly name: string;
  readonly botanicalName: string;
  readonly notes?: readonly string[];
  readonly tropical?: boolean;
  readonly hazard?: {
    readonly listedAs: string;
    readonly reaction: string;
    readonly site: string;
    readonly potency: string;
    readonly source: number;
    readonly basis: string;
  };
} & { readonly [K in FigureName]?: readonly (number | string)[] };

const REACTIONS: Readonly<Record<string, string>> = {
  I: 'irritant',
  S: 'sensitiser',
  C: 'nasopharyngeal cancer (dust)',
  P: 'pneumonitis, alveolitis',
  N: 'nausea, malaise',
};
const SITES: Readonly<Record<string, string>> = { S: 'skin', E: 'eyes', R: 'breathing' };

function speciesOf(row: SpeciesRow): Species {
  const figures: Partial<Record<FigureName, Figure>> = {};
  for (const name of FIGURES) {
    const figure = row[name] as FigureRow | undefined;
    if (figure) figures[name] = { value: figure[0], source: SOURCES[figure[1]]!, basis: figure[2] as Basis };
  }
  const words = (text: string, table: Readonly<Record<string, string>>): string[] =>
    text.split(',').map((letter) => table[letter.trim()] ?? letter.trim());
  return {
    id: row.id,
    name: row.name,
    botanicalName: row.botanicalName,
    tropical: row.tropical ?? false,
    figures,
    notes: row.notes ?? [],
    ...(row.hazard === undefined
      ? {}
      : {
          hazard: {
            listedAs: row.hazard.listedAs,
            reactions: words(row.hazard.reaction, REACTIONS),
            sites: words(row.hazard.site, SITES),
            potency: row.hazard.potency,
            source: SOURCES[row.hazard.source]!,
            basis: row.hazard.basis as Basis,
          },
        }),
  };
}

/** Every wood of the collection, by name. */
export const SPECIES: readonly Species[] = SPECIES_ROWS.map(speciesOf).sort((a, b) =>
  a.name.localeCompare(b.name, 'en'),
);

export function speciesById(id: string): Species | undefined {
  return SPECIES.find((species) => species.id === id);
}
