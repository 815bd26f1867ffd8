import { BODY_SCHEMAS, type MaterialEntry } from '@inlaywright/formats';
import { COMPOSITES, type Composite, type Figure, SPECIES, type Species } from '@inlaywright/workshop';
import { cautionsOfName } from './kinds.ts';
import type { Store } from './storage/store.ts';

/** Built-in materials and the maker's own, each with what the laser makes of it. */
export function materialTable(store: Store): MaterialEntry[] {
  return [...SPECIES.map(fromSpecies), ...COMPOSITES.map(fromComposite), ...own(store)];
}

function fromSpecies(species: Species): MaterialEntry {
  const { id, name, botanicalName, tropical, hazard } = species;
  return {
    id,
    name,
    type: 'wood',
    origin: 'species',
    botanicalName,
    tropical,
    figures: figuresOf(species.figures),
    ...(hazard === undefined
      ? {}
      : { hazard: { ...hazard, reactions: [...hazard.reactions], sites: [...hazard.sites] } }),
    notes: [...species.notes],
    cautions: cautionsOfName(name),
  };
}

function fromComposite({ id, name, type, layers, figures, notes }: Composite): MaterialEntry {
  return {
    id,
    name,
    type,
    origin: 'composite',
    botanicalName: '',
    tropical: false,
    figures: figuresOf(figures),
    ...(layers.length === 0
      ? {}
      : {
          layers: layers.map(({ species, share, crossGrain }) => ({ material: species, share, crossGrain })),
        }),
    notes: [...notes],
    cautions: cautionsOfName(name),
  };
}

function own(store: Store): MaterialEntry[] {
  return store.list('materials').map((stored) => {
    const body = BODY_SCHEMAS.materials.parse(JSON.parse(stored.content));
    const figures: MaterialEntry['figures'] = {};
    for (const name of ['densityKgM3', 'changeRadialPerPct', 'changeTangentialPerPct'] as const) {
      const value = body[name];
      if (value !== undefined) figures[name] = { value, source: body.source, basis: 'given by the maker' };
    }
    return {
      id: stored.id,
      name: body.name,
      type: body.type,
      origin: 'own',
      botanicalName: body.botanicalName,
      tropical: false,
      figures,
      notes: body.notes === '' ? [] : [body.notes],
      cautions: cautionsOfName(body.name),
      version: stored.version,
    };
  });
}

function figuresOf(figures: Readonly<Partial<Record<string, Figure>>>): MaterialEntry['figures'] {
  const all: MaterialEntry['figures'] = {};
  for (const [name, figure] of Object.entries(figures)) if (figure) all[name] = { ...figure };
  return all;
}
