import { expect, test } from 'vitest';
import { COMPOSITES, compositeById, laserVerdicts, SPECIES, speciesById } from '../../src/index.ts';

test('layers are woods of the table and fill the whole thickness', () => {
  for (const { id, layers } of COMPOSITES.filter((composite) => composite.layers.length > 0)) {
    expect(
      layers.reduce((sum, { share }) => sum + share, 0),
      id,
    ).toBeCloseTo(1, 12);
    for (const { species } of layers) expect(speciesById(species), `${id}: ${species}`).toBeDefined();
    // A sheet whose two faces differ would bow.
    expect(layers.map(({ species, crossGrain }) => `${species} ${crossGrain}`)).toEqual(
      layers.map(({ species, crossGrain }) => `${species} ${crossGrain}`).reverse(),
    );
  }
});

test('the density of a plywood is the mean of its layers by thickness', () => {
  const density = (id: string): number => speciesById(id)!.figures.densityKgM3!.value;
  expect(compositeById('plywood-cherry-on-basswood')!.figures.densityKgM3!.value).toBeCloseTo(
    0.2 * density('cherry-black') + 0.8 * density('basswood-american'),
    1,
  );
  expect(compositeById('veneer-holly-american')!.figures).toEqual(speciesById('holly-american')!.figures);
});

test('no id is also that of a wood, and nothing built in is refused under a laser', () => {
  const ids = [...COMPOSITES.map(({ id }) => id), ...SPECIES.map(({ id }) => id)];
  expect(new Set(ids).size).toBe(ids.length);
  for (const { name } of COMPOSITES) {
    expect(
      laserVerdicts(name).filter(({ verdict }) => verdict === 'refused'),
      name,
    ).toEqual([]);
  }
});
