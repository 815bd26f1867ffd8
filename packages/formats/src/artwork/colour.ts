/**
 * CSS colours to sRGB bytes: CSS Color 4, sections 5 to 8 (names, hexadecimal of 3, 4, 6 and 8 digits, rgb, rgba, hsl,
 * hsla, hwb, transparent). `currentcolor` is the caller's; colour spaces beyond sRGB are not read.
 */
import { COLOUR_NAMES } from './colour-names.ts';

export interface Colour {
  /** Bytes, 0..255. */
  readonly r: number;
  readonly g: number;
  readonly b: number;
  /** 0 is invisible, 1 opaque. */
  readonly alpha: number;
}

/** The colour, or null when the text is not one. */
export function parseColour(text: string): Colour | null {
  const value = text.trim().toLowerCase();
  if (value.startsWith('#')) return parseHex(value.slice(1));
  if (value === 'transparent') return { r: 0, g: 0, b: 0, alpha: 0 };
  const named = COLOUR_NAMES.get(value);
  if (named !== undefined) return parseHex(named);
  const call = /^(rgba?|hsla?|hwb)\(([^()]*)\)$/.exec(value);
  if (!call) return null;
  const parts = splitArguments(call[2]!);
  if (!parts) return null;
  const alpha = parts.alpha === undefined ? 1 : channel(parts.alpha, 1);
  if (alpha === null) return null;
  if (call[1]!.startsWith('rgb')) return rgbColour(parts.channels, alpha);
  const hue = parseHue(parts.channels[0]!);
  const second = percent(parts.channels[1]!);
  const third = percent(parts.channels[2]!);
  if (hue === null || second === null || third === null) return null;
  const [r, g, b] = call[1] === 'hwb' ? hwbToRgb(hue, second, third) : hslToRgb(hue, second, third);
  return { r: byte(r * 255), g: byte(g * 255), b: byte(b * 255), alpha: clamp(alpha, 1) };
}

/** `#rrggbb`; the opacity is not part of it. */
export function colourKey(colour: Colour): string {
  return `#${[colour.r, colour.g, colour.b].map((value) => value.toString(16).padStart(2, '0')).join('')}`;
}

function parseHex(digits: string): Colour | null {
  if (!/^(?:[0-9a-f]{3,4}|[0-9a-f]{6}|[0-9a-f]{8})$/.test(digits)) return null;
  const long = digits.length < 6 ? digits.replace(/./g, '$&$&') : digits;
  const at = (i: number): number => Number.parseInt(long.slice(i, i + 2), 16);
  return { r: at(0), g: at(2), b: at(4), alpha: long.length === 8 ? at(6) / 255 : 1 };
}

/** Three channels and perhaps an alpha, divided by commas throughout or by spaces with a slash. */
function splitArguments(text: string): { channels: string[]; alpha: string | undefined } | null {
  const trimmed = text.trim();
  let parts: string[];
  if (trimmed.includes(',')) {
    parts = trimmed.split(',').map((part) => part.trim());
  } else {
    const [colour = '', alpha, ...more] = trimmed.split('/').map((part) => part.trim());
    if (more.length > 0) return null;
    parts = colour.split(/\s+/);
    if (parts.length !== 3) return null;
    if (alpha !== undefined) parts.push(alpha);
  }
  if (parts.length < 3 || parts.length > 4 || parts.includes('')) return null;
  return { channels: parts.slice(0, 3), alpha: parts[3] };
}

function rgbColour(channels: readonly string[], alpha: number): Colour | null {
  const values = channels.map((text) => channel(text, 255));
  if (values.includes(null)) return null;
  const [r, g, b] = values.map((value) => byte(value!)) as [number, number, number];
  return { r, g, b, alpha: clamp(alpha, 1) };
}

const NUMBER = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?$/;

/** A number, or a percentage of `full`; `none` counts as 0. */
function channel(text: string, full: number): number | null {
  if (text === 'none') return 0;
  if (text.endsWith('%')) {
    const share = text.slice(0, -1);
    return NUMBER.test(share) ? (Number(share) / 100) * full : null;
  }
  return NUMBER.test(text) ? Number(text) : null;
}

/** A percentage as 0..1; plain numbers count as percent (CSS Color 4). */
function percent(text: string): number | null {
  const value = channel(text.endsWith('%') ? text.slice(0, -1) : text, 100);
  return value === null ? null : clamp(value / 100, 1);
}

const DEGREES_PER: Readonly<Record<string, number>> = {
  '': 1,
  deg: 1,
  grad: 0.9,
  rad: 180 / Math.PI,
  turn: 360,
};

function parseHue(text: string): number | null {
  if (text === 'none') return 0;
  const match = /^([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)(deg|grad|rad|turn)?$/.exec(text);
  if (!match) return null;
  const degrees = Number(match[1]) * DEGREES_PER[match[2] ?? '']!;
  return ((degrees % 360) + 360) % 360;
}

/** CSS Color 4, section 7.1. */
function hslToRgb(hue: number, saturation: number, lightness: number): [number, number, number] {
  const at = (n: number): number => {
    const k = (n + hue / 30) % 12;
    return (
      lightness - saturation * Math.min(lightness, 1 - lightness) * Math.max(-1, Math.min(k - 3, 9 - k, 1))
    );
  };
  return [at(0), at(8), at(4)];
}

/** CSS Color 4, section 8.1. */
function hwbToRgb(hue: number, whiteness: number, blackness: number): [number, number, number] {
  if (whiteness + blackness >= 1) {
    const grey = whiteness / (whiteness + blackness);
    return [grey, grey, grey];
  }
  return hslToRgb(hue, 1, 0.5).map((value) => value * (1 - whiteness - blackness) + whiteness) as [
    number,
    number,
    number,
  ];
}

function byte(value: number): number {
  return Math.round(clamp(value, 255));
}

function clamp(value: number, full: number): number {
  return Math.min(full, Math.max(0, value));
}

/** A plain word or two for a colour, for naming tones: `dark red`, `light grey`, `white`. */
export function colourWords(colour: Colour): string {
  const { r, g, b } = colour;
  const high = Math.max(r, g, b) / 255;
  const low = Math.min(r, g, b) / 255;
  const lightness = (high + low) / 2;
  const chroma = high - low;
  if (chroma < 0.08) {
    if (lightness > 0.96) return 'white';
    if (lightness < 0.1) return 'black';
    return shade(lightness, 'grey');
  }
  const sixth =
    high === r / 255
      ? (g - b) / 255 / chroma
      : high === g / 255
        ? 2 + (b - r) / 255 / chroma
        : 4 + (r - g) / 255 / chroma;
  const hue = (sixth * 60 + 360) % 360;
  if (hue >= 12 && hue < 50 && high < 0.72) return shade(lightness + 0.15, 'brown');
  const word = HUES.find(([below]) => hue < below)![1];
  return shade(lightness, word);
}

const HUES: readonly (readonly [number, string])[] = [
  [12, 'red'],
  [42, 'orange'],
  [70, 'yellow'],
  [165, 'green'],
  [195, 'turquoise'],
  [258, 'blue'],
  [292, 'purple'],
  [345, 'pink'],
  [361, 'red'],
];

function shade(lightness: number, word: string): string {
  if (lightness > 0.7) return `light ${word}`;
  return lightness < 0.33 ? `dark ${word}` : word;
}
