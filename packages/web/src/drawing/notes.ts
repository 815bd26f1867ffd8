import type { Finding } from '@inlaywright/workshop';
import type { DrawnNote } from './model.ts';

const WEIGHT: Readonly<Record<Finding['severity'], number>> = {
  error: 0,
  decision: 1,
  warning: 2,
  note: 3,
};

/**
 * Findings as the numbered notes of a drawing: those of one code share a number and stand under the worst of
 * them (the largest figure). What needs a decision comes first.
 */
export function numberNotes(findings: readonly Finding[]): readonly DrawnNote[] {
  const kinds = new Map<string, Finding[]>();
  for (const finding of findings) {
    const key = `${finding.severity} ${finding.code}`;
    const kind = kinds.get(key);
    if (kind) kind.push(finding);
    else kinds.set(key, [finding]);
  }
  return [...kinds.values()]
    .map((kind) => [...kind].sort((a, b) => Math.abs(b.figureMm ?? 0) - Math.abs(a.figureMm ?? 0)))
    .sort((a, b) => WEIGHT[a[0]!.severity] - WEIGHT[b[0]!.severity])
    .map((kind, index): DrawnNote => {
      const worst = kind[0]!;
      return {
        number: index + 1,
        code: worst.code,
        severity: worst.severity,
        message: numbered(worst.message),
        hint: numbered(worst.hint),
        parts: [...new Set(kind.flatMap((finding) => finding.parts ?? []))],
        places: kind.flatMap((finding) => (finding.at ? [{ x: finding.at.x, y: -finding.at.y }] : [])),
        all: kind.map((finding) => numbered(finding.message)),
      };
    });
}

/** Names parts by the numbers that drawing, cut files and bench show: `p3` is 3. */
function numbered(text: string): string {
  return text.replace(/\bp(\d+)\b/g, '$1').replace(/\b(\d+)-(\d+)\b/g, '$1\u2013$2');
}
