import { readdir, readFile } from 'node:fs/promises';
import { expect, it } from 'vitest';
import { GEOMETRY_ERROR_CODES } from '../src/errors.ts';

const here = (path: string): URL => new URL(path, import.meta.url);

it('every error code is thrown somewhere and explained in the README, and no other', async () => {
  const readme = await readFile(here('../README.md'), 'utf8');
  const explained = [...readme.matchAll(/^\| `([a-z-]+)` \|/gm)].map(([, code]) => code);
  expect(explained.sort()).toEqual([...GEOMETRY_ERROR_CODES].sort());
  const files = (await readdir(here('../src/'))).filter(
    (name) => name.endsWith('.ts') && name !== 'errors.ts',
  );
  const sources = (await Promise.all(files.map((name) => readFile(here(`../src/${name}`), 'utf8')))).join(
    '\n',
  );
  for (const code of GEOMETRY_ERROR_CODES) expect(sources).toContain(`'${code}'`);
});
