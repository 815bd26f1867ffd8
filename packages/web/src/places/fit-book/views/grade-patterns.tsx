import type { Grade } from '@inlaywright/workshop';
import type { ReactElement } from 'react';

/** Short words for narrow places; the grades themselves stand in full wherever there is room. */
export const SHORT_GRADE: Readonly<Record<Grade, string>> = {
  'falls through': 'falls',
  slides: 'slides',
  'presses by hand': 'presses',
  'needs a mallet': 'mallet',
  'will not go': 'no go',
};

/** What a hand does to tell the grades apart. */
export const GRADE_TEST: Readonly<Record<Grade, string>> = {
  'falls through': 'drops out by its own weight',
  slides: 'goes in without force, does not hold',
  'presses by hand': 'goes home under the thumb, and stays',
  'needs a mallet': 'goes home with taps through a scrap board',
  'will not go': 'does not start, or breaks',
};

/** Hatchings that tell the grades apart without colour, closer the tighter. Ids are unique to the drawing. */
export function GradePatterns({ id }: { readonly id: string }): ReactElement {
  const pattern = (grade: string, size: number, path: string, turn = 0): ReactElement => (
    <pattern
      id={`${id}-${grade}`}
      width={size}
      height={size}
      patternUnits="userSpaceOnUse"
      patternTransform={turn === 0 ? undefined : `rotate(${turn})`}
    >
      <path className="grade-hatch" d={path} />
    </pattern>
  );
  return (
    <defs>
      {pattern('0', 9, 'M4 4.5h1')}
      {pattern('1', 6, 'M0 3h6')}
      {pattern('2', 6, 'M3 0v6', 45)}
      {pattern('3', 6, 'M3 0v6M0 3h6', 45)}
      {pattern('4', 4, 'M2 0v4')}
    </defs>
  );
}
