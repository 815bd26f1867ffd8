/**
 * Numbers and lengths of SVG and CSS. Absolute units by CSS Values and Units 3, section 6.2: 96 px = 1 in = 25.4 mm.
 * Font-relative units need a font, which is not read: ex and ch count as half an em.
 */

export interface CssLength {
  readonly value: number;
  readonly unit: LengthUnit;
}

export type LengthUnit = keyof typeof PX_PER_UNIT | '%' | 'em' | 'rem' | 'ex' | 'ch' | 'vw' | 'vh';

/** Millimetres in one px: 25.4 / 96. */
export const MM_PER_PX: number = 25.4 / 96;

const PX_PER_UNIT = {
  '': 1,
  px: 1,
  in: 96,
  cm: 96 / 2.54,
  mm: 96 / 25.4,
  q: 96 / 101.6,
  pt: 96 / 72,
  pc: 16,
} as const;

/** What relative lengths are relative to, in the current user units. */
export interface LengthFrame {
  readonly width: number;
  readonly height: number;
  readonly fontSize: number;
}

export type LengthAxis = 'x' | 'y' | 'diagonal';

const NUMBER = '[+-]?(?:\\d+\\.?\\d*|\\.\\d+)(?:[eE][+-]?\\d+)?';
const LENGTH = new RegExp(`^(${NUMBER})(%|[a-zA-Z]*)$`);
const PLAIN_NUMBER = new RegExp(`^${NUMBER}$`);
const NUMBER_LIST_ITEM = new RegExp(NUMBER, 'y');
const SEPARATOR = /\s*(?:,\s*)?/y;

/** A finite number, or null. */
export function parseNumber(text: string): number | null {
  const trimmed = text.trim();
  if (!PLAIN_NUMBER.test(trimmed)) return null;
  const value = Number(trimmed);
  return Number.isFinite(value) ? value : null;
}

/** Opacity and the like: a number or a percentage, clamped to 0..1; null when it is neither. */
export function parseShare(text: string): number | null {
  const trimmed = text.trim();
  const percent = trimmed.endsWith('%');
  const value = parseNumber(percent ? trimmed.slice(0, -1) : trimmed);
  return value === null ? null : Math.min(1, Math.max(0, percent ? value / 100 : value));
}

/** Numbers divided by white space or single commas, up to the first thing that is neither. */
export function parseNumberList(text: string): { readonly numbers: number[]; readonly rest: string } {
  const numbers: number[] = [];
  let at = skip(SEPARATOR, text, 0);
  while (at < text.length) {
    NUMBER_LIST_ITEM.lastIndex = at;
    const match = NUMBER_LIST_ITEM.exec(text);
    if (!match) break;
    const value = Number(match[0]);
    if (!Number.isFinite(value)) break;
    numbers.push(value);
    at = skip(SEPARATOR, text, NUMBER_LIST_ITEM.lastIndex);
  }
  return { numbers, rest: text.slice(at) };
}

function skip(pattern: RegExp, text: string, at: number): number {
  pattern.lastIndex = at;
  pattern.exec(text);
  return Math.max(at, pattern.lastIndex);
}

/** A finite number with a known unit, or null. */
export function parseCssLength(text: string): CssLength | null {
  const match = LENGTH.exec(text.trim());
  if (!match) return null;
  const value = Number(match[1]);
  const unit = match[2]!.toLowerCase() as LengthUnit;
  const known = unit in PX_PER_UNIT || RELATIVE_UNITS.has(unit);
  return known && Number.isFinite(value) ? { value, unit } : null;
}

const RELATIVE_UNITS: ReadonlySet<string> = new Set(['%', 'em', 'rem', 'ex', 'ch', 'vw', 'vh']);

/** Whether the unit depends on a font or a window, so that its size here is a convention. */
export function isApproximateUnit(unit: LengthUnit): boolean {
  return unit !== '%' && RELATIVE_UNITS.has(unit);
}

/** Whether the unit has a size on paper. */
export function isPhysicalUnit(unit: LengthUnit): boolean {
  return unit !== '' && unit !== 'px' && unit in PX_PER_UNIT;
}

/** The length in user units. Percentages of `diagonal` are of the diagonal over the square root of 2 (SVG 2, 8.9). */
export function toUserUnits(length: CssLength, axis: LengthAxis, frame: LengthFrame): number {
  const { value, unit } = length;
  switch (unit) {
    case '%':
      return (value / 100) * axisExtent(axis, frame);
    case 'em':
    case 'rem':
      return value * frame.fontSize;
    case 'ex':
    case 'ch':
      return (value * frame.fontSize) / 2;
    case 'vw':
      return (value / 100) * frame.width;
    case 'vh':
      return (value / 100) * frame.height;
    default:
      return value * PX_PER_UNIT[unit];
  }
}

function axisExtent(axis: LengthAxis, frame: LengthFrame): number {
  if (axis === 'x') return frame.width;
  if (axis === 'y') return frame.height;
  return Math.hypot(frame.width, frame.height) / Math.SQRT2;
}
