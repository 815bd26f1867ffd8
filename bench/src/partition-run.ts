import { readFileSync } from 'node:fs';
import { describeMosaic, measureMosaic } from './mosaic.ts';

/** The partition alone, on the demo piece and on drawings of leaves, against GEOS in the same run. */
const demo = readFileSync(new URL('../../examples/seed-pod.json', import.meta.url), 'utf8');
const measured = await measureMosaic(demo);
console.log(
  process.argv.includes('--json') ? JSON.stringify(measured, null, 2) : describeMosaic(measured).join('\n'),
);
