/** A seeded sample of open artwork from npm packages, the same on every machine. */
import { readdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';

export interface OpenArtwork {
  /** `package/file`. */
  readonly name: string;
  readonly svg: string;
}

const require = createRequire(import.meta.url);

/** One-colour symbols, Apache-2.0; those tagged as brands are left out. */
export function symbols(): OpenArtwork[] {
  const folder = dirname(require.resolve('@mdi/svg/package.json'));
  const meta = require('@mdi/svg/meta.json') as { name: string; tags: string[] }[];
  return meta
    .filter(({ tags }) => !tags.includes('Brand / Logo'))
    .map(({ name }) => ({
      name: `symbols/${name}`,
      svg: readFileSync(join(folder, 'svg', `${name}.svg`), 'utf8'),
    }));
}

/** Many-coloured pictures, graphics CC-BY-4.0. */
export function pictures(): OpenArtwork[] {
  const folder = join(dirname(require.resolve('@discordapp/twemoji/package.json')), 'dist', 'svg');
  return readdirSync(folder)
    .filter((file) => file.endsWith('.svg'))
    .map((file) => ({
      name: `pictures/${file.slice(0, -4)}`,
      svg: readFileSync(join(folder, file), 'utf8'),
    }));
}

/** Many-coloured layered pictures, MIT, stored as the insides of svg elements. */
export function layeredPictures(): OpenArtwork[] {
  const set = require('@iconify-json/fluent-emoji-flat/icons.json') as {
    width: number;
    height: number;
    icons: Record<string, { body: string; width?: number; height?: number }>;
  };
  return Object.entries(set.icons).map(([name, icon]) => {
    const [width, height] = [icon.width ?? set.width, icon.height ?? set.height];
    const attributes = `xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}"`;
    return { name: `layers/${name}`, svg: `<svg ${attributes}>${icon.body}</svg>` };
  });
}

/** `count` of them, spread over the whole set by a fixed seed. */
export function sample(artworks: readonly OpenArtwork[], count: number, seed: number): OpenArtwork[] {
  let state = seed;
  // Linear congruential generator, constants of Numerical Recipes (from memory): only the spread matters.
  const random = (): number => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
  const pool = [...artworks];
  return Array.from(
    { length: Math.min(count, pool.length) },
    () => pool.splice(Math.floor(random() * pool.length), 1)[0]!,
  );
}
