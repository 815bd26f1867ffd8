// Everything that must hold before a change is taken: style, walls, types, build, tests, browser tests.
// Ends with one plain line of counts over all of them.
import { mkdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { attempt, bin, ensureInstalled, ensureTestTools, root } from './shared.mjs';

ensureInstalled();
const missing = ensureTestTools();
if (missing.length > 0) {
  console.log(
    `Not here and not installable: ${missing.join(', ')}. The tests that need it are skipped and counted so.`,
  );
}

const reports = join(root, '.cache/test-reports');
rmSync(reports, { recursive: true, force: true });
mkdirSync(reports, { recursive: true });
const totals = { passed: 0, failed: 0, skipped: 0 };

/** A step that is one check by itself: it passes or it fails. */
function step(name, run) {
  const started = Date.now();
  console.log(`\n== ${name}`);
  const ok = run() === 0;
  totals[ok ? 'passed' : 'failed'] += 1;
  console.log(`== ${name}: ${ok ? 'passed' : 'FAILED'} in ${((Date.now() - started) / 1000).toFixed(1)} s`);
  return ok;
}

/** A Vitest run, counted test by test from its own report. */
function suite(name, args) {
  const file = join(reports, `${name.replaceAll(' ', '-')}.json`);
  const started = Date.now();
  console.log(`\n== ${name}`);
  const code = bin('vitest/vitest.mjs', [
    'run',
    ...args,
    '--reporter=default',
    '--reporter=json',
    `--outputFile.json=${file}`,
  ]);
  let report;
  try {
    report = JSON.parse(readFileSync(file, 'utf8'));
  } catch {
    report = undefined;
  }
  if (report === undefined || report.numTotalTests === 0) {
    console.log(`== ${name}: no test ran`);
    totals.failed += 1;
    return;
  }
  totals.passed += report.numPassedTests;
  totals.failed += report.numFailedTests;
  totals.skipped += report.numPendingTests + (report.numTodoTests ?? 0);
  // A file that fails to load has no failed test of its own, and must count all the same.
  if (code !== 0 && report.numFailedTests === 0) totals.failed += 1;
  console.log(`== ${name}: ${((Date.now() - started) / 1000).toFixed(1)} s`);
}

step('style and lint', () => bin('@biomejs/biome/bin/biome', ['check', '--error-on-warnings', '.']));
step('walls between packages', () => attempt(process.execPath, ['--test', 'architecture.test.mjs']));
step('types', () => bin('typescript/bin/tsc', ['-p', 'tsconfig.check.json']));
const built = step('build', () => attempt(process.execPath, [join(root, 'scripts/build.mjs')]));
suite('unit tests', []);
if (built) suite('browser tests', ['--config', 'packages/web/vitest.e2e.config.ts']);

console.log(`\n${totals.passed} passed, ${totals.failed} failed, ${totals.skipped} skipped`);
process.exit(totals.failed === 0 ? 0 : 1);
