import { readFileSync } from 'node:fs';

/** The text of a drawing in `fixtures/`. */
export function fixture(name: string): string {
  return readFileSync(new URL(`./fixtures/${name}.svg`, import.meta.url), 'utf8');
}

/** A drawing of 100 x 100 mm and as many units, around the content. */
export function drawing(content: string, attributes = ''): string {
  return `<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100" ${attributes}>${content}</svg>`;
}
