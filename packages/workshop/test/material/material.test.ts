import { expect, test } from 'vitest';
import { laserVerdicts } from '../../src/material/laser-safety.ts';
import { SPECIES, speciesById } from '../../src/material/species.ts';

test('every wood has a name, a botanical name and figures with a source each', () => {
  expect(SPECIES.length).toBe(52);
  expect(new Set(SPECIES.map((species) => species.id)).size).toBe(SPECIES.length);
  for (const species of SPECIES) {
    expect(species.botanicalName, species.name).toMatch(/^[A-Z][a-z]+ /);
    for (const [name, figure] of Object.entries(species.figures)) {
      expect(figure.value, `${species.name} ${name}`).toBeGreaterThan(0);
      expect(figure.source.length).toBeGreaterThan(5);
      expect(['read', 'memory', 'computed']).toContain(figure.basis);
    }
  }
});

test('values are those of the Wood Handbook', () => {
  // FPL-GTR-190 Tables 5-3a, 4-3 and 13-5 (read): white ash.
  const ash = speciesById('ash-white')!.figures;
  expect(ash.bendingStrengthMPa!.value).toBe(103);
  expect(ash.bendingModulusMPa!.value).toBe(12000);
  expect(ash.shearAlongMPa!.value).toBe(13.2);
  expect(ash.shrinkageTangentialPct!.value).toBe(7.8);
  expect(ash.changeTangentialPerPct!.value).toBe(0.00274);
  // FPL-GTR-282 Table 5-5b (read), inch-pound: sapele, 15,300 psi; 1 psi = 6.894757 kPa.
  expect(speciesById('sapele')!.figures.bendingStrengthMPa!.value).toBeCloseTo(15300 * 0.006894757, 1);
});

test('change coefficients follow from the shrinkages where both are printed', () => {
  // Wood Handbook Eq. 13-3: C = 1/(3000/S - 20). Sweet birch prints the yellow-birch values (known misprint), and the
  // rows of commercial oak stand for groups of species.
  let compared = 0;
  for (const species of SPECIES) {
    const { shrinkageTangentialPct: shrinkage, changeTangentialPerPct: change } = species.figures;
    if (shrinkage?.basis !== 'read' || change?.basis !== 'read') continue;
    if (species.id === 'birch-sweet' || change.source.includes('commercial')) continue;
    expect(Math.abs(change.value - 1 / (3000 / shrinkage.value - 20)), species.name).toBeLessThan(0.00002);
    compared += 1;
  }
  expect(compared).toBeGreaterThan(15);
});

test('sensitising woods carry their reactions in words', () => {
  expect(speciesById('cocobolo')!.hazard).toMatchObject({
    reactions: ['irritant', 'sensitiser'],
    potency: '+++',
  });
  expect(speciesById('holly-american')!.hazard).toBeUndefined();
});

test('materials that poison or burn are refused by name, with the reason', () => {
  for (const name of [
    'PVC sheet',
    'soft vinyl, black',
    'ABS 2 mm',
    'Polycarbonate',
    'fiberglass',
    'Pressure-treated pine',
  ]) {
    expect(laserVerdicts(name)[0]?.verdict, name).toBe('refused');
    expect(laserVerdicts(name)[0]!.reason.length).toBeGreaterThan(5);
  }
  for (const name of ['PVC3mm', '3mmPVC', '3mm pvc', 'ABS 3', '5ABS', 'P.V.C. white', 'Teflon2']) {
    expect(laserVerdicts(name)[0]?.verdict, name).toBe('refused');
  }
  expect(laserVerdicts('birch plywood')[0]?.verdict).toBe('caution');
  for (const name of [
    'cherry',
    'absolute black oak',
    'cast acrylic',
    'ply-free bamboo?'.replace('ply-free', 'solid'),
  ]) {
    expect(
      laserVerdicts(name).filter((verdict) => verdict.verdict === 'refused'),
      name,
    ).toEqual([]);
  }
});
