import { type Basis, type Figure, type FigureName, speciesById } from './species.ts';

/**
 * Sheet goods that are no single wood. A plywood or a wood veneer is made of woods of the species table: its figures
 * follow from its layers; the others carry their own. Values that nobody published in what we read are absent.
 */

export interface Layer {
  /** A wood of the species table. */
  readonly species: string;
  /** Share of the thickness, 0 to 1; the shares of a composite add up to 1. */
  readonly share: number;
  /** The layer's grain lies across that of the face. */
  readonly crossGrain: boolean;
}

export interface Composite {
  readonly id: string;
  readonly name: string;
  readonly type: 'plywood' | 'veneer' | 'board' | 'plastic' | 'leather' | 'paper';
  /** From one face to the other; none for what is not made of layers of wood. */
  readonly layers: readonly Layer[];
  readonly figures: Readonly<Partial<Record<FigureName, Figure>>>;
  readonly notes: readonly string[];
}

type Row = Omit<Composite, 'figures' | 'layers'> & {
  readonly layers?: readonly Layer[];
  readonly figures?: Composite['figures'];
};

const remembered = (value: number, what: string): Figure => ({
  value,
  source: `${what}, from memory`,
  basis: 'memory',
});

/** Plies of equal thickness, face grain and cross grain in turn. */
function plies(species: string, count: number): Layer[] {
  return Array.from({ length: count }, (_, i) => ({ species, share: 1 / count, crossGrain: i % 2 === 1 }));
}

const GLUE =
  'Figures follow from the woods of the plies; glue, pressing and gaps in the core are not counted.';

const ROWS: readonly Row[] = [
  {
    id: 'plywood-birch-3',
    name: 'Birch plywood, three plies',
    type: 'plywood',
    layers: plies('birch-yellow', 3),
    notes: [GLUE],
  },
  {
    id: 'plywood-birch-5',
    name: 'Birch plywood, five plies',
    type: 'plywood',
    layers: plies('birch-yellow', 5),
    notes: [GLUE],
  },
  {
    id: 'plywood-basswood-3',
    name: 'Basswood plywood, three plies',
    type: 'plywood',
    layers: plies('basswood-american', 3),
    notes: [GLUE],
  },
  {
    id: 'plywood-cherry-on-basswood',
    name: 'Plywood, cherry faces on a basswood core',
    type: 'plywood',
    layers: [
      { species: 'cherry-black', share: 0.1, crossGrain: false },
      { species: 'basswood-american', share: 0.8, crossGrain: true },
      { species: 'cherry-black', share: 0.1, crossGrain: false },
    ],
    notes: [GLUE, 'Faces of a tenth of the thickness each; look at the edge of yours.'],
  },
  ...(
    [
      ['cherry-black', 'Cherry veneer'],
      ['holly-american', 'Holly veneer'],
      ['sapele', 'Sapele veneer'],
      ['walnut-black', 'Walnut veneer'],
      ['maple-sugar', 'Maple veneer'],
    ] as const
  ).map(
    ([species, name]): Row => ({
      id: `veneer-${species}`,
      name,
      type: 'veneer',
      layers: [{ species, share: 1, crossGrain: false }],
      notes: ['Moves like its wood until it is glued to something stiffer.'],
    }),
  ),
  {
    id: 'acrylic-cast',
    name: 'Acrylic, cast',
    type: 'plastic',
    figures: { densityKgM3: remembered(1190, 'density of poly(methyl methacrylate)') },
    notes: ['Bright edge; cracks where it is forced: press it looser than wood.'],
  },
  {
    id: 'acrylic-extruded',
    name: 'Acrylic, extruded',
    type: 'plastic',
    figures: { densityKgM3: remembered(1190, 'density of poly(methyl methacrylate)') },
    notes: ['Melts more at the edge than cast sheet does; its kerf is its own.'],
  },
  {
    id: 'mdf',
    name: 'MDF',
    type: 'board',
    figures: { densityKgM3: remembered(750, 'common density of medium-density fibreboard') },
    notes: ['Has no grain.'],
  },
  { id: 'leather-vegetable-tanned', name: 'Leather, vegetable-tanned', type: 'leather', notes: [] },
  { id: 'cardboard', name: 'Cardboard', type: 'paper', notes: ['For trial cuts.'] },
];

/** Composites and other sheet goods, in the order they are offered. */
export const COMPOSITES: readonly Composite[] = ROWS.map((row) => ({
  ...row,
  layers: row.layers ?? [],
  figures: row.figures ?? figuresOf(row.layers ?? []),
}));

export function compositeById(id: string): Composite | undefined {
  return COMPOSITES.find((composite) => composite.id === id);
}

/** One layer has its wood's figures; of several only the density follows without knowing the glue: its mean by thickness. */
function figuresOf(layers: readonly Layer[]): Composite['figures'] {
  if (layers.length === 0) return {};
  const [only] = layers;
  if (layers.length === 1) return speciesById(only!.species)!.figures;
  let density = 0;
  const bases = new Set<Basis>();
  const woods = new Set<string>();
  for (const { species, share } of layers) {
    const figure = speciesById(species)!.figures.densityKgM3!;
    density += share * figure.value;
    bases.add(figure.basis);
    woods.add(speciesById(species)!.name);
  }
  return {
    densityKgM3: {
      value: Math.round(density * 10) / 10,
      source: `mean of the layers by thickness (${[...woods].join(', ')}), glue not counted`,
      basis: bases.has('memory') ? 'memory' : 'computed',
    },
  };
}
