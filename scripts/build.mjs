// Builds the packages in order of their imports, then the page.
import { join } from 'node:path';
import { bin, ensureInstalled, root } from './shared.mjs';

ensureInstalled();
const types = bin('typescript/bin/tsc', ['-b']);
if (types !== 0) process.exit(types);
process.exit(bin('vite/bin/vite.js', ['build', '--logLevel', 'warn'], { cwd: join(root, 'packages/web') }));
