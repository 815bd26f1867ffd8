import { useState } from 'react';

/** What the caliper shows. Kept in this browser: a workshop has one habit. */
export type LengthUnit = 'mm' | 'in';

const KEY = 'inlaywright.caliper-unit';

function remembered(): LengthUnit {
  try {
    return localStorage.getItem(KEY) === 'in' ? 'in' : 'mm';
  } catch {
    return 'mm';
  }
}

export function useLengthUnit(): readonly [LengthUnit, (unit: LengthUnit) => void] {
  const [unit, setUnit] = useState<LengthUnit>(remembered);
  return [
    unit,
    (next) => {
      setUnit(next);
      try {
        localStorage.setItem(KEY, next);
      } catch {
        // Storage may be off; the choice then lasts as long as the form.
      }
    },
  ];
}
