import { LASER_VERDICTS } from './laser-safety-data.ts';

/**
 * Whether a material may go under the laser at all, as shops and universities rule. `refused` materials cannot be made a
 * stock; the others carry their caution. The list is short of everything that exists: what is
 * not on it is not thereby safe, and the machine's manual, the material's data sheet and local rules come first.
 */
export interface LaserVerdict {
  readonly material: string;
  readonly verdict: 'refused' | 'avoid' | 'caution' | 'usual';
  readonly reason: string;
  readonly words: readonly string[];
  readonly source: string;
  readonly seenAt: readonly string[];
  readonly basis: string;
}

export { LASER_VERDICTS };

const ORDER = ['refused', 'avoid', 'caution', 'usual'] as const;

/**
 * The verdicts whose words stand in a name, strictest first. Words match whole, so that `absolute` is not `abs`;
 * a thickness written onto a word (`PVC3mm`, `3mmPVC`) and the points of an abbreviation do not hide it.
 */
export function laserVerdicts(name: string): LaserVerdict[] {
  const plain = name.toLowerCase();
  const loosened = plain
    .replace(/\b(?:[a-z]\.){2,}/g, (letters) => `${letters.replaceAll('.', '')} `)
    .replace(/(\d)(?:mm|cm|in)?(?=[a-z])/g, '$1 ')
    .replace(/([a-z])(?=\d)/g, '$1 ');
  const found = LASER_VERDICTS.filter((verdict) =>
    verdict.words.some((word) => holdsWord(plain, word) || holdsWord(loosened, word)),
  );
  return found.sort((a, b) => ORDER.indexOf(a.verdict) - ORDER.indexOf(b.verdict));
}

function holdsWord(text: string, word: string): boolean {
  for (let at = text.indexOf(word); at >= 0; at = text.indexOf(word, at + 1)) {
    const before = text[at - 1] ?? ' ';
    const after = text[at + word.length] ?? ' ';
    if (!/[a-z0-9]/.test(before) && !/[a-z0-9]/.test(after)) return true;
  }
  return false;
}
