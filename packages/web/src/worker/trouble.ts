import { FormatError } from '@inlaywright/formats';
import { GeometryError } from '@inlaywright/geometry';
import { type Finding, WorkshopError } from '@inlaywright/workshop';
import type { Trouble } from './messages.ts';

/** An error in words for the maker. Errors of ours say where and what to do; any other is a fault of the program. */
export function troubleOf(error: unknown, doing: string): Trouble {
  if (error instanceof FormatError) {
    return { title: `${doing} did not work`, detail: error.message, where: error.where, hint: error.hint };
  }
  if (error instanceof WorkshopError) {
    const findings = error.details.findings as readonly Finding[] | undefined;
    return {
      title: `${doing} did not work`,
      detail: error.message,
      where: '',
      hint: error.hint,
      ...(findings ? { list: findings.map((finding) => `${finding.message} ${finding.hint}`) } : {}),
    };
  }
  if (error instanceof GeometryError) {
    return {
      title: `${doing} did not work`,
      detail: error.message,
      where: '',
      hint: 'Look for outlines that cross themselves or have no width, mend them in the drawing and bring it in again.',
    };
  }
  return {
    title: `${doing} failed`,
    detail: error instanceof Error ? error.message : String(error),
    where: '',
    hint: 'This is a fault of Inlaywright. Keep the file, and load the page again.',
  };
}
