import { measureDryFit } from './dry-fit.ts';

/** The dry fit alone, against the same gaps with GEOS in the same run. */
const measured = await measureDryFit(40);
if (process.argv.includes('--json')) {
  console.log(JSON.stringify(measured, null, 2));
} else {
  const { parts, segments, seams, samples, dryFitMs, cutSheetsMs, geosMs, ratio, worstDifferenceMm } =
    measured;
  console.log(
    `${parts} parts, ${segments} lines and arcs, ${seams} seams, ${samples} samples at three depths`,
  );
  console.log(`  dry fit ${dryFitMs.toFixed(2)} ms, cut sheets ${cutSheetsMs.toFixed(2)} ms`);
  console.log(`  the same gaps with GEOS ${geosMs.toFixed(1)} ms: ours is ${ratio.toFixed(1)} times as fast`);
  console.log(`  largest difference ${(worstDifferenceMm * 1000).toFixed(3)} um`);
}
