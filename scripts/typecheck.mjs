// Checks sources and tests of all packages in one go, straight from the sources.
import { bin, ensureInstalled } from './shared.mjs';

ensureInstalled();
process.exit(bin('typescript/bin/tsc', ['-p', 'tsconfig.check.json']));
