import { readFileSync } from 'node:fs';
import { describeCompensation, measureCompensation } from './compensation.ts';

/** Compensation alone, on the demo piece and on a drawing of 500 leaves, against GEOS in the same run; the design table. */
const demo = readFileSync(new URL('../../examples/seed-pod.json', import.meta.url), 'utf8');
const measured = await measureCompensation(demo);
console.log(
  process.argv.includes('--json')
    ? JSON.stringify(measured, null, 2)
    : describeCompensation(measured).join('\n'),
);
