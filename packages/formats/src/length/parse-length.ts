/**
 * Lengths as people type them, to millimetres. One strict reader for every number field and every
 * command option: both decimal marks, the units of the workshop, fractions of an inch, and no guessing.
 * A mark is always a decimal mark, so `1,500` is one and a half; digits are never grouped.
 */

/** Millimetres in one of each unit; 1 in = 25.4 mm exactly (international inch), thou = 0.001 in. */
const MM_PER_UNIT: Readonly<Record<string, number>> = {
  '': 1,
  mm: 1,
  cm: 10,
  um: 0.001,
  µm: 0.001,
  in: 25.4,
  '"': 25.4,
  inch: 25.4,
  thou: 0.0254,
};

export type LengthReading =
  | { readonly ok: true; readonly mm: number }
  | { readonly ok: false; readonly message: string };

/**
 * Reads `0.16`, `0,16 mm`, `1.5cm`, `1 1/2 in`, `3/64"`, `5 thou`; a number without a unit is in `defaultUnit`.
 * Anything else is refused with the reason; `1.234,5` is refused because either mark could be meant.
 */
export function parseLength(text: string, defaultUnit: 'mm' | 'in' = 'mm'): LengthReading {
  const trimmed = text.trim().replace('\u2033', '"').replace('\u2212', '-');
  if (trimmed === '') return refuse('Type a length, for example 0.16 or 0.16 mm.');
  const match = /^([+-]?)(?:(\d+)\s+)?(\d+)\/(\d+)\s*([a-zµ"]*)$/i.exec(trimmed);
  if (match) {
    const [, sign, whole, over, under, unit] = match as unknown as [
      string,
      string,
      string?,
      string?,
      string?,
      string?,
    ];
    if (Number(under) === 0) return refuse(`${text}: a fraction cannot have 0 below its line.`);
    const value = Number(whole ?? 0) + Number(over) / Number(under);
    return inUnit(sign === '-' ? -value : value, unit ?? '', text, defaultUnit);
  }
  const plain = /^([+-]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*([a-zµ"]*)$/i.exec(trimmed);
  if (plain) return inUnit(Number(plain[1]!.replace(',', '.')), plain[2] ?? '', text, defaultUnit);
  if (/\d[.,]\d+[.,]\d/.test(trimmed)) {
    return refuse(`${text}: two decimal marks. Type it without grouping, for example 1234.5.`);
  }
  return refuse(`${text}: not a length. Type a number and, if you like, mm, cm, in or thou.`);
}

function inUnit(value: number, unit: string, text: string, defaultUnit: string): LengthReading {
  const factor = MM_PER_UNIT[unit === '' ? defaultUnit : unit.toLowerCase()];
  if (factor === undefined)
    return refuse(`${text}: "${unit}" is not a unit here. Use mm, cm, um, in or thou.`);
  const mm = value * factor;
  return Number.isFinite(mm) ? { ok: true, mm } : refuse(`${text}: too large.`);
}

function refuse(message: string): LengthReading {
  return { ok: false, message };
}
