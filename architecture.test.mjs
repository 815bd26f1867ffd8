// The walls between the packages, held by plain Node: imports run one way, downward
// (web, cli, server -> formats -> workshop -> geometry), a package has one door, and the lower
// packages know no Node and no browser. docs/decisions.md says why there is a test besides the compiler.
import assert from 'node:assert/strict';
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import test from 'node:test';
import { fileURLToPath } from 'node:url';

const root = dirname(fileURLToPath(import.meta.url));

/** What each package may import of the others. */
const allowed = {
  geometry: [],
  workshop: ['geometry'],
  formats: ['geometry', 'workshop'],
  server: ['geometry', 'workshop', 'formats'],
  cli: ['geometry', 'workshop', 'formats', 'server'],
  web: ['geometry', 'workshop', 'formats'],
};
const mayUseNode = new Set(['server', 'cli']);
const packageNames = new Map(
  Object.keys(allowed).map((folder) => [
    JSON.parse(readFileSync(join(root, 'packages', folder, 'package.json'), 'utf8')).name,
    folder,
  ]),
);

function sources(folder) {
  const found = [];
  for (const name of readdirSync(folder)) {
    const path = join(folder, name);
    if (statSync(path).isDirectory()) found.push(...sources(path));
    else if (/\.(ts|tsx|mts)$/.test(name)) found.push(path);
  }
  return found;
}

/** Every module a source text imports, types included. */
function importsOf(text) {
  const code = text.replace(/\/\*[\s\S]*?\*\//g, '').replace(/^\s*\/\/.*$/gm, '');
  const pattern =
    /(?:^|[\s;}])(?:import|export)\s+(?:type\s+)?(?:[\w*{}\s,$]+?\s+from\s+)?['"]([^'"]+)['"]|import\(\s*['"]([^'"]+)['"]\s*\)/g;
  return [...code.matchAll(pattern)].map((match) => match[1] ?? match[2]);
}

/** What is wrong with one import, in words, or undefined. */
function offence(folder, file, specifier) {
  if (specifier.startsWith('.')) {
    const target = resolve(dirname(file), specifier);
    const home = join(root, 'packages', folder, 'src');
    return relative(home, target).startsWith('..') ? 'leaves its package by a relative path' : undefined;
  }
  if (specifier.startsWith('node:')) {
    return mayUseNode.has(folder) ? undefined : 'uses Node in a package that must also run in a page';
  }
  for (const [name, target] of packageNames) {
    if (specifier !== name && !specifier.startsWith(`${name}/`)) continue;
    if (specifier !== name) return 'reaches past the door of a package';
    return allowed[folder].includes(target) ? undefined : `imports ${target}, which is not below ${folder}`;
  }
  return undefined;
}

function offences(folder, file, text) {
  return importsOf(text)
    .map((specifier) => [specifier, offence(folder, file, specifier)])
    .filter(([, why]) => why !== undefined)
    .map(([specifier, why]) => `${relative(root, file)}: '${specifier}' ${why}`);
}

for (const folder of Object.keys(allowed)) {
  test(`${folder} imports downward only`, () => {
    const files = sources(join(root, 'packages', folder, 'src'));
    assert.ok(files.length > 0, `no sources seen in ${folder}`);
    assert.deepEqual(
      files.flatMap((file) => offences(folder, file, readFileSync(file, 'utf8'))),
      [],
    );
  });

  test(`${folder} declares only what lies below it`, () => {
    const manifest = JSON.parse(readFileSync(join(root, 'packages', folder, 'package.json'), 'utf8'));
    const upward = Object.keys(manifest.dependencies ?? {})
      .filter((name) => packageNames.has(name))
      .filter((name) => !allowed[folder].includes(packageNames.get(name)));
    assert.deepEqual(upward, []);
  });
}

test('planted violations are refused', () => {
  const planted = [
    ['geometry', "import { x } from '@inlaywright/workshop';"],
    ['geometry', "import type { Piece } from '@inlaywright/workshop';"],
    ['workshop', "export { y } from '@inlaywright/formats';"],
    ['formats', "import { readFileSync } from 'node:fs';"],
    ['web', "import { createApp } from '@inlaywright/server';"],
    ['web', "const m = await import('@inlaywright/server');"],
    ['workshop', "import { z } from '@inlaywright/geometry/src/point.ts';"],
    ['workshop', "import { z } from '../../geometry/src/point.ts';"],
  ];
  for (const [folder, text] of planted) {
    const file = join(root, 'packages', folder, 'src', 'planted.ts');
    assert.equal(offences(folder, file, text).length, 1, `${folder}: ${text}`);
  }
});

test('the lock file carries no download address', () => {
  assert.ok(!readFileSync(join(root, 'package-lock.json'), 'utf8').includes('"resolved": "http'));
});
