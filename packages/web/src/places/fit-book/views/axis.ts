/** Round marks for an axis: about `wanted` of them, in steps of 1, 2 or 5 times a power of ten, each the multiple of the step. */
export function roundMarks(from: number, to: number, wanted: number): readonly number[] {
  const span = to - from;
  if (!(span > 0)) return [from];
  const rough = span / Math.max(1, wanted);
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = power * ([1, 2, 5, 10].find((times) => times * power >= rough * 0.999) ?? 10);
  const first = Math.ceil(from / step - 1e-9);
  const last = Math.floor(to / step + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) =>
    Number(((first + i) * step).toPrecision(12)),
  );
}

/** How many decimals tell neighbouring marks apart. */
export function digitsOf(marks: readonly number[]): number {
  const step = marks.length > 1 ? Math.abs(marks[1]! - marks[0]!) : 1;
  return Math.max(0, Math.min(8, Math.ceil(-Math.log10(step) - 1e-9)));
}

/** A linear map from values to pixels. */
export function scaleBetween(
  from: number,
  to: number,
  startPx: number,
  endPx: number,
): (value: number) => number {
  const k = (endPx - startPx) / (to - from || 1);
  return (value) => startPx + k * (value - from);
}
