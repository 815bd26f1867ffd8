import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { fitOrdinal, type OrdinalData } from '../../src/statistics/ordinal.ts';

const reference = JSON.parse(
  readFileSync(new URL('../reference/probit-check.json', import.meta.url), 'utf8'),
);

// Bliss (1935), Annals of Applied Biology 22:134-167; fits as in Dobson, Table 7.4, and R's glm (basis in the file).
describe('beetle mortality (Bliss 1935)', () => {
  const { log10_dose, n, killed, fits } = reference.beetles;
  const data: OrdinalData = {
    x: log10_dose.flatMap((dose: number) => [[dose], [dose]]),
    grade: log10_dose.flatMap(() => [0, 1]),
    weight: log10_dose.flatMap((_: number, i: number) => [n[i] - killed[i], killed[i]]),
    levels: 2,
  };
  const saturated = n.reduce((sum: number, count: number, i: number) => {
    const share = killed[i] / count;
    const part = (k: number, p: number) => (k === 0 ? 0 : k * Math.log(p));
    return sum + part(killed[i], share) + part(count - killed[i], 1 - share);
  }, 0);

  for (const link of ['logit', 'probit'] as const) {
    test(`${link}: coefficients, standard errors and deviance`, () => {
      const published = fits.find((fit: { link: string }) => fit.link === link);
      const fit = fitOrdinal(data, link);
      expect(fit.converged).toBe(true);
      expect(fit.coefficients[0]).toBeCloseTo(published.slope, 2);
      expect(-fit.cuts[0]!).toBeCloseTo(published.intercept, 2);
      expect(fit.logLikelihood).toBeCloseTo(published.loglik_bernoulli, 3);
      expect(2 * (saturated - fit.logLikelihood)).toBeCloseTo(published.deviance, 3);
      // The published probit errors use the expected information, these the observed one: 2 % apart at most.
      const tolerance = link === 'logit' ? 0.001 : 0.02;
      expect(Math.abs(fit.coefficientSe[0]! / published.slope_se - 1)).toBeLessThan(tolerance);
      expect(Math.abs(fit.cutSe[0]! / published.intercept_se - 1)).toBeLessThan(tolerance);
    });
  }
});

// Madsen (1976), Venables & Ripley's MASS::housing: 1,681 tenants; polr's published output (basis in the file).
describe('housing satisfaction (MASS)', () => {
  const { levels, freq } = reference.housing;
  const x: number[][] = [];
  const grade: number[] = [];
  for (const cont of levels.Cont) {
    for (const type of levels.Type) {
      for (const infl of levels.Infl) {
        for (let sat = 0; sat < 3; sat++) {
          x.push([
            +(infl === 'Medium'),
            +(infl === 'High'),
            +(type === 'Apartment'),
            +(type === 'Atrium'),
            +(type === 'Terrace'),
            +(cont === 'High'),
          ]);
          grade.push(sat);
        }
      }
    }
  }
  for (const link of ['logit', 'probit'] as const) {
    test(`${link}: the published coefficients, cuts, errors and deviance`, () => {
      const published = reference.housing[link];
      const fit = fitOrdinal({ x, grade, weight: freq, levels: 3 }, link);
      Object.values(published.coef as Record<string, number>).forEach((value, i) => {
        expect(fit.coefficients[i]).toBeCloseTo(value, 4);
        expect(fit.coefficientSe[i]).toBeCloseTo(published.se[i], 3);
      });
      published.cuts.forEach((value: number, i: number) => {
        expect(fit.cuts[i]).toBeCloseTo(value, 4);
        expect(fit.cutSe[i]).toBeCloseTo(published.cut_se[i], 3);
      });
      expect(-2 * fit.logLikelihood).toBeCloseTo(published.deviance, 2);
    });
  }
});

// Randall (1989), ordinal::wine: 72 ratings in 5 grades; Christensen's clm output (basis in the file).
describe('bitterness of wine (Randall 1989)', () => {
  const x: number[][] = [];
  const grade: number[] = [];
  const weight: number[] = [];
  for (const [cell, counts] of Object.entries(reference.wine.counts as Record<string, number[]>)) {
    const [temperature, contact] = cell.split(',');
    counts.forEach((count, rating) => {
      x.push([+(temperature === 'warm'), +(contact === 'yes')]);
      grade.push(rating);
      weight.push(count);
    });
  }
  for (const link of ['logit', 'probit'] as const) {
    test(`${link}: the published coefficients, cuts and log-likelihood`, () => {
      const published = reference.wine[link];
      const fit = fitOrdinal({ x, grade, weight, levels: 5 }, link);
      expect(fit.coefficients[0]).toBeCloseTo(published.temp_warm, 3);
      expect(fit.coefficients[1]).toBeCloseTo(published.contact_yes, 3);
      published.cuts.forEach((value: number, i: number) => {
        expect(fit.cuts[i]).toBeCloseTo(value, 3);
      });
      published.se.forEach((value: number, i: number) => {
        expect(fit.coefficientSe[i]).toBeCloseTo(value, 3);
      });
      published.cut_se.forEach((value: number, i: number) => {
        expect(fit.cutSe[i]).toBeCloseTo(value, 3);
      });
      expect(fit.logLikelihood).toBeCloseTo(published.loglik, 5);
    });
  }
});
