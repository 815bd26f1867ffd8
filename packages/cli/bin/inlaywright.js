#!/usr/bin/env node
// A committed door to the built program: npm links it at install time, before the build exists.
import { existsSync } from 'node:fs';

const main = new URL('../dist/main.js', import.meta.url);
if (!existsSync(main)) {
  console.error(
    'inlaywright: not built yet. Run "npm run build" in the folder of the project, then try again.',
  );
  process.exit(2);
}
const { run } = await import(main.href);
process.exitCode = await run(process.argv.slice(2));
