// The maker's one command: install what is missing, build what changed, open the workspace, serve.
import { existsSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { attempt, ensureInstalled, must, newest, root } from './shared.mjs';

ensureInstalled();
const built = [join(root, 'packages/cli/dist/main.js'), join(root, 'packages/web/dist/index.html')];
const sources = ['geometry', 'workshop', 'formats', 'server', 'cli', 'web'].map((name) =>
  join(root, 'packages', name),
);
const newestSource = Math.max(...sources.map((path) => newest(path)));
if (!built.every((path) => existsSync(path) && statSync(path).mtimeMs >= newestSource)) {
  console.log('Building ...');
  must(process.execPath, [join(root, 'scripts/build.mjs')]);
}
process.exitCode = attempt(process.execPath, [
  join(root, 'packages/cli/bin/inlaywright.js'),
  'serve',
  ...process.argv.slice(2),
]);
