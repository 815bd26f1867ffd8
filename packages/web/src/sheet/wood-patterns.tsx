import type { ReactElement } from 'react';
import type { DrawnTone } from '../drawing/model.ts';

/** Fill of a tone's parts: its colour under a few faint growth lines along the grain. */
export function woodFill(tone: string): string {
  return `url(#wood-${tone})`;
}

/** One pattern a tone, in mm of the piece: large enough that the eye finds no repeat in a small piece. */
const LENGTH = 46;
const HEIGHT = 9;

export function WoodPatterns({ tones }: { readonly tones: readonly DrawnTone[] }): ReactElement {
  return (
    <defs>
      {tones.map((tone, index) => (
        <pattern
          key={tone.id}
          id={`wood-${tone.id}`}
          width={LENGTH}
          height={HEIGHT}
          patternUnits="userSpaceOnUse"
          patternTransform={`rotate(${-(tone.grainDeg ?? 0)}) translate(${index * 7} ${index * 3})`}
        >
          <rect width={LENGTH} height={HEIGHT} fill={tone.colour} />
          {tone.grainDeg !== null &&
            growthLines(index + 1).map((line) => (
              <path
                key={line.d}
                className="growth"
                d={line.d}
                strokeWidth={line.width}
                opacity={line.strength}
              />
            ))}
        </pattern>
      ))}
    </defs>
  );
}

/**
 * Whether lines over a colour must be light to be seen: relative luminance (WCAG 2) below that of a mid grey,
 * which is equally far from black and from white in contrast.
 */
export function isDark(colour: string): boolean {
  const channel = (from: number): number => {
    const value = Number.parseInt(colour.slice(from, from + 2), 16) / 255;
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5) < 0.179;
}

/** Gently waving lines that meet themselves at the pattern's ends. The same number gives the same wood. */
function growthLines(
  seed: number,
): { readonly d: string; readonly width: number; readonly strength: number }[] {
  let state = seed * 2654435761;
  const random = (): number => {
    state = (Math.imul(state ^ (state >>> 15), 2246822519) + 0x9e3779b9) >>> 0;
    return state / 4294967296;
  };
  const lines = [];
  for (let y = 0.25; y < HEIGHT - 0.2; y += 0.25 + 0.9 * random()) {
    const a = 0.28 * (random() - 0.5);
    const b = 0.28 * (random() - 0.5);
    const q = LENGTH / 4;
    lines.push({
      d: `M0 ${y.toFixed(2)}C${q / 2} ${(y + a).toFixed(2)} ${q} ${(y + a).toFixed(2)} ${2 * q} ${(y + b).toFixed(2)}S${3.5 * q} ${y.toFixed(2)} ${LENGTH} ${y.toFixed(2)}`,
      width: Number((0.05 + 0.1 * random()).toFixed(3)),
      strength: Number((0.05 + 0.14 * random() ** 2).toFixed(2)),
    });
  }
  return lines;
}
