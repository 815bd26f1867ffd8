// Builds the packages and the benches, then runs one bench or all of them: node scripts/bench.mjs [NAME] [options].
import { join } from 'node:path';
import { attempt, bin, ensureInstalled, root } from './shared.mjs';

const BENCHES = {
  chain: 'chain/run.js',
  partition: 'partition-run.js',
  compensation: 'compensation-run.js',
  'dry-fit': 'dry-fit-run.js',
  'first-cut': 'first-cut/run.js',
};

ensureInstalled();
const [name, ...options] = process.argv.slice(2);
// Quiet, so that `npm run -s bench:NAME -- --json` prints JSON and nothing else.
if (bin('typescript/bin/tsc', ['-b', 'bench']) !== 0) process.exit(1);
const chosen = name === undefined || name === 'all' ? Object.keys(BENCHES) : [name];
for (const bench of chosen) {
  if (!(bench in BENCHES)) {
    console.error(`There is no bench "${bench}". There are: ${Object.keys(BENCHES).join(', ')}.`);
    process.exit(2);
  }
  const code = attempt(process.execPath, [
    '--expose-gc',
    join(root, 'bench/dist', BENCHES[bench]),
    ...options,
  ]);
  if (code !== 0) process.exit(code);
}
