/**
 * Points of a stretch of seam in few characters: whole nanometres, each coordinate as the change of its change, every
 * number in base 64 digits of five bits, least first, the sixth bit saying that another digit follows; the lowest bit
 * of a number is its sign. Evenly sampled smooth lines take about three characters a coordinate.
 * Points on the 1 nm grid come back exactly; others within half a nanometre.
 */
const DIGITS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';
const VALUE = new Int8Array(128).fill(-1);
for (let i = 0; i < DIGITS.length; i++) VALUE[DIGITS.charCodeAt(i)] = i;

const GRID_PER_MM = 1e6;

/** The text of points x0, y0, x1, y1, ... in mm, each smaller than 1 km. */
export function stretchText(points: Float64Array): string {
  let text = '';
  const last = [0, 0];
  const step = [0, 0];
  for (let i = 0; i < points.length; i++) {
    const axis = i & 1;
    const value = Math.round(points[i]! * GRID_PER_MM);
    const change = value - last[axis]!;
    text += numberText(change - step[axis]!);
    last[axis] = value;
    step[axis] = change;
  }
  return text;
}

function numberText(value: number): string {
  // Sums of three nm counts pass 2^31 on large sheets, so no bit operators on the whole number.
  let rest = value < 0 ? -2 * value + 1 : 2 * value;
  let text = '';
  while (rest >= 32) {
    text += DIGITS[32 + (rest % 32)];
    rest = Math.floor(rest / 32);
  }
  return text + DIGITS[rest];
}

/** The points of a text made by `stretchText`, or null where the text is not one. */
export function stretchPoints(text: string): Float64Array | null {
  let count = 0;
  for (let i = 0; i < text.length; i++) if ((VALUE[text.charCodeAt(i)] ?? -1) < 32) count++;
  const points = new Float64Array(count);
  const last = new Float64Array(2);
  const step = new Float64Array(2);
  let done = 0;
  let number = 0;
  let place = 1;
  for (let i = 0; i < text.length; i++) {
    const digit = VALUE[text.charCodeAt(i)] ?? -1;
    if (digit < 0 || place > 2 ** 50) return null;
    number += (digit & 31) * place;
    place *= 32;
    if (digit >= 32) continue;
    const axis = done & 1;
    const half = Math.floor(number / 2);
    step[axis]! += number % 2 === 1 ? -half : half;
    last[axis]! += step[axis]!;
    points[done++] = last[axis]! / GRID_PER_MM;
    number = 0;
    place = 1;
  }
  return place === 1 && count % 2 === 0 ? points : null;
}
